// Opens a workfile for a page, and draws what every editor has: its state, undo and redo, what two people wrote, what was left behind.
import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { call, type Message, wordsOf } from "../api";
import { counted, Link, when, Words } from "../parts";
import { session } from "../state";
import { TwoTexts } from "./two-texts";
import { Editing } from "./editing";
import type { WorkfileText } from "./types";
import { Versions } from "./versions";
import { CannotEdit } from "./yaml-text";

export function WithEditing({ id, children }: { id: string; children: (editing: Editing) => ComponentChildren }) {
  const editing = useSignal<Editing | null>(null);
  const problem = useSignal<Message | null>(null);
  useEffect(() => {
    let current = true;
    editing.value = null;
    call<WorkfileText>("GET", `/desk/workfiles/${encodeURIComponent(id)}`).then(
      (file) => current && (editing.value = new Editing(file, session.peek()!.dealer.slug)),
      (error: unknown) => current && (problem.value = wordsOf(error)),
    );
    return () => {
      current = false;
      editing.peek()?.close();
    };
  }, [id]);
  if (problem.value)
    return (
      <main class="sheet">
        <Words message={problem.value} />
        <Link to="/desk/writing">All maps and procedures in writing</Link>
      </main>
    );
  if (!editing.value) return <p class="quiet waiting">Fetching the text …</p>;
  return <>{children(editing.value)}</>;
}

const TIME = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit" });

function savingWords({ saving }: Editing): string {
  const { state, at } = saving.value;
  const time = TIME.format(new Date(at));
  if (state === "saved") return `Saved ${time}`;
  if (state === "choosing") return "Kept in this browser; choose below";
  if (state === "waiting") return "Not on the server yet; kept in this browser";
  return "Saving …";
}

function provingWords({ findings, proving, unproven }: Editing): string {
  if (proving.value === "not_proven") return `Not proven. ${unproven.value}`;
  if (findings.value === null) return "Proving …";
  const grave = findings.value.filter(({ severity }) => severity === "error" || severity === "block").length;
  const light = findings.value.length - grave;
  const words = [grave && `${counted(grave, "fault")} to mend`, light && `${counted(light, "hint")}`].filter(Boolean).join(", ");
  return words || (proving.value === "proving" ? "Proving …" : "Proven: no findings");
}

/** Ctrl+Z, Ctrl+Y and Ctrl+Shift+Z anywhere on the page, also in fields: the text has one past. */
function useUndoKeys(editing: Editing): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
      const key = event.key.toLowerCase();
      const back = key === "z" && !event.shiftKey;
      if (!back && key !== "y" && key !== "z") return;
      event.preventDefault();
      if (back) editing.undo();
      else editing.redo();
    };
    addEventListener("keydown", onKey);
    return () => removeEventListener("keydown", onKey);
  }, [editing]);
}

/** The bar above an editor. `views`: the ways to look at the text. */
export function EditBar({ editing, view, views }: { editing: Editing; view: { value: string }; views: [string, string][] }) {
  useUndoKeys(editing);
  const { saving, back, forth, findings } = editing;
  const grave = findings.value?.some(({ severity }) => severity === "error" || severity === "block") ?? true;
  return (
    <>
      <div class="edit-bar">
        <div class="edit-views" role="group" aria-label="Ways to look at it">
          {views.map(([name, words]) => (
            <button key={name} aria-pressed={view.value === name} onClick={() => (view.value = name)}>
              {words}
            </button>
          ))}
        </div>
        <div role="group" aria-label="Steps back and forth">
          <button disabled={back.value.length === 0} onClick={() => editing.undo()}>
            Undo
          </button>
          <button disabled={forth.value.length === 0} onClick={() => editing.redo()}>
            Redo
          </button>
        </div>
        <p class={grave ? "edit-state look-word" : "edit-state"} data-proving={editing.proving.value}>
          {provingWords(editing)}
        </p>
        <p class="edit-state" data-saving={saving.value.state} role="status">
          {savingWords(editing)}
        </p>
        <a class="as-button" href={`/api/v1/desk/workfiles/${editing.file.id}/yaml`} download>
          Take out as a file
        </a>
      </div>
      {saving.value.words && <Words message={saving.value.words} />}
      {editing.said.value && (
        <p class="edit-said" role="status">
          {editing.said.value} <button onClick={() => (editing.said.value = "")}>Seen</button>
        </p>
      )}
      <LeftBehind editing={editing} />
      {editing.conflict.value && <TwoTexts editing={editing} found={editing.conflict.value} />}
      <Versions editing={editing} />
    </>
  );
}

function LeftBehind({ editing }: { editing: Editing }) {
  return (
    <>
      {editing.left.value.map((kept) => (
        <div class="card look" key={kept.tab}>
          <p>
            <b>This browser kept a text of {when(kept.at)} that the server never got.</b> It was made from version {kept.base}.
          </p>
          <div class="in-line">
            <button class="press" onClick={() => editing.takeIn(kept)}>
              Go on with that text
            </button>
            <button onClick={() => editing.dropKept(kept)}>Throw it away</button>
          </div>
        </div>
      ))}
    </>
  );
}

/** True when an edit could be made; else says why not. */
export function tryEdit(editing: Editing, make: (text: string) => string, field = ""): boolean {
  try {
    editing.change(make(editing.text.peek()), field);
    return true;
  } catch (error) {
    if (!(error instanceof CannotEdit)) throw error;
    editing.said.value = "The form cannot change this place without touching more than it. Change it in the text view.";
    return false;
  }
}
