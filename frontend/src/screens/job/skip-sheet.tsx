/** Skipping a step: a reason first, and where the step is a matter of safety a second press in another place. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { TextField } from "../../components/fields";
import { say } from "../../components/said";
import { Sheet } from "../../components/sheet";
import { record } from "../../store/bench";
import { skipWords as words, stepWords } from "../../text/job-words";

export function SkipSheet({ job, step, careful, onSkipped }: { job: string; step: string; careful: string | null; onSkipped: () => void }) {
  const reason = useDraft(`skip:${job}:${step}`);
  const missing = useSignal(false);
  const asked = useSignal(false);
  const attempt = useAttempt();
  const skip = async () => {
    if (!(await attempt.run(() => record(job, "StepSkipped", { step, reason: reason.text.value.trim() })))) return;
    await reason.clear();
    say(stepWords.saved);
    onSkipped();
  };
  const first = (event: Event) => {
    event.preventDefault();
    missing.value = reason.text.value.trim() === "";
    if (missing.value) return;
    if (careful !== null) asked.value = true;
    else void skip();
  };
  if (asked.value && careful !== null) {
    // the press that skips now stands at the top, where the first one was not
    return (
      <Sheet title={words.title} close={words.keep}>
        <button type="button" class="press" disabled={attempt.busy.value} onClick={skip}>
          {words.sure}
        </button>
        <p>{careful}</p>
        <p>{stepWords.skippedFor(reason.text.value.trim())}</p>
        <Problem message={attempt.problem.value} />
      </Sheet>
    );
  }
  const press = (
    <button type="submit" form="skip-form" class="press" disabled={attempt.busy.value}>
      {words.confirm}
    </button>
  );
  return (
    <Sheet title={words.title} close={words.keep} act={press}>
      <form id="skip-form" onSubmit={first} noValidate>
        <TextField
          label={words.reason}
          hint={words.reasonHint}
          value={reason.text.value}
          many
          error={missing.value ? stepWords.reasonMissing : null}
          onText={reason.type}
        />
      </form>
      <Problem message={attempt.problem.value} />
    </Sheet>
  );
}
