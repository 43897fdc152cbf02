// Sends the saved version of a workfile to review; what is saved later is not part of it.
import { useSignal } from "@preact/signals";
import { call } from "../api";
import { useSending, Words } from "../parts";
import { go, mayWrite } from "../state";
import type { Editing } from "./editing";

export function SendForReview({ editing }: { editing: Editing }) {
  const note = useSignal("");
  const { busy, problem, send } = useSending();
  if (!mayWrite()) return null;
  const saved = editing.saving.value.state === "saved";
  const version = editing.version.value;
  const submit = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      const made = await call<{ id: string }>("POST", "/desk/proposals", { workfile: editing.file.id, version, change_note: note.value });
      go(`/desk/review/${made.id}`);
    });
  };
  return (
    <details>
      <summary>Send version {version} for review</summary>
      <form class="in-line" onSubmit={submit}>
        <label>
          What changed, in a sentence
          <input required maxLength={300} value={note.value} onInput={(e) => (note.value = e.currentTarget.value)} />
        </label>
        <button class="press" disabled={busy.value || !saved}>
          {saved ? "Send for review" : "Waits until it is saved"}
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
    </details>
  );
}
