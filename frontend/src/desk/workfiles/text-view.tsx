// The text itself, as it stands in the file: line numbers, and what the checks found on each line.
import type { Signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Editing } from "./editing";
import { FindingLines } from "./findings-list";
import type { Things } from "./things";

export function TextView({ editing, things, line }: { editing: Editing; things: Things; line: Signal<number | null> }) {
  const field = useRef<HTMLTextAreaElement>(null);
  const numbers = useRef<HTMLPreElement>(null);
  const text = editing.text.value;
  const count = text.split("\n").length;
  const lined = new Set((editing.findings.value ?? []).map((finding) => finding.line));
  useEffect(() => {
    const box = field.current;
    if (!box || line.value === null) return;
    const start = text.split("\n").slice(0, line.value - 1).join("\n").length + (line.value > 1 ? 1 : 0);
    const end = text.indexOf("\n", start);
    box.focus();
    box.setSelectionRange(start, end < 0 ? text.length : end);
    box.scrollTop = Math.max(0, (line.value - 6) * parseFloat(getComputedStyle(box).lineHeight));
    line.value = null;
  }, [line.value]);
  const follow = () => {
    if (numbers.current && field.current) numbers.current.scrollTop = field.current.scrollTop;
  };
  return (
    <>
      {!editing.tree.value && <p class="look-word">The text cannot be read as it stands. The form shows the last text that could be.</p>}
      <div class="text-view">
        <pre ref={numbers} aria-hidden="true">
          {Array.from({ length: count }, (_, n) => `${lined.has(n + 1) ? "▸ " : ""}${n + 1}`).join("\n")}
        </pre>
        <textarea
          ref={field}
          aria-label="The text of the file"
          spellcheck={false}
          wrap="off"
          value={text}
          onScroll={follow}
          onInput={(e) => editing.change(e.currentTarget.value, "text")}
        />
      </div>
      <FindingLines findings={editing.findings.value ?? []} editing={editing} things={things} at={(finding) => (line.value = finding.line)} />
    </>
  );
}
