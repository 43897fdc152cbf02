// What the checks found at a place, in three sentences, with the mend that one press makes.
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
          <li key={`${finding.code} ${finding.line} ${n}`} class={`finding ${finding.severity}`}>
            <p>
              <b class="finding-word">{finding.severity}</b> {finding.message.happened}
              {finding.variants && <span class="quiet"> On: {finding.variants}.</span>}
            </p>
            <p class="quiet">
              {finding.message.means} {finding.message.do}
            </p>
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
          </li>
        );
      })}
    </ul>
  );
}
