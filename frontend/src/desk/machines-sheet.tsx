// The register of customers' machines: hours, jobs, and what falls due when, what is overdue first.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { JobLinks } from "./job-links";
import { MachineForm, type Model, type Told } from "./machine-form";
import { counted, Link, Loaded } from "./parts";
import { mayWrite } from "./state";

type Due = { service: string; name: string; state: string; due_date: string | null; due_from: string | null; due_to: string | null; every: string[]; done: { date: string; hours?: number } | null };
type Machine = Told & {
  id: string;
  hours_on: string | null;
  due: Due[];
  jobs: { job: string; title: string; on: string; closed: string | null }[];
};

const STATES: Record<string, string> = { overdue: "Overdue", due_soon: "Due soon", unknown: "Not known", ok: "In time", done: "Done" };

function dueWords(due: Due): string {
  if (!due.due_date) return "no date: too little is known";
  if (due.due_from === due.due_to) return `on ${due.due_date}`;
  return `about ${due.due_date}, between ${due.due_from} and ${due.due_to}`;
}

function MachineCard({ machine, models, again }: { machine: Machine; models: Model[]; again: () => void }) {
  const open = useSignal(false);
  const model = models.find((one) => one.id === machine.model);
  const fitted = machine.options.map((id) => model?.options.find((one) => one.id === id)?.name ?? id);
  const kept = () => {
    open.value = false;
    again();
  };
  return (
    <li class={machine.due.some((due) => due.state === "overdue") ? "card look" : "card"}>
      <h2>{machine.name}</h2>
      <p>
        {[machine.customer, model?.name ?? machine.model, machine.year, ...fitted, machine.serial && `serial ${machine.serial}`].filter(Boolean).join(" · ")}
        {" · "}
        {machine.hours === null ? "hours not known" : `${machine.hours} h on ${machine.hours_on}`}
      </p>
      {machine.words && <p>{machine.words}</p>}
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
      <JobLinks machine={machine.id} model={machine.model} />
      {mayWrite() && !open.value && <button onClick={() => (open.value = true)} aria-label={`Change, or write hours down: ${machine.name}`}>Change, or write hours down</button>}
      {open.value && <MachineForm id={machine.id} told={machine} models={models} kept={kept} close={() => (open.value = false)} />}
    </li>
  );
}

type Register = { machines: Machine[]; feed: string; models: Model[] };

const load = async (): Promise<Register> => {
  const [{ machines, feed }, { models }] = await Promise.all([
    call<{ machines: Machine[]; feed: string }>("GET", "/desk/machines"),
    call<{ models: Model[] }>("GET", "/desk/models"),
  ]);
  return { machines, feed, models };
};

function AddMachine({ models, again }: { models: Model[]; again: () => void }) {
  const open = useSignal(false);
  const kept = () => {
    open.value = false;
    again();
  };
  if (!open.value)
    return (
      <p>
        <button class="press" onClick={() => (open.value = true)}>
          Add a customer’s machine
        </button>
      </p>
    );
  return (
    <section class="card">
      <h2>A customer’s machine</h2>
      <MachineForm id={null} models={models} kept={kept} close={() => (open.value = false)} />
    </section>
  );
}

export function MachinesSheet() {
  const sought = useSignal("");
  return (
    <main class="sheet">
      <h1>Machines</h1>
      <Loaded of="machines" load={load}>
        {({ machines, feed, models }, again) => (
          <>
            <p>
              <Link to="/desk/readings">Readings across machines</Link>
            </p>
            <p>
              <a href="/api/v1/desk/machines/table.csv">The register as a table (CSV)</a>. For a calendar: <span class="breakable">{feed}</span>. Whoever has this
              address reads what is due; a new password of yours ends it.
            </p>
            {mayWrite() && <AddMachine models={models} again={again} />}
            {machines.length === 0 && <p class="quiet">No machine is written down yet, and no job has named one.</p>}
            {machines.length > 8 && (
              <label>
                Search by name, customer or serial number
                <input value={sought.value} onInput={(e) => (sought.value = e.currentTarget.value)} />
              </label>
            )}
            <ul class="entries">
              {machines
                .filter((one) => `${one.name} ${one.customer} ${one.serial ?? ""}`.toLowerCase().includes(sought.value.trim().toLowerCase()))
                .map((machine) => (
                  <MachineCard key={machine.id} machine={machine} models={models} again={again} />
                ))}
            </ul>
          </>
        )}
      </Loaded>
    </main>
  );
}
