/** Close-out: what is not final, each to be gone back to or left with a reason; a job is never closed silently. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { CautionCard } from "../../components/caution-card";
import { useDraft } from "../../components/draft";
import { Choice, ChoiceField, focusFirstError, TextField } from "../../components/fields";
import { Leads, Page } from "../../components/page";
import { say } from "../../components/said";
import { record, type Outcome } from "../../store/bench";
import { closeWords as words } from "../../text/close-words";
import { stepWords } from "../../text/job-words";
import { whenInWords } from "../../text/say";
import { JobGate } from "../job/job-gate";
import { AnswerLead } from "../job/answer-lead";
import { NewsLead } from "../job/news-lead";
import { useJob, type JobView } from "../job/job-view";
import { EndItemCard, OpenSteps } from "./end-item-card";

export function CloseScreen({ job }: { job: string }) {
  const loaded = useJob(job);
  return <JobGate loaded={loaded}>{(view) => (view.fold.closed ? <Closed view={view} /> : <CloseOut view={view} />)}</JobGate>;
}

function Closed({ view }: { view: JobView }) {
  const { outcome, words: last, wall } = view.fold.closed!;
  return (
    <Page title={words.title} sub={view.pack.title}>
      <section class="card hung">
        <p class="big">{words.closed(outcome, whenInWords(wall))}</p>
        {last && <p>{last}</p>}
        <p>{words.closedDo}</p>
      </section>
      <RideTest />
      <section class="card">
        <AnswerLead job={view.summary} />
        <NewsLead job={view.summary} />
        <Leads to={`/job/${view.job}/notes`} name="Notes and photos" />
        <Leads to={`/job/${view.job}/torques`} name="Torque sheet" />
        <Leads to="/sending" name={words.file} />
      </section>
    </Page>
  );
}

const RideTest = () => <CautionCard caution={{ signal: "WARNING", hazard: "", consequence: "", avoidance: words.test }} />;

function CloseOut({ view }: { view: JobView }) {
  const items = view.ends.filter(({ code, object }) => !view.fold.accepted.some((done) => done.code === code && done.object === object));
  const left = items.length + view.open.length;
  return (
    <Page title={words.title} sub={view.pack.title}>
      <p class={left > 0 ? "big" : "card"} role="status">
        {left > 0 ? words.left(left) : words.clear}
      </p>
      {(view.news?.left ?? 0) > 0 && (
        <section class="card">
          <NewsLead job={view.summary} />
        </section>
      )}
      {view.open.length > 0 && <OpenSteps view={view} />}
      {items.map((item) => (
        <EndItemCard key={`${item.code} ${item.object}`} view={view} item={item} />
      ))}
      <Accepted view={view} />
      <Ending view={view} left={left} />
    </Page>
  );
}

function Accepted({ view }: { view: JobView }) {
  if (view.fold.accepted.length === 0) return null;
  return (
    <section class="card">
      <h2>{words.accepted}</h2>
      <ul class="rows">
        {view.fold.accepted.map(({ code, object, reason }) => (
          <li key={`${code} ${object}`}>
            {view.endText(code, object)} {reason}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Ending({ view, left }: { view: JobView; left: number }) {
  const outcome = useSignal<Outcome | null>(null);
  const last = useDraft(`close:${view.job}`);
  const tried = useSignal(false);
  const attempt = useAttempt();
  const close = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    if (left > 0 || outcome.value === null) return focusFirstError();
    if (await attempt.run(() => record(view.job, "JobClosed", { outcome: outcome.value, words: last.text.value.trim() })))
      say(stepWords.saved);
    if (!attempt.problem.peek()) await last.clear();
  };
  return (
    <form class="stack" onSubmit={close} noValidate>
      <RideTest />
      <ChoiceField label={words.outcome} error={tried.value && outcome.value === null ? words.outcomeMissing : null}>
        {(Object.keys(words.outcomes) as Outcome[]).map((each) => (
          <Choice key={each} kind="radio" name="outcome" checked={outcome.value === each} onPick={() => (outcome.value = each)}>
            {words.outcomes[each]}
          </Choice>
        ))}
      </ChoiceField>
      <TextField label={words.words} hint={words.wordsHint} value={last.text.value} many onText={last.type} />
      {tried.value && left > 0 && (
        <p class="field-error" role="alert">
          {words.stillOpen}
        </p>
      )}
      <Problem message={attempt.problem.value} />
      <div class="presses">
        <a class="press" href={`/job/${view.job}`}>
          {stepWords.back}
        </a>
        <button type="submit" class="press main" aria-disabled={left > 0} disabled={attempt.busy.value}>
          {words.close}
        </button>
      </div>
    </form>
  );
}
