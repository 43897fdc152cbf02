/** One thing that is not final, with its two ways out: going back to its step, or a reason; for safety a second press elsewhere. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { TextField } from "../../components/fields";
import { say } from "../../components/said";
import { record, type Step } from "../../store/bench";
import { closeWords as words } from "../../text/close-words";
import { skipWords, stepWords } from "../../text/job-words";
import { classesInWords } from "../../text/library-words";
import { CautionCard } from "../../components/caution-card";
import type { EndItem, JobView } from "../job/job-view";
import { pathOf, safetyOf } from "../job/step-way";
import { mendingStep } from "./mending";

export function EndItemCard({ view, item }: { view: JobView; item: EndItem }) {
  const mend = mendingStep(view.pack, view.steps, view.fold.done, item.code, item.object);
  const what = classesInWords([item.safety]);
  const leave = (reason: string) => record(view.job, "EndItemAccepted", { code: item.code, object: item.object, reason });
  return (
    <section class="card">
      <h2>{view.endText(item.code, item.object)}</h2>
      {item.code === "follow_on_missing" && <p>{view.pack.follow_ons[item.object]?.reason}</p>}
      <WithReason
        draft={`leave:${view.job}:${item.code}:${item.object}`}
        mend={mend && wayTo(view, mend)}
        label={words.reason}
        press={words.accept}
        careful={what ? words.safety(what) : item.severity === "BLOCK" ? words.block : null}
        onReason={leave}
      />
    </section>
  );
}

export function OpenSteps({ view }: { view: JobView }) {
  const first = view.open[0]!;
  const what = classesInWords([...new Set(view.open.flatMap((step) => safetyOf(view.pack, step)))]);
  const cautioned = view.open.some((step) => step.cautions.length > 0);
  const skipAll = async (reason: string) => {
    for (const step of view.open) await record(view.job, "StepSkipped", { step: step.id, reason });
  };
  return (
    <section class="card">
      <h2>{words.openSteps(view.open.length)}</h2>
      <ul class="rows">
        {view.open.slice(0, 4).map((step) => (
          <li key={step.id}>
            {view.steps.indexOf(step) + 1}. {step.say}
          </li>
        ))}
        {view.open.length > 4 && <li>…</li>}
      </ul>
      <WithReason
        draft={`skip-all:${view.job}`}
        mend={wayTo(view, first)}
        label={words.openStepsReason}
        press={words.skipAll}
        careful={what ? words.safety(what) : cautioned ? skipWords.cautioned : null}
        onReason={skipAll}
      />
    </section>
  );
}

type Way = { to: string; n: number };
const wayTo = (view: JobView, step: Step): Way => ({ to: pathOf(view.job, step.id), n: view.steps.indexOf(step) + 1 });

type ReasonProps = {
  draft: string;
  mend: Way | null;
  label: string;
  press: string;
  careful: string | null;
  onReason: (reason: string) => Promise<unknown>;
};

function WithReason({ draft, mend, label, press, careful, onReason }: ReasonProps) {
  const open = useSignal(false);
  const reason = useDraft(draft);
  const missing = useSignal(false);
  const asked = useSignal(false);
  const attempt = useAttempt();
  const leave = async () => {
    if (await attempt.run(() => onReason(reason.text.value.trim()))) say(stepWords.saved);
    if (!attempt.problem.peek()) await reason.clear();
  };
  const first = () => {
    missing.value = reason.text.value.trim() === "";
    if (missing.value) return;
    if (careful !== null) asked.value = true;
    else void leave();
  };
  if (!open.value) {
    return (
      <div class="presses">
        <button type="button" class="press" onClick={() => (open.value = true)}>
          {press}
        </button>
        {mend && (
          <a class="press main" href={mend.to}>
            {words.go(mend.n)}
          </a>
        )}
      </div>
    );
  }
  if (asked.value && careful !== null) {
    return (
      <div class="stack">
        <button type="button" class="press main" onClick={() => (asked.value = false)}>
          {words.undo}
        </button>
        <CautionCard caution={{ signal: "WARNING", hazard: careful, consequence: "", avoidance: "" }} />
        <p>{reason.text.value.trim()}</p>
        <Problem message={attempt.problem.value} />
        <button type="button" class="press apart-right" disabled={attempt.busy.value} onClick={leave}>
          {words.sure}
        </button>
      </div>
    );
  }
  return (
    <div class="stack">
      <TextField
        label={label}
        hint={words.reasonHint}
        value={reason.text.value}
        many
        error={missing.value ? words.reasonMissing : null}
        onText={reason.type}
      />
      <Problem message={attempt.problem.value} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={first}>
        {press}
      </button>
    </div>
  );
}
