/** Writing a note: the draft is kept while typing, and the note is called saved only when it is. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { TextField } from "../../components/fields";
import { say } from "../../components/said";
import { closeSheet, Sheet } from "../../components/sheet";
import { record } from "../../store/bench";
import { moreWords, noteWords as words, stepWords } from "../../text/job-words";

export function NoteSheet({ job, step }: { job: string; step: string | null }) {
  const draft = useDraft(`note:${job}:${step ?? "job"}`);
  const missing = useSignal(false);
  const attempt = useAttempt();
  const save = async (event: Event) => {
    event.preventDefault();
    const note = draft.text.value.trim();
    missing.value = note === "";
    if (missing.value) return;
    const kept = await attempt.run(async () => {
      await record(job, "NoteWritten", { step, text: note });
      await draft.clear();
    });
    if (!kept) return;
    say(stepWords.saved);
    closeSheet();
  };
  const press = (
    <button type="submit" form="note-form" class="press main grow" disabled={attempt.busy.value}>
      {attempt.busy.value ? stepWords.saving : words.save}
    </button>
  );
  return (
    <Sheet title={words.title} close={moreWords.back} act={press}>
      <form id="note-form" onSubmit={save} noValidate>
        <TextField label={words.text} value={draft.text.value} many error={missing.value ? words.empty : null} onText={draft.type} />
      </form>
      <Problem message={attempt.problem.value} />
    </Sheet>
  );
}
