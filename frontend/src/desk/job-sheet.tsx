// One job as it was done: every step with what was noted, measured and photographed there.
import { call } from "./api";
import { KINDS } from "./entry-kinds";
import { ErasedWord, EraseJob, TakeOut } from "./erase-job";
import { type BulletinOfJob, JobBulletin } from "./job-bulletin";
import { eraseWords } from "./job-file-words";
import type { JobRow } from "./jobs-sheet";
import { reasonsToLook } from "./jobs-sheet";
import { counted, Link, Loaded, PaperLinks, when } from "./parts";
import { AnswerField, Answering, Replies, type Reply } from "./replies";

type Reading = { step: string; check: string; name: string; value: number; unit: string; as_typed: string; verdict: "within" | "outside" | "unknown"; low: string | null; high: string | null; at: string };
type Note = { event: string; step: string | null; text: string; at: string; device: string };
type Photo = { step: string | null; sha256: string; caption: string; at: string; received: boolean };
type Step = {
  id: string;
  number: number;
  section: string;
  say: string;
  state: "done" | "skipped" | "open";
  at: string | null;
  reason: string | null;
  seconds: number;
  figures: string[];
  readings: Reading[];
  notes: Note[];
  replies: Reply[];
  photos: Photo[];
};
type EndItem = { code: string; object: string; name: string; safety: string; severity: string; words: string; accepted: string | null };
type Attention = { id: string; kind: string; reason: string; words: string; received_at: string };
type Line = { id: string; kind: string; body: Record<string, unknown>; wall: string; device: string; received_at: string; remark: string | null };
export type JobDetail = JobRow & {
  pack: string;
  outcome_words: string | null;
  steps: Step[];
  loose_notes: Note[];
  loose_replies: Reply[];
  loose_readings: Reading[];
  timeline: Line[];
  loose_photos: Photo[];
  end_items: EndItem[];
  attention_items: Attention[];
  erased_at: string | null;
  bulletin: BulletinOfJob | null;
};

const VERDICTS = { within: "within limits", outside: "OUTSIDE the limits", unknown: "limits not known" };
const STATES = { done: "Done", skipped: "Skipped", open: "Not done" };

function limitsOf(reading: Reading): string {
  const parts = [reading.low && `at least ${reading.low}`, reading.high && `at most ${reading.high}`].filter(Boolean);
  return parts.length ? ` (${parts.join(", ")})` : "";
}

function PhotoShown({ photo }: { photo: Photo }) {
  if (!photo.received) return <p class="quiet">A photo is still on the phone{photo.caption ? `: ${photo.caption}` : ""}.</p>;
  const address = `/api/v1/desk/photos/${photo.sha256}`;
  return (
    <figure>
      <a href={address} target="_blank" rel="noreferrer">
        <img src={address} alt={photo.caption || "Photo without a caption"} loading="lazy" />
      </a>
      <figcaption>
        {photo.caption} <span class="quiet">{when(photo.at)}</span> <span class="quiet breakable">{photo.sha256.slice(0, 12)}</span>
      </figcaption>
    </figure>
  );
}

type ReturnedProps = { readings: Reading[]; notes: Note[]; replies: Reply[]; photos: Photo[] };

/** Notes each with what was answered to them; answers to anything else stand behind. */
function Returned({ readings, notes, replies, photos }: ReturnedProps) {
  const told = new Set(notes.map(({ event }) => event));
  return (
    <>
      {readings.map((reading, index) => (
        <p key={index} class={reading.verdict === "within" ? "reading" : "reading look-word"}>
          {reading.name}: <b>{reading.as_typed}</b>, {VERDICTS[reading.verdict]}
          {limitsOf(reading)}
        </p>
      ))}
      {notes.map((note) => (
        <div key={note.event} class="talk">
          <blockquote>
            {note.text}
            <footer class="quiet">
              {note.device}, {when(note.at)}
            </footer>
          </blockquote>
          <Replies replies={replies.filter(({ to }) => to === note.event)} />
          <AnswerField to={note.event} about={`the note “${note.text.slice(0, 60)}”`} />
        </div>
      ))}
      <Replies replies={replies.filter(({ to }) => to === null || !told.has(to))} />
      {photos.length > 0 && (
        <div class="photos">
          {photos.map((photo) => (
            <PhotoShown key={photo.sha256} photo={photo} />
          ))}
        </div>
      )}
    </>
  );
}

/** `erased`: entries of the job were erased, so that of a step without one nothing is known. */
function StepRow({ step, erased }: { step: Step; erased: boolean }) {
  return (
    <li class={`step-row ${step.state}`} value={step.number}>
      <p>
        <span class="step-state">{erased && step.state === "open" ? "Not known" : STATES[step.state]}</span> {step.say}
      </p>
      {step.figures.length > 0 && <p class="figures-used">{step.figures.join(" · ")}</p>}
      {step.reason && <p class="look-word">Reason: {step.reason}</p>}
      {step.at && (
        <p class="quiet">
          {when(step.at)}
          {step.seconds > 0 ? `, timer ${Math.round(step.seconds / 60)} min` : ""}
        </p>
      )}
      <Returned {...step} />
      {step.notes.length === 0 && (step.reason !== null || step.readings.length + step.photos.length > 0) && <AnswerField step={step.id} about={`at step ${step.number}`} />}
    </li>
  );
}

