// Which jobs went by a revision that was replaced, who has read of it and who has answered.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { bulletinWords as words, type Seen } from "./bulletin-words";
import { OUTCOMES } from "./jobs-sheet";
import { counted, Link, Loaded } from "./parts";

type Change = { severity: "safety" | "work" | "words"; words: string };
type JobOn = {
  job: string;
  title: string;
  machine: { name: string };
  device: string;
  revision: number;
  closed: null | { outcome: string };
  used: number;
  to_see: number;
  left: number;
  seen: Seen | null;
};
type Bulletin = {
  kind: string;
  id: string;
  title: string;
  revision: number;
  replaces: number;
  issued_at: string;
  issued_by: string;
  text: string;
  safety: number;
  work: number;
  words: number;
  changes: Change[];
  jobs: JobOn[];
};

const asks = (job: JobOn): boolean => job.left > 0 || (job.used > 0 && job.seen === null);

function JobOnRow({ job }: { job: JobOn }) {
  return (
    <tr>
      <th scope="row">
        <Link to={`/desk/jobs/${encodeURIComponent(job.job)}`}>{`${job.title}, ${job.machine.name}`}</Link>
      </th>
      <td>{job.device}</td>
      <td>revision {job.revision}</td>
      <td>{job.closed ? (OUTCOMES[job.closed.outcome] ?? job.closed.outcome) : "Open"}</td>
      <td class={job.used ? "look-word" : ""}>{words.used(job.used)}</td>
      <td class={job.used && !job.seen ? "look-word" : ""}>{words.seen(job.seen)}</td>
      <td class={job.left ? "look-word" : ""}>{words.left(job.left, job.to_see)}</td>
    </tr>
  );
}

function JobsOn({ jobs, label }: { jobs: JobOn[]; label: string }) {
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label={label}>
      <table>
        <thead>
          <tr>
            {words.columns.map((name) => (
              <th key={name}>{name}</th>
            ))}
          </tr>
        </thead>
        <tbody>
          {[...jobs.filter(asks), ...jobs.filter((job) => !asks(job))].map((job) => (
            <JobOnRow key={job.job} job={job} />
          ))}
        </tbody>
      </table>
    </div>
  );
}

function BulletinCard({ one, jobs }: { one: Bulletin; jobs: JobOn[] }) {
  return (
    <section class={jobs.some(asks) ? "card look" : "card"}>
      <h2>{words.head(one.title, one.replaces, one.revision)}</h2>
      <p class="quiet">{words.issued(one.issued_at, one.issued_by)}</p>
      {one.text && <p class="as-lines">{one.text}</p>}
      <details>
        <summary>{words.changes(one.safety, one.work, one.words)}</summary>
        <ul class="changes">
          {one.changes.map((change, index) => (
            <li key={index} class={change.severity === "safety" ? "look-word" : ""}>
              {change.words}
            </li>
          ))}
        </ul>
      </details>
      {jobs.length === 0 ? (
        <p class="quiet">{one.jobs.length === 0 ? words.noJobs : words.noneOpen}</p>
      ) : (
        <>
          <p>{counted(jobs.length, "job")} on an older revision.</p>
          <JobsOn jobs={jobs} label={words.head(one.title, one.replaces, one.revision)} />
        </>
      )}
    </section>
  );
}

export function BulletinsSheet() {
  const openOnly = useSignal(false);
  const askingOnly = useSignal(false);
  return (
    <main class="sheet">
      <p>
        <Link to="/desk">All jobs</Link>
      </p>
      <h1>{words.title}</h1>
      <p>{words.about}</p>
      <Loaded of="bulletins" load={() => call<{ bulletins: Bulletin[] }>("GET", "/desk/bulletins")}>
        {({ bulletins }) => {
          if (bulletins.length === 0) return <p class="quiet">{words.none}</p>;
          const wanted = (job: JobOn) => (!openOnly.value || job.closed === null) && (!askingOnly.value || asks(job));
          const shown = bulletins.map((one) => ({ one, jobs: one.jobs.filter(wanted) })).filter(({ jobs }) => !askingOnly.value || jobs.length > 0);
          return (
            <>
              <p class="in-line">
                <label class="choice">
                  <input type="checkbox" checked={openOnly.value} onChange={(e) => (openOnly.value = e.currentTarget.checked)} /> {words.openOnly}
                </label>
                <label class="choice">
                  <input type="checkbox" checked={askingOnly.value} onChange={(e) => (askingOnly.value = e.currentTarget.checked)} /> {words.askingOnly}
                </label>
              </p>
              {shown.length === 0 && <p class="quiet">{words.noneAsking}</p>}
              {shown.map(({ one, jobs }) => (
                <BulletinCard key={`${one.kind} ${one.id} ${one.revision}`} one={one} jobs={jobs} />
              ))}
            </>
          );
        }}
      </Loaded>
    </main>
  );
}
