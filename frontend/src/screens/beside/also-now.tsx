/** Before a job starts: what else is cheap while the machine is apart. */
import { jobs, type Machine, type ProcedurePack } from "../../store/bench";
import { alsoWords as words } from "../../text/beside-words";
import { alsoRows } from "./also-view";

export function AlsoNow({ pack, machine }: { pack: ProcedurePack; machine: Machine }) {
  const rows = alsoRows(pack, machine, jobs.value, new Date().toISOString().slice(0, 10));
  if (rows.length === 0) return null;
  return (
    <section class="card also">
      <h2>{words.title}</h2>
      <ul class="rows">
        {rows.map(({ id, name, cost, dueText, acts, source }) => (
          <li key={id}>
            <strong>{name}</strong>
            <span class="row-line">{cost}</span>
            <span class="row-line small">{dueText}</span>
            {acts.length > 0 && (
              <details>
                <summary>{words.acts(acts.length)}</summary>
                <ul class="stop-rows">
                  {acts.map((act) => (
                    <li key={act}>{act}</li>
                  ))}
                </ul>
                <p class="small soft">{words.source(source)}</p>
              </details>
            )}
          </li>
        ))}
      </ul>
      <p class="small soft">{words.honest}</p>
    </section>
  );
}
