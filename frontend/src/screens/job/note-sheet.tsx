/** Writing a note: the draft is kept while typing, and the note is called saved only when it is. */
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { TextField } from "../../components/fields";
import { say } from "../../components/said";
import { closeSheet, Sheet } from "../../components/sheet";
import { clearDraft, readDraft, record, writeDraft } from "../../store/bench";
import { moreWords, noteWords as words, stepWords } from "../../text/job-words";

export function NoteSheet({ job, step }: { job: string; step: string | null }) {
  const key = `note:${job}:${step ?? "job"}`;
  const text = useSignal("");
  const missing = useSignal(false);
  const attempt = useAttempt();
  useEffect(() => {
    void readDraft(key).then((draft) => text.peek() === "" && (text.value = draft));
  }, [key]);
  const save = async (event: Event) => {
    event.preventDefault();
    const note = text.value.trim();
    missing.value = note === "";
    if (missing.value) return;
    const kept = await attempt.run(async () => {
      await record(job, "NoteWritten", { step, text: note });
      await clearDraft(key);
    });
    if (!kept) return;
    say(stepWords.saved);
    closeSheet();
  };
  const typed = (next: string) => {
    text.value = next;
    writeDraft(key, next);
  };
  const press = (
    <button type="submit" form="note-form" class="press main grow" disabled={attempt.busy.value}>
      {attempt.busy.value ? stepWords.saving : words.save}
    </button>
  );
  return (
    <Sheet title={words.title} close={moreWords.back} act={press}>
      <form id="note-form" onSubmit={save} noValidate>
        <TextField label={words.text} value={text.value} many error={missing.value ? words.empty : null} onText={typed} />
      </form>
      <Problem message={attempt.problem.value} />
    </Sheet>
  );
}