function sections(steps: Step[]): [string, Step[]][] {
  const found: [string, Step[]][] = [];
  for (const step of steps) {
    const last = found.at(-1);
    if (last && last[0] === step.section) last[1].push(step);
    else found.push([step.section, [step]]);
  }
  return found;
}

/** What an entry is about, in the words of the job: the step by its number, else what was written. */
function about(line: Line, steps: Step[]): string {
  const step = steps.find(({ id }) => id === line.body["step"]);
  const told = ["as_typed", "text", "caption", "reason", "item", "outcome", "words"].map((name) => line.body[name]).filter((value) => typeof value === "string" && value !== "");
  return [step && `${step.number}. ${step.say}`, ...told].filter(Boolean).join(": ");
}

function Timeline({ job }: { job: JobDetail }) {
  return (
    <details class="card">
      <summary>Everything in the order in which it was written: {counted(job.timeline.length, "entry", "entries")}</summary>
      <ol class="changes">
        {job.timeline.map((line) => (
          <li key={line.id}>
            <span class="quiet">
              {when(line.wall)}, {line.device}:
            </span>{" "}
            {KINDS[line.kind] ?? line.kind} {about(line, job.steps)}
            {line.kind === "PhotoTaken" && <PhotoShown photo={photoOf(line, job)} />}
          </li>
        ))}
      </ol>
    </details>
  );
}

function photoOf(line: Line, job: JobDetail): Photo {
  const every = [...job.steps.flatMap(({ photos }) => photos), ...job.loose_photos];
  const sha256 = String(line.body["sha256"]);
  return every.find((photo) => photo.sha256 === sha256) ?? { step: null, sha256, caption: String(line.body["caption"] ?? ""), at: line.wall, received: false };
}

function Facts({ job }: { job: JobDetail }) {
  const rows: [string, string][] = [
    ["Machine", job.machine.name],
    ["Variant", job.variant],
    ["Hours", job.machine.hours === null ? "not known" : `${job.machine.hours} h`],
    ["Revision", `${job.revision}${job.superseded ? " (no longer current)" : ""}`],
    ["Pack", job.pack.slice(0, 16)],
    ["Phone of", job.device],
    ["Begun", when(job.started_at)],
    ["Last heard", when(job.last_at)],
    ["Done", job.erased_at ? `not known: ${counted(job.total, "step")}, entries erased` : `${job.done} of ${counted(job.total, "step")}`],
  ];
  return (
    <dl class="facts card">
      {rows.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

function NeedsEye({ job }: { job: JobDetail }) {
  const reasons = reasonsToLook(job);
  const left = job.erased_at ? [] : job.end_items;
  if (reasons.length + job.end_items.length + job.attention_items.length === 0) return null;
  return (
    <section class="card look">
      <h2>Look at this first</h2>
      <ul>
        {reasons.map((words) => (
          <li key={words}>{words}</li>
        ))}
        {job.erased_at && <li>{eraseWords.leftHow}</li>}
        {left.map((item) => (
          <li key={item.code + item.object}>
            {item.words}
            {item.accepted ? ` Accepted on the phone: ${item.accepted}` : ""}
          </li>
        ))}
        {job.attention_items.map((item) => (
          <li key={item.id}>
            {item.kind}, received {when(item.received_at)}: {item.words}
          </li>
        ))}
      </ul>
      <AnswerField about="about the whole job" />
    </section>
  );
}

export function JobSheet({ job }: { job: string }) {
  return (
    <main class="sheet">
      <p>
        <Link to="/desk">All jobs</Link>
      </p>
      <Loaded of={job} load={() => call<JobDetail>("GET", `/desk/jobs/${encodeURIComponent(job)}`)}>
        {(found, again) => (
          <Answering.Provider value={{ job, again }}>
            <h1>{found.title}</h1>
            <PaperLinks at={`/api/v1/desk/paper/jobs/${encodeURIComponent(job)}/record`} words="Service record" />
            <p>
              Service record as a page:{" "}
              <a href={`/api/v1/desk/paper/jobs/${encodeURIComponent(job)}/record-page`} target="_blank" rel="noreferrer">
                read it
              </a>
              ,{" "}
              <a href={`/api/v1/desk/paper/jobs/${encodeURIComponent(job)}/record-page?keep=true`} download>
                keep it as a file
              </a>
            </p>
            {found.pack && <PaperLinks at={`/api/v1/desk/paper/jobs/${encodeURIComponent(job)}/sheet`} words="Bench sheet for this machine" />}
            <TakeOut job={job} />
            <div class="two">
              <div>
                <ErasedWord at={found.erased_at} />
                <NeedsEye job={found} />
                {found.bulletin && <JobBulletin from={found.revision} bulletin={found.bulletin} />}
                {found.closed && (
                  <p class="card">
                    <b>Closed: {found.closed.outcome.replace("_", " ")}.</b> {found.outcome_words}
                  </p>
                )}
                <Returned readings={found.loose_readings} notes={found.loose_notes} replies={found.loose_replies} photos={found.loose_photos} />
                {sections(found.steps).map(([name, steps]) => (
                  <section key={name + (steps[0]?.id ?? "")}>
                    <h2>{name}</h2>
                    <ol class="steps">
                      {steps.map((step) => (
                        <StepRow key={step.id} step={step} erased={found.erased_at !== null} />
                      ))}
                    </ol>
                  </section>
                ))}
                <Timeline job={found} />
                <EraseJob job={job} again={again} />
              </div>
              <Facts job={found} />
            </div>
          </Answering.Provider>
        )}
      </Loaded>
    </main>
  );
}
