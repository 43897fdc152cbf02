// The register of customers' machines: hours, jobs, and what falls due when, what is overdue first.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { counted, Link, Loaded, useSending, Words } from "./parts";
import { mayWrite } from "./state";

type Due = { service: string; name: string; state: string; due_date: string | null; due_from: string | null; due_to: string | null; every: string[]; done: { date: string; hours?: number } | null };
type Machine = {
  id: string;
  name: string;
  customer: string;
  model: string | null;
  year: number | null;
  options: string[];
  serial: string | null;
  hours: number | null;
  hours_on: string | null;
  words: string;
  due: Due[];
  jobs: { job: string; title: string; on: string; closed: string | null }[];
};

const STATES: Record<string, string> = { overdue: "Overdue", due_soon: "Due soon", unknown: "Not known", ok: "In time", done: "Done" };

function dueWords(due: Due): string {
  if (!due.due_date) return "no date: too little is known";
  if (due.due_from === due.due_to) return `on ${due.due_date}`;
  return `about ${due.due_date}, between ${due.due_from} and ${due.due_to}`;
}

function WriteHours({ machine, again }: { machine: Machine; again: () => void }) {
  const hours = useSignal("");
  const customer = useSignal(machine.customer);
  const { busy, problem, send } = useSending();
  const submit = (event: Event) => {
    event.preventDefault();
    const { name, model, year, options, serial, words } = machine;
    const told = hours.value.trim() === "" ? null : Number(hours.value);
    void send(async () => {
      await call("POST", `/desk/machines/${encodeURIComponent(machine.id)}`, { name, model, year, options, serial, words, customer: customer.value, hours: told });
      again();
    });
  };
  return (
    <form class="in-line" onSubmit={submit}>
      <label>
        Customer
        <input maxLength={200} value={customer.value} onInput={(e) => (customer.value = e.currentTarget.value)} />
      </label>
      <label>
        Hours today
        <input inputMode="decimal" pattern="[0-9]+([.][0-9]+)?" value={hours.value} onInput={(e) => (hours.value = e.currentTarget.value)} />
      </label>
      <button disabled={busy.value}>Write it down</button>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

function MachineCard({ machine, again }: { machine: Machine; again: () => void }) {
  return (
    <li class={machine.due.some((due) => due.state === "overdue") ? "card look" : "card"}>
      <h2>{machine.name}</h2>
      <p>
        {[machine.customer, machine.model, machine.year, machine.serial && `serial ${machine.serial}`].filter(Boolean).join(" · ")}
        {" · "}
        {machine.hours === null ? "hours not known" : `${machine.hours} h on ${machine.hours_on}`}
      </p>
      {machine.due.length === 0 && <p class="quiet">The map in force names no services for it.</p>}
      <ul class="changes">
        {machine.due.map((due) => (
          <li key={due.service} class={due.state === "overdue" ? "look-word" : ""}>
            <b>{STATES[due.state]}:</b> {due.name}, every {due.every.join(" or ")}; {dueWords(due)}
            {due.done ? `; last done ${due.done.date}${due.done.hours === undefined ? "" : ` at ${due.done.hours} h`}` : "; no finished job says that it was done"}
          </li>
        ))}
      </ul>
      {machine.jobs.length > 0 && (
        <details>
          <summary>{counted(machine.jobs.length, "job")}</summary>
          <ul>
            {machine.jobs.map((job) => (
              <li key={job.job}>
                <Link to={`/desk/jobs/${job.job}`}>{job.title}</Link>, {job.on}, {job.closed ? job.closed.replace("_", " ") : "open"}
              </li>
            ))}
          </ul>
        </details>
      )}
      {mayWrite() && <WriteHours machine={machine} again={again} />}
    </li>
  );
}

export function MachinesSheet() {
  return (
    <main class="sheet">
      <h1>Machines</h1>
      <Loaded of="machines" load={() => call<{ machines: Machine[]; feed: string }>("GET", "/desk/machines")}>
        {({ machines, feed }, again) => (
          <>
            <p>
              <a href="/api/v1/desk/machines/table.csv">The register as a table (CSV)</a>. For a calendar: <span class="breakable">{feed}</span>. Whoever has this
              address reads what is due; a new password of yours ends it.
            </p>
            {machines.length === 0 && <p class="quiet">No job has named a machine yet.</p>}
            <ul class="entries">
              {machines.map((machine) => (
                <MachineCard key={machine.id} machine={machine} again={again} />
              ))}
            </ul>
          </>
        )}
      </Loaded>
    </main>
  );
}
