/** What changed since the revision that a job follows: finished steps to do again or to answer for, then everything. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { FigureShown } from "../../components/figure-shown";
import { TextField } from "../../components/fields";
import { BackPress, Page } from "../../components/page";
import { say } from "../../components/said";
import type { StepToSee } from "../../domain/on-job";
import { record, type BulletinChange } from "../../store/bench";
import { changeInWords, changesWords as words, severityInWords } from "../../text/change-words";
import { stepWords } from "../../text/job-words";
import type { JobView, News } from "../job/job-view";

export function ChangesRoom({ view }: { view: JobView }) {
  const { news } = view;
  if (!news) return <Page title={words.title} act={<BackPress otherwise={`/job/${view.job}`} words={words.back} />}><p>{words.none}</p></Page>;
  const concerning = news.bulletin.changes.filter(({ id }) => news.concerns.includes(id));
  const open = news.steps.filter(({ answer }) => answer === null);
  return (
    <Page
      title={words.title}
      sub={words.sub(news.bulletin.from.revision, news.bulletin.to.revision)}
      act={<BackPress otherwise={`/job/${view.job}`} words={words.back} />}
    >
      <section class="card hung">
        {news.bulletin.text.split("\n").map((line, n) => (
          <p key={n}>{line}</p>
        ))}
        <Read view={view} news={news} />
      </section>
      {news.steps.length > 0 && <h2>{words.toSee}</h2>}
      {open.length > 0 && <p>{words.toSeeWhy}</p>}
      {[...open, ...news.steps.filter(({ answer }) => answer !== null)].map((row) => (
        <ToSee key={row.step} view={view} news={news} row={row} />
      ))}
      <h2>{words.all}</h2>
      <p class="small soft">{words.ahead}</p>
      <Changes changes={concerning.filter(({ severity }) => severity !== "words")} />
      <Reworded count={concerning.filter(({ severity }) => severity === "words").length} />
    </Page>
  );
}

function Reworded({ count }: { count: number }) {
  return count === 0 ? null : <p class="small soft">{words.words(count)}</p>;
}

function Changes({ changes }: { changes: BulletinChange[] }) {
  return (
    <section class="card">
      <ul class="rows">
        {changes.map((change) => (
          <li key={change.id}>
            {change.severity === "safety" && <strong>{severityInWords(change.severity)}. </strong>}
            {changeInWords(change)}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** A finished step: old and new beside each other, and the two answers. */
function ToSee({ view, news, row }: { view: JobView; news: News; row: StepToSee }) {
  const changes = news.bulletin.changes.filter(({ id }) => row.changes.includes(id));
  const step = view.steps.find(({ id }) => id === row.step);
  return (
    <section class="card" aria-label={step?.say ?? words.added}>
      <h3>{step ? `${view.steps.indexOf(step) + 1}. ${step.say}` : words.added}</h3>
      {changes.map((change) => (
        <Told key={change.id} change={change} revision={news.bulletin.to.revision} />
      ))}
      {row.answer ? (
        <p>
          <strong>{words.answered[row.answer.answer === "redone" ? "redone" : "accepted"]}</strong> {row.answer.reason}
        </p>
      ) : (
        <Answers view={view} news={news} row={row} />
      )}
    </section>
  );
}

function Told({ change, revision }: { change: BulletinChange; revision: number }) {
  const { old = null, new: now = null } = change.figures ?? {};
  if (!old) return <p>{changeInWords(change)}</p>;
  return <FigureShown figure={old} name={change.name} newer={{ figure: now, revision }} small />;
}

function Answers({ view, news, row }: { view: JobView; news: News; row: StepToSee }) {
  const reason = useDraft(`changed:${view.job}:${row.step}`);
  const missing = useSignal(false);
  const keeping = useSignal(false);
  const attempt = useAttempt();
  const answer = async (how: "redone" | "accepted", why: string) => {
    const body = { to: news.bulletin.to.sha256, step: row.step, answer: how, changes: row.changes, reason: why };
    if (!(await attempt.run(() => record(view.job, "BulletinAnswered", body)))) return;
    await reason.clear();
    say(stepWords.saved);
  };
  const keep = (event: Event) => {
    event.preventDefault();
    const why = reason.text.value.trim();
    missing.value = why === "";
    if (why !== "") void answer("accepted", why);
  };
  return (
    <>
      <Problem message={attempt.problem.value} />
      {keeping.value ? (
        <form class="stack" onSubmit={keep} noValidate>
          <TextField label={words.reason} value={reason.text.value} many error={missing.value ? words.reasonMissing : null} onText={reason.type} />
          <button type="submit" class="press" disabled={attempt.busy.value}>
            {words.keep}
          </button>
        </form>
      ) : (
        <div class="presses">
          <button type="button" class="press" onClick={() => (keeping.value = true)}>
            {words.keep}
          </button>
          <button type="button" class="press main" disabled={attempt.busy.value} onClick={() => answer("redone", "")}>
            {words.redone}
          </button>
        </div>
      )}
    </>
  );
}

function Read({ view, news }: { view: JobView; news: News }) {
  const attempt = useAttempt();
  if (news.seen) return <p class="soft">{words.wasRead}</p>;
  const body = { to: news.bulletin.to.sha256, step: null, answer: "seen", changes: news.concerns, reason: "" };
  const read = async () => {
    if (await attempt.run(() => record(view.job, "BulletinAnswered", body))) say(stepWords.saved);
  };
  return (
    <>
      <Problem message={attempt.problem.value} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={read}>
        {words.read}
      </button>
    </>
  );
}
