// Sends the saved version of a workfile to review; what is saved later is not part of it. Says first what it would meet: the revision
// in force, what changes, and the published procedures that a change of the map touches.
import { useSignal } from "@preact/signals";
import { call } from "../api";
import { Findings, type Finding } from "../library-sheet";
import { counted, Link, Loaded, useSending, Words } from "../parts";
import { go, mayWrite } from "../state";
import type { Editing } from "./editing";
import { HEAD_KEYS } from "./steps";
import { tryEdit } from "./use-editing";
import { setValue } from "./yaml-text";

type Change = { severity: "safety" | "work" | "words"; words: string; redo: boolean };
type Touched = { procedure: string; title: string; revision: number; changes: Change[]; findings: Finding[]; workfile: string | null };
type Met = { revision: number | null; in_force: number | null; same: boolean; changes: Change[]; touched: Touched[] };

export function SendForReview({ editing }: { editing: Editing }) {
  const open = useSignal(false);
  const note = useSignal("");
  const left = useSignal<string[]>([]);
  if (!mayWrite()) return null;
  const version = editing.version.value;
  const saved = editing.saving.value.state === "saved";
  const at = `/desk/workfiles/${editing.file.id}/before-review`;
  return (
    <details class="send-on" open={open.value} onToggle={(e) => (open.value = e.currentTarget.open)}>
      <summary>Send version {version} for review</summary>
      {open.value && !saved && <p class="quiet">Waits until it is saved.</p>}
      {open.value && saved && (
        <Loaded of={`${version}`} load={() => call<Met>("POST", at, { text: editing.text.peek() })}>
          {(met) => <Sending editing={editing} met={met} version={version} note={note} left={left} />}
        </Loaded>
      )}
    </details>
  );
}

type SendingProps = { editing: Editing; met: Met; version: number; note: { value: string }; left: { value: string[] } };

function Sending({ editing, met, version, note, left }: SendingProps) {
  const { busy, problem, send } = useSending();
  const stale = met.in_force !== null && met.revision !== null && !met.same && met.revision <= met.in_force;
  const submit = (event: Event) => {
    event.preventDefault();
    const touched = met.touched.filter(({ procedure, findings }) => findings.length === 0 && !left.value.includes(procedure)).map(({ procedure }) => procedure);
    void send(async () => {
      const made = await call<{ id: string }>("POST", "/desk/proposals", { workfile: editing.file.id, version, change_note: note.value, touched });
      go(`/desk/review/${made.id}`);
    });
  };
  return (
    <div class="before-review">
      {met.in_force === null ? <p>Nothing of it is published yet.</p> : <Differences met={met} />}
      {stale && <CountUp editing={editing} next={met.in_force! + 1} />}
      {met.touched.length > 0 && <TouchedList touched={met.touched} left={left} />}
      <form class="in-line" onSubmit={submit}>
        <label>
          What changed, in a sentence
          <input required maxLength={300} value={note.value} onInput={(e) => (note.value = e.currentTarget.value)} />
        </label>
        <button class="press" disabled={busy.value || stale}>
          Send for review
        </button>
      </form>
      {problem.value && <Words message={problem.value} />}
    </div>
  );
}

function Differences({ met }: { met: Met }) {
  if (met.changes.length === 0) return <p>Revision {met.in_force} is in force. Nothing that matters is different from it.</p>;
  return (
    <>
      <p>Revision {met.in_force} is in force. Different from it:</p>
      <Changes changes={met.changes} />
    </>
  );
}

const MOST_SHOWN = 30;

function Changes({ changes }: { changes: Change[] }) {
  return (
    <ul class="changes">
      {changes.slice(0, MOST_SHOWN).map((change, n) => (
        <li key={n} class={change.severity === "safety" ? "look-word" : ""}>
          {change.words}
          {change.redo ? " Finished steps are to be done again or accepted." : ""}
        </li>
      ))}
      {changes.length > MOST_SHOWN && <li class="quiet">and {changes.length - MOST_SHOWN} more</li>}
    </ul>
  );
}

/** One press: the next revision, issued today. */
function CountUp({ editing, next }: { editing: Editing; next: number }) {
  const today = new Date();
  const day = [today.getFullYear(), today.getMonth() + 1, today.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
  const count = () => tryEdit(editing, (text) => setValue(setValue(text, ["revision"], String(next), HEAD_KEYS), ["issued"], day, HEAD_KEYS));
  return (
    <p class="look-word">
      The text does not say a newer revision. What is published is never overwritten.{" "}
      <button class="mend" onClick={count}>
        Make it revision {next}, issued today
      </button>
    </p>
  );
}

function TouchedList({ touched, left }: { touched: Touched[]; left: { value: string[] } }) {
  const toggle = (procedure: string, on: boolean) => (left.value = on ? left.value.filter((one) => one !== procedure) : [...left.value, procedure]);
  return (
    <fieldset class="touched">
      <legend>The map’s change touches {counted(touched.length, "published procedure")}</legend>
      <p class="quiet">A phone hears of it only by a new revision of the procedure. Each one ticked gets its next revision with this map, of its own text in force.</p>
      {touched.map((one) => (
        <div key={one.procedure}>
          <label class="tick-line">
            <input
              type="checkbox"
              disabled={one.findings.length > 0}
              checked={one.findings.length === 0 && !left.value.includes(one.procedure)}
              onChange={(e) => toggle(one.procedure, e.currentTarget.checked)}
            />
            <span>
              {one.title}: revision {one.revision} becomes {one.revision + 1}
            </span>
          </label>
          <Changes changes={one.changes} />
          {one.findings.length > 0 && (
            <>
              <p class="look-word">On this map it has faults. Open its text under Writing and mend it; it then goes to review together with the map.</p>
              <Findings findings={one.findings} />
            </>
          )}
          {one.workfile && (
            <p class="quiet">
              Its text is <Link to={`/desk/writing/${one.workfile}`}>being written</Link> too. What is new there is not part of this.
            </p>
          )}
        </div>
      ))}
    </fieldset>
  );
}
