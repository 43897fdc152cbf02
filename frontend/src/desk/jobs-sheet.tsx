// The jobs that came back; what needs a person stands first.
import { call } from "./api";
import { counted, Link, Loaded, when } from "./parts";

export type JobRow = {
  job: string;
  machine: { name: string; modelName?: string; model: string | null; year: number | null; options: string[]; hours: number | null };
  variant: string;
  procedure: string;
  title: string;
  revision: number;
  superseded: boolean;
  device: string;
  started_at: string;
  last_at: string;
  done: number;
  total: number;
  outside: number;
  skipped: number;
  notes: number;
  photos: number;
  attention: number;
  closed: null | { outcome: string };
};

const OUTCOMES: Record<string, string> = { finished: "Finished", handed_over: "Handed over", given_up: "Given up" };

/** What asks for a person's eye in a job, in words; empty if nothing does. */
export function reasonsToLook(job: JobRow): string[] {
  const found: string[] = [];
  if (job.attention) found.push(`${counted(job.attention, "item")} could not be taken as sent`);
  if (job.outside) found.push(`${counted(job.outside, "reading")} outside the limits`);
  if (job.skipped) found.push(`${counted(job.skipped, "step")} skipped`);
  if (job.superseded) found.push("follows a revision that is no longer current");
  return found;
}

const byNeed = (a: JobRow, b: JobRow) => reasonsToLook(b).length - reasonsToLook(a).length || (a.last_at < b.last_at ? 1 : -1);

function JobCard({ job }: { job: JobRow }) {
  const reasons = reasonsToLook(job);
  return (
    <li class={reasons.length ? "job-row look" : "job-row"}>
      <div>
        <h2>
          <Link to={`/desk/jobs/${encodeURIComponent(job.job)}`}>{job.title}</Link>
        </h2>
        <p>
          {[...new Set([job.machine.name, job.variant])].join(" · ")} · revision {job.revision}
        </p>
        <p class="quiet">
          {job.device}, begun {when(job.started_at)}, last heard {when(job.last_at)}
        </p>
      </div>
      <div class="job-counts">
        <p>
          <strong>{job.closed ? (OUTCOMES[job.closed.outcome] ?? job.closed.outcome) : `Step ${job.done} of ${job.total}`}</strong>
        </p>
        <p>
          {counted(job.notes, "note")}, {counted(job.photos, "photo")}
        </p>
        {reasons.map((words) => (
          <p class="look-word" key={words}>
            Look: {words}
          </p>
        ))}
      </div>
    </li>
  );
}

export function JobsSheet() {
  return (
    <main class="sheet">
      <h1>Jobs that came back</h1>
      <Loaded of="jobs" load={() => call<{ jobs: JobRow[] }>("GET", "/desk/jobs")}>
        {({ jobs }) =>
          jobs.length === 0 ? (
            <p>
              Nothing has come back yet. Enrol a customer's phone under <Link to="/desk/phones">Phones</Link>; what is done and noted there arrives here.
            </p>
          ) : (
            <ul class="job-rows">
              {[...jobs].sort(byNeed).map((job) => (
                <JobCard key={job.job} job={job} />
              ))}
            </ul>
          )
        }
      </Loaded>
    </main>
  );
}
