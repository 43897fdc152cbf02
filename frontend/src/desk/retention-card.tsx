// How long the contents of closed jobs are kept: an owner sees what would go, and when, before anything is set.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { eraseWords } from "./job-file-words";
import { counted, Link, Loaded, useSending, when, Words } from "./parts";

type JobToErase = { job: string; title: string; last_at: string; erased_at: string };
type Retention = { days: number | null; now: JobToErase[]; next: JobToErase | null; later: number };

const SHOWN = 20;
const words = {
  title: "How long jobs are kept",
  about: "Closed jobs can be kept for good, or what was written in them can be erased some days after the last news of them. Open jobs are never erased by this.",
  for_good: "Closed jobs are kept for good.",
  kept: (days: number): string => `What closed jobs hold is erased ${counted(days, "day")} after the last news of each.`,
  next: (job: JobToErase, later: number): string => `The next to go is “${job.title || job.job.slice(0, 8)}”, ${when(job.erased_at)}; ${counted(later, "closed job")} in all.`,
  none: "No closed job waits for it now.",
  good: "Keep them for good",
  days: "Days after the last news of a closed job",
  look: "Show what that erases",
  now: (count: number): string => (count === 0 ? "Nothing is erased at once." : `Erased at once, and for good: ${counted(count, "closed job")}.`),
  more: (count: number): string => `and ${counted(count, "more job")}`,
  when: "After that the server looks every hour.",
  set: (count: number): string => (count === 0 ? "Set it" : `Set it, and erase ${counted(count, "job")} now`),
  leave: "Leave it as it is",
};

function Standing({ found }: { found: Retention }) {
  if (found.days === null) return <p>{words.for_good}</p>;
  return (
    <p>
      {words.kept(found.days)} {found.next ? words.next(found.next, found.later) : words.none}
    </p>
  );
}

function WouldGo({ found }: { found: Retention }) {
  return (
    <>
      <p>
        <b>{words.now(found.now.length)}</b> {found.next && words.next(found.next, found.later)} {words.when}
      </p>
      {found.now.length > 0 && (
        <>
          <ul>
            {found.now.slice(0, SHOWN).map((job) => (
              <li key={job.job}>
                <Link to={`/desk/jobs/${encodeURIComponent(job.job)}`}>{job.title || job.job.slice(0, 8)}</Link>, last heard {when(job.last_at)}
              </li>
            ))}
            {found.now.length > SHOWN && <li>{words.more(found.now.length - SHOWN)}</li>}
          </ul>
        </>
      )}
      <p>{eraseWords.goes}</p>
      <ul>
        {eraseWords.goesList.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>{eraseWords.stays}</p>
      <ul>
        {eraseWords.staysList.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </>
  );
}

function Change({ found, again }: { found: Retention; again: () => void }) {
  const days = useSignal(String(found.days ?? ""));
  const would = useSignal<Retention | null>(null);
  const sure = useSignal(false);
  const { busy, problem, send } = useSending();
  const look = (event: Event) => {
    event.preventDefault();
    sure.value = false;
    void send(async () => void (would.value = await call<Retention>("GET", `/desk/retention?days=${encodeURIComponent(days.value)}`)));
  };
  const set = (to: Retention | null) =>
    void send(async () => {
      await call<Retention>("PATCH", "/desk/retention", { days: to?.days ?? null, jobs_now: to?.now.length ?? 0 });
      would.value = null;
      again();
    });
  const asked = would.value;
  return (
    <>
      <form class="in-line" onSubmit={look}>
        <label>
          {words.days}
          <input type="number" required min={1} max={36500} step={1} value={days.value} onInput={(e) => ((days.value = e.currentTarget.value), (would.value = null))} />
        </label>
        <button disabled={busy.value}>{words.look}</button>
        {found.days !== null && (
          <button type="button" disabled={busy.value} onClick={() => set(null)}>
            {words.good}
          </button>
        )}
      </form>
      {problem.value && <Words message={problem.value} />}
      {asked && (
        <div aria-live="polite">
          <WouldGo found={asked} />
          {asked.now.length > 0 && (
            <label class="choice">
              <input type="checkbox" checked={sure.value} onChange={(e) => (sure.value = e.currentTarget.checked)} /> {eraseWords.sure}
            </label>
          )}
          <p class="in-line">
            <button class={asked.now.length > 0 ? "danger" : "press"} disabled={busy.value || (asked.now.length > 0 && !sure.value)} onClick={() => set(asked)}>
              {words.set(asked.now.length)}
            </button>
            <button type="button" onClick={() => (would.value = null)}>
              {words.leave}
            </button>
          </p>
        </div>
      )}
    </>
  );
}

export function RetentionCard() {
  return (
    <section class="card" aria-labelledby="retention">
      <h2 id="retention">{words.title}</h2>
      <p>{words.about}</p>
      <Loaded of="retention" load={() => call<Retention>("GET", "/desk/retention")}>
        {(found, again) => (
          <>
            <Standing found={found} />
            <Change key={String(found.days)} found={found} again={again} />
          </>
        )}
      </Loaded>
    </section>
  );
}
