// What was proposed for publishing: what changes, whom it concerns, what a second person said; and publishing it.
import { useSignal } from "@preact/signals";
import { call, Problem } from "./api";
import { type Finding, Findings } from "./library-sheet";
import { counted, Link, Loaded, useSending, when, Words } from "./parts";
import { mayReview, mayWrite, session } from "./state";

type Review = { number: number; by: string; at: string; verdict: "accepted" | "sent_back"; words: string; own: boolean };
type Row = {
  id: string;
  title: string;
  change_note: string;
  bulletin: string;
  made_by: string;
  made_at: string;
  state: "open" | "accepted" | "sent_back" | "published" | "taken_back";
  published_by: string | null;
  published_at: string | null;
  reviews: Review[];
};
type Job = { job: string; machine: string; device: string; revision: number; closed: boolean; used: number; redo: number };
type Impact = {
  kind: string;
  id: string;
  title: string;
  revision: number;
  before: number | null;
  changes: { severity: "safety" | "work" | "words"; words: string; redo: boolean }[];
  draft: string;
  phones: number;
  held: { revision: number; phones: number }[];
  untold: number;
  jobs: Job[];
};
type Whole = Row & { files: { path: string; text: string }[]; findings: Finding[]; impact: Impact[]; left_out: LeftOut[] };
type LeftOut = { procedure: string; title: string; revision: number; changes: Impact["changes"] };

/** Who keeps it, by the newest revision that each phone has; and of how many phones that is not known. */
function heldInWords({ phones, held, untold }: Impact): string {
  const rows = held.map(({ revision, phones: n }) => `${n} on revision ${revision}`).join(", ");
  const keep = phones === 0 ? "No phone has said that it keeps it." : `${counted(phones, "phone")} ${phones === 1 ? "keeps" : "keep"} it: ${rows}.`;
  return untold === 0 ? keep : `${keep} ${counted(untold, "other phone")} ${untold === 1 ? "has" : "have"} not said yet what ${untold === 1 ? "it keeps" : "they keep"}.`;
}

function usedInWords(jobs: Job[]): string {
  const used = jobs.filter(({ used: figures, redo }) => figures + redo > 0);
  if (jobs.length === 0) return "";
  if (used.length === 0) return "None of them used what changes.";
  const open = used.filter(({ closed }) => !closed).length;
  return `${used.length} of them used what changes: ${open} open, ${used.length - open} closed.`;
}

export const STATES = { open: "Waits for review", accepted: "Accepted, not published yet", sent_back: "Sent back", published: "Published", taken_back: "Taken back" };
const GRAVITY = { safety: "Safety", work: "Work", words: "Wording" };

export function ReviewsSheet() {
  return (
    <main class="sheet">
      <h1>Review</h1>
      <p>What someone wants published. A second person reads it first; what is accepted is published exactly as it was read.</p>
      <Loaded of="proposals" load={() => call<{ proposals: Row[] }>("GET", "/desk/proposals")}>
        {({ proposals }) =>
          proposals.length === 0 ? (
            <p class="quiet">
              Nothing was proposed yet. Under <Link to="/desk/library">Library</Link> an author sends texts for review.
            </p>
          ) : (
            <ul class="entries">
              {proposals.map((one) => (
                <li class={one.state === "open" || one.state === "accepted" ? "card look" : "card"} key={one.id}>
                  <h2>
                    <Link to={`/desk/review/${one.id}`}>{one.title}</Link>
                  </h2>
                  <p>
                    <b>{STATES[one.state]}.</b> {one.change_note}
                  </p>
                  <p class="quiet">
                    {one.made_by}, {when(one.made_at)}
                  </p>
                </li>
              ))}
            </ul>
          )
        }
      </Loaded>
    </main>
  );
}

