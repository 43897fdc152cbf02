// The jobs that came back; what needs a person stands first.
import { useSignal } from "@preact/signals";
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
  skipped_safety: number;
  superseded_used: number;
  unanswered: number;
  unplaced_readings: number;
  notes: number;
  asked: number;
  replies_unread: number;
  photos: number;
  attention: number;
  erased: null | "all" | "some";
  closed: null | { outcome: string };
};

type Inbox = { jobs: JobRow[]; total: number; asking: number };

export const OUTCOMES: Record<string, string> = { finished: "Finished", handed_over: "Handed over", given_up: "Given up" };

/** How far a job is; of one whose entries were erased that is not known, and it is not called open. */
export function standing(job: JobRow): string {
  if (job.erased === "all") return "Erased";
  const so = job.closed ? (OUTCOMES[job.closed.outcome] ?? job.closed.outcome) : `Step ${job.done} of ${job.total}`;
  return job.erased ? `${so}, partly erased` : so;
}

/** What asks for a person's eye in a job, in words; empty if nothing does. */
export function reasonsToLook(job: JobRow): string[] {
  const found: string[] = [];
  if (job.outside) found.push(`${counted(job.outside, "reading")} outside the limits`);
  if (job.skipped_safety) found.push(`${counted(job.skipped_safety, "step")} skipped on brakes, steering or the like`);
  if (job.superseded_used) found.push(`${counted(job.superseded_used, "figure")} used that ${job.superseded_used === 1 ? "has" : "have"} changed since`);
  if (job.unanswered) found.push(`${counted(job.unanswered, "finished step")} of a replaced revision not answered for`);
  if (job.asked) found.push(`${counted(job.asked, "note waits", "notes wait")} for an answer`);
  if (job.attention) found.push(`${counted(job.attention, "item")} could not be taken as sent`);
  if (job.unplaced_readings) found.push(`${counted(job.unplaced_readings, "reading")} that belong to no step`);
  if (job.skipped > job.skipped_safety) found.push(`${counted(job.skipped - job.skipped_safety, "other step")} skipped`);
  if (job.superseded) found.push("follows a revision that is no longer current");
  return found;
}

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
          <strong>{standing(job)}</strong>
        </p>
        <p>
          {job.erased === "all" ? "what was written in it is gone" : `${counted(job.notes, "note")}, ${counted(job.photos, "photo")}`}
          {job.replies_unread > 0 && `, ${counted(job.replies_unread, "answer")} not read yet`}
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

const PAGE = 100;

export function JobsSheet() {
  const openOnly = useSignal(false);
  const most = useSignal(PAGE);
  return (
    <main class="sheet">
      <h1>Jobs that came back</h1>
      <p>
        <Link to="/desk/bulletins">Bulletins and their answers</Link> · <Link to="/desk/apart">Entries kept apart</Link> ·{" "}
        <Link to="/desk/job-files">Take in a job from a file</Link>
      </p>
      <p class="in-line">
        <label class="choice">
          <input type="checkbox" checked={openOnly.value} onChange={(e) => (openOnly.value = e.currentTarget.checked)} /> Only open jobs
        </label>
      </p>
      <Loaded of={`jobs ${openOnly.value} ${most.value}`} load={() => call<Inbox>("GET", `/desk/jobs?most=${most.value}&open=${openOnly.value}`)}>
        {({ jobs, total, asking }) =>
          total === 0 && !openOnly.value ? (
            <p>
              Nothing has come back yet. Enrol a customer's phone under <Link to="/desk/phones">Phones</Link>; what is done and noted there arrives here.
            </p>
          ) : (
            <>
              <p class="quiet">
                {counted(total, openOnly.value ? "open job" : "job")}; {asking === 1 ? "1 asks" : `${asking} ask`} for a person. What may hurt someone stands first.
              </p>
              <ul class="job-rows">
                {jobs.map((job) => (
                  <JobCard key={job.job} job={job} />
                ))}
              </ul>
              {jobs.length < total && most.value < 1000 && <button onClick={() => (most.value = Math.min(1000, most.value + PAGE))}>Show more</button>}
            </>
          )
        }
      </Loaded>
    </main>
  );
}
