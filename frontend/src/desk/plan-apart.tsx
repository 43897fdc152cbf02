// What else is cheap while a machine is apart: the services of its map on top of the job, what is due on the machine first.
import { counted } from "./parts";

export type Also = { service: string; name: string; minutes_more: number; minutes_alone: number; acts: string[]; proven: boolean };
export type Due = { service: string; state: string };

const upper = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
const PRESSING = ["overdue", "due_soon", "unknown", "ok", "done"];
const STATES: Record<string, string> = {
  overdue: "overdue on this machine",
  due_soon: "due soon on this machine",
  unknown: "not known when it was last done on this machine",
  ok: "not due yet on this machine",
  done: "done on this machine",
};

const cost = ({ acts, minutes_more, minutes_alone }: Also): string => {
  if (acts.length === 0) return "done by this job";
  if (minutes_more >= minutes_alone) return `${minutes_alone} minutes, now as on its own`;
  return `${counted(minutes_more, "minute")} more now, ${minutes_alone} on its own`;
};

/** `due`: what is due on the machine that is planned for; null when it is none of the register. */
export function WhileApart({ also, due }: { also: Also[]; due: Due[] | null }) {
  if (also.length === 0) return null;
  const stateOf = (row: Also) => due?.find(({ service }) => service === row.service)?.state ?? "unknown";
  const pressing = (row: Also) => due !== null && PRESSING.indexOf(stateOf(row)) < 2;
  const told = also.filter((row) => row.minutes_more < row.minutes_alone || pressing(row));
  if (due) told.sort((a, b) => PRESSING.indexOf(stateOf(a)) - PRESSING.indexOf(stateOf(b)) || a.minutes_more - b.minutes_more);
  const others = also.filter((row) => !told.includes(row));
  return (
    <>
      <h3>While it is apart</h3>
      {told.length === 0 && <p class="quiet">No service shares work with this.</p>}
      <ul class="plan-lists apart-list">
        {told.map((row) => (
          <li key={row.service}>
            <b>{upper(row.name)}:</b> {cost(row)}
            {!row.proven && " (not proven: the time was up)"}
            {due && <span class={pressing(row) ? "look-word" : "quiet"}>; {STATES[stateOf(row)]}</span>}
            {row.acts.length > 0 && (
              <details>
                <summary>What more there is to do ({row.acts.length})</summary>
                <ul>
                  {row.acts.map((act) => (
                    <li key={act}>{upper(act)}</li>
                  ))}
                </ul>
              </details>
            )}
          </li>
        ))}
      </ul>
      {others.length > 0 && (
        <details class="quiet">
          <summary>{counted(others.length, "other service shares", "other services share")} no work with this</summary>
          <ul>
            {others.map((row) => (
              <li key={row.service}>
                {upper(row.name)}: {counted(row.minutes_alone, "minute")}
              </li>
            ))}
          </ul>
        </details>
      )}
      <p class="quiet">Minutes are estimates for comparing. Each service has its own procedure, and its interval comes from the maker’s documents.</p>
    </>
  );
}