function ImpactCard({ impact }: { impact: Impact }) {
  const [open, closed] = [impact.jobs.filter((job) => !job.closed), impact.jobs.filter((job) => job.closed)];
  return (
    <section class="card">
      <h2>
        {impact.title}: {impact.before === null ? `revision ${impact.revision}, the first` : `revision ${impact.before} becomes ${impact.revision}`}
      </h2>
      {impact.before !== null && impact.changes.length === 0 && <p>Nothing that matters changes.</p>}
      {impact.changes.length > 0 && (
        <ul class="changes">
          {impact.changes.map((change, index) => (
            <li key={index} class={change.severity === "safety" ? "look-word" : ""}>
              <b>{GRAVITY[change.severity]}:</b> {change.words}
              {change.redo ? " Finished steps are to be done again or accepted." : ""}
            </li>
          ))}
        </ul>
      )}
      {impact.kind === "procedure" && (
        <>
          <p>
            {heldInWords(impact)} {counted(open.length, "open job")} and {counted(closed.length, "closed job")} went by it. {usedInWords(impact.jobs)}
          </p>
          {impact.jobs.length > 0 && (
            <div class="scroll" tabIndex={0} role="region" aria-label={`Jobs on earlier revisions of ${impact.title}`}>
              <table>
                <thead>
                  <tr>
                    <th>Machine</th>
                    <th>Phone of</th>
                    <th>Revision</th>
                    <th>State</th>
                    <th>Changed figures used</th>
                    <th>Steps to see again</th>
                  </tr>
                </thead>
                <tbody>
                  {impact.jobs.slice(0, 100).map((job) => (
                    <tr key={job.job}>
                      <th scope="row">
                        <Link to={`/desk/jobs/${job.job}`}>{job.machine}</Link>
                      </th>
                      <td>{job.device}</td>
                      <td>{job.revision}</td>
                      <td>{job.closed ? "closed" : "open"}</td>
                      <td>{job.used}</td>
                      <td>{job.redo}</td>
                    </tr>
                  ))}
                </tbody>
              </table>
              {impact.jobs.length > 100 && <p>And {impact.jobs.length - 100} more.</p>}
            </div>
          )}
        </>
      )}
    </section>
  );
}

/** Procedures that the map's change touches and that do not go with it: phones stay on what they have. */
function LeftOutCard({ left }: { left: LeftOut[] }) {
  if (left.length === 0) return null;
  return (
    <section class="card look">
      <h2>Touched, and not part of this</h2>
      <p>The map’s change touches {counted(left.length, "more published procedure")}. Phones go on with the revision in force until each gets its next one.</p>
      <ul class="changes">
        {left.map((one) => (
          <li key={one.procedure}>
            <b>{one.title}</b>, revision {one.revision}: {one.changes.length === 0 ? "its text cannot be read on this map" : one.changes.map(({ words }) => words).join(" ")}
          </li>
        ))}
      </ul>
    </section>
  );
}

function GiveReview({ found, again }: { found: Whole; again: () => void }) {
  const words = useSignal("");
  const { busy, problem, send } = useSending();
  const own = found.made_by === session.value?.user.name;
  const say = (verdict: string) =>
    void send(async () => {
      await call("POST", `/desk/proposals/${found.id}/reviews`, { verdict, words: words.value });
      words.value = "";
      again();
    });
  return (
    <section class="card">
      <h2>{own ? "Review of your own" : "Your review"}</h2>
      {own && <p>You wrote this. A second person should read it. If nobody can, say why; the reason stays with the revision.</p>}
      <label>
        {own ? "Why nobody else reviews it" : "What you found"}
        <textarea rows={3} maxLength={2000} value={words.value} onInput={(e) => (words.value = e.currentTarget.value)} />
      </label>
      <div class="in-line">
        <button class="press" disabled={busy.value || (own && words.value.trim().length < 10)} onClick={() => say("accepted")}>
          {own ? "Accept my own text" : "Accept"}
        </button>
        <button disabled={busy.value || !words.value.trim()} onClick={() => say("sent_back")}>
          Send back
        </button>
      </div>
      {problem.value && <Words message={problem.value} />}
    </section>
  );
}

