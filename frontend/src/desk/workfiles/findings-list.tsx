// What the checks found at a place, in three sentences, with the mend that one press makes.
import { useSignal } from "@preact/signals";
import { withReason } from "./accepting";
import type { Editing } from "./editing";
import { mendOf } from "./mends";
import type { Things } from "./things";
import type { Finding } from "./types";
import { tryEdit } from "./use-editing";

export function FindingLines({ findings, editing, things, at }: { findings: Finding[]; editing: Editing; things: Things; at?: (finding: Finding) => void }) {
  if (findings.length === 0) return null;
  return (
    <ul class="finding-lines">
      {findings.map((finding, n) => {
        const mend = mendOf(finding, editing.readable.value, things);
        return (
          <li key={`${finding.code} ${finding.line} ${n}`} class={`finding ${finding.severity}`} data-code={finding.code}>
            <p>
              <b class="finding-word">{finding.severity}</b> {finding.message.happened}
              {finding.variants && <span class="quiet"> On: {finding.variants}.</span>}
            </p>
            <p class="quiet">
              {finding.message.means} {finding.message.do}
            </p>
            {finding.reason && <p>It may stand, because: {finding.reason}</p>}
            <p class="finding-acts">
              {mend && (
                <button class="mend" onClick={() => tryEdit(editing, mend.make)}>
                  {mend.words}
                </button>
              )}
              {at && (
                <button class="quiet-button" onClick={() => at(finding)}>
                  Line {finding.line}
                </button>
              )}
            </p>
            {finding.severity === "warning" && !finding.reason && <LetStand finding={finding} editing={editing} />}
          </li>
        );
      })}
    </ul>
  );
}

/** A warning that is right as it stands: its reason is kept in the text, and in the revision. */
function LetStand({ finding, editing }: { finding: Finding; editing: Editing }) {
  const open = useSignal(false);
  const reason = useSignal("");
  if (!open.value)
    return (
      <button class="quiet-button" onClick={() => (open.value = true)}>
        Let it stand, with a reason …
      </button>
    );
  const keep = (event: Event) => {
    event.preventDefault();
    if (tryEdit(editing, (text) => withReason(text, finding, reason.value.replace(/\s+/g, " ").trim()))) open.value = false;
  };
  return (
    <form class="in-line" onSubmit={keep}>
      <label>
        Why it may stand
        <input required maxLength={500} value={reason.value} onInput={(e) => (reason.value = e.currentTarget.value)} />
      </label>
      <button class="press" disabled={!reason.value.trim()}>
        Keep the reason
      </button>
      <button type="button" onClick={() => (open.value = false)}>
        Leave it
      </button>
    </form>
  );
}
