// Links that open one procedure for one machine on a customer's phone: made, printed, withdrawn.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { Code, Loaded, PaperLinks, useSending, when, Words } from "./parts";
import { mayWrite } from "./state";

type JobLink = {
  id: string;
  procedure: string;
  link: string;
  qr_svg: string;
  state: "open" | "expired" | "withdrawn";
  made_by: string;
  made_at: string;
  expires_at: string;
  withdrawn_at: string | null;
  opened_at: string | null;
};
type Procedure = { id: string; kind: string; title: string; model: string | null; revisions: { current: boolean }[] };

function stateWords({ state, expires_at, withdrawn_at, opened_at }: JobLink): string {
  const opened = opened_at ? `, last opened ${when(opened_at)}` : ", not opened yet";
  if (state === "withdrawn") return `withdrawn ${when(withdrawn_at ?? "")}${opened}`;
  return state === "expired" ? `ran out ${when(expires_at)}${opened}` : `open until ${when(expires_at)}${opened}`;
}

function LinkRow({ one, machine, again }: { one: JobLink; machine: string; again: () => void }) {
  const shown = useSignal(false);
  const { busy, problem, send } = useSending();
  const withdraw = () =>
    void send(async () => {
      await call("DELETE", `/desk/machines/${encodeURIComponent(machine)}/links/${one.id}`);
      again();
    });
  return (
    <li>
      <b>{one.procedure}</b>: {stateWords(one)}. Made by {one.made_by}.
      {one.state === "open" && (
        <>
          {" "}
          <button onClick={() => (shown.value = !shown.value)}>{shown.value ? "Hide the code" : "Show the code"}</button>{" "}
          {mayWrite() && (
            <button class="danger" disabled={busy.value} onClick={withdraw}>
              Withdraw it
            </button>
          )}
        </>
      )}
      {shown.value && (
        <div class="code-card">
          <Code svg={one.qr_svg} label={`QR code that opens ${one.procedure} for this machine: ${one.link}`} />
          <div>
            <p class="quiet breakable">{one.link}</p>
            <p class="quiet">Whoever has it sees the machine’s name, model, year, options and hours. It names no customer.</p>
            <PaperLinks at={`/api/v1/desk/paper/links/${one.id}/sheet`} words="Bench sheet with this code" />
          </div>
        </div>
      )}
      {problem.value && <Words message={problem.value} />}
    </li>
  );
}

function MakeLink({ machine, model, again }: { machine: string; model: string | null; again: () => void }) {
  const procedure = useSignal("");
  const days = useSignal("14");
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", `/desk/machines/${encodeURIComponent(machine)}/links`, { procedure: procedure.value, days: Number(days.value) });
      again();
    });
  };
  return (
    <Loaded of={machine} load={() => call<{ procedures: Procedure[] }>("GET", "/desk/library")}>
      {({ procedures }) => (
        <form class="in-line" onSubmit={submit}>
          <label>
            Procedure
            <select required value={procedure.value} onChange={(event) => (procedure.value = event.currentTarget.value)}>
              <option value="">Choose one</option>
              {procedures
                .filter((one) => one.kind === "procedure" && (one.model === null || one.model === model) && one.revisions.some(({ current }) => current))
                .map((one) => (
                  <option key={one.id} value={one.id}>
                    {one.title}
                  </option>
                ))}
            </select>
          </label>
          <label>
            Good for how many days
            <input type="number" required min={1} max={366} value={days.value} onInput={(event) => (days.value = event.currentTarget.value)} />
          </label>
          <button disabled={busy.value}>Make the link</button>
          {problem.value && <Words message={problem.value} />}
        </form>
      )}
    </Loaded>
  );
}

/** Under a machine of the register; read only once it is opened. */
export function JobLinks({ machine, model }: { machine: string; model: string | null }) {
  const open = useSignal(false);
  return (
    <details onToggle={(event) => (open.value = event.currentTarget.open)}>
      <summary>Links for this machine</summary>
      {open.value && (
        <Loaded of={machine} load={() => call<{ links: JobLink[] }>("GET", `/desk/machines/${encodeURIComponent(machine)}/links`)}>
          {({ links }, again) => (
            <>
              {links.length === 0 && <p class="quiet">None was made yet. A link opens one procedure for this machine on a customer’s phone.</p>}
              <ul>
                {links.map((one) => (
                  <LinkRow key={one.id} one={one} machine={machine} again={again} />
                ))}
              </ul>
              {mayWrite() && <MakeLink machine={machine} model={model} again={again} />}
            </>
          )}
        </Loaded>
      )}
    </details>
  );
}