function PublishAccepted({ found, again }: { found: Whole; again: () => void }) {
  const drafted = found.impact.filter((one) => one.kind === "procedure" && one.draft).map((one) => one.draft);
  const several = drafted.length > 1;
  const text = useSignal(found.bulletin || (several ? "" : (drafted[0] ?? "")));
  const findings = useSignal<Finding[]>([]);
  const { busy, problem, send } = useSending();
  const publish = () =>
    void send(async () => {
      try {
        await call("POST", `/desk/proposals/${found.id}/publish`, { bulletin: text.value });
        again();
      } catch (error) {
        if (error instanceof Problem) findings.value = (error.values["findings"] as Finding[] | undefined) ?? [];
        throw error;
      }
    });
  return (
    <section class="card">
      <h2>Publish</h2>
      {drafted.length > 0 && (
        <label>
          Bulletin for those who hold an earlier revision{several ? " (left empty, one is drafted for each)" : ", drafted from what changes"}
          <textarea rows={10} maxLength={4000} value={text.value} onInput={(e) => (text.value = e.currentTarget.value)} />
        </label>
      )}
      <button class="press" disabled={busy.value} onClick={publish}>
        {busy.value ? "Publishing …" : "Sign and publish"}
      </button>
      {problem.value && <Words message={problem.value} />}
      {findings.value.length > 0 && <Findings findings={findings.value} />}
    </section>
  );
}

function TakeBack({ found, again }: { found: Whole; again: () => void }) {
  const { busy, problem, send } = useSending();
  const end = () =>
    void send(async () => {
      await call("POST", `/desk/proposals/${found.id}/take-back`, {});
      again();
    });
  return (
    <p>
      <button disabled={busy.value} onClick={end}>
        Take the proposal back
      </button>
      {problem.value && <Words message={problem.value} />}
    </p>
  );
}

export function ReviewSheet({ id }: { id: string }) {
  return (
    <main class="sheet">
      <p>
        <Link to="/desk/review">All proposals</Link>
      </p>
      <Loaded of={id} load={() => call<Whole>("GET", `/desk/proposals/${encodeURIComponent(id)}`)}>
        {(found, again) => (
          <>
            <h1>{found.title}</h1>
            <p>
              <b>{STATES[found.state]}.</b> {found.change_note}
            </p>
            <p class="quiet">
              Proposed by {found.made_by}, {when(found.made_at)}
              {found.published_at ? `; published by ${found.published_by}, ${when(found.published_at)}` : ""}
            </p>
            {found.reviews.map((one) => (
              <blockquote key={one.number}>
                <b>{one.verdict === "accepted" ? "Accepted" : "Sent back"}</b>
                {one.own ? " by its writer" : ""}. {one.words}
                <footer class="quiet">
                  {one.by}, {when(one.at)}
                </footer>
              </blockquote>
            ))}
            {found.state !== "published" && found.impact.map((impact) => <ImpactCard key={`${impact.kind} ${impact.id}`} impact={impact} />)}
            <LeftOutCard left={found.left_out} />
            {mayReview() && ["open", "accepted", "sent_back"].includes(found.state) && <GiveReview found={found} again={again} />}
            {mayWrite() && found.state === "accepted" && <PublishAccepted found={found} again={again} />}
            {found.state !== "published" && (
              <section class="card">
                <h2>What the checks find</h2>
                <Findings findings={found.findings} />
              </section>
            )}
            {found.files.map((file) => (
              <details class="card" key={file.path}>
                <summary>{file.path}</summary>
                <pre class="text-shown" tabIndex={0}>
                  {file.text}
                </pre>
              </details>
            ))}
            {mayWrite() && ["open", "accepted", "sent_back"].includes(found.state) && <TakeBack found={found} again={again} />}
          </>
        )}
      </Loaded>
    </main>
  );
}
