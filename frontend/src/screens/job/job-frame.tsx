/** What stands round every step: where you are, what is off, loose and drained, and the presses within reach of the thumb. */
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { useAwake } from "../../components/hooks";
import { Icon } from "../../components/icon";
import { Said } from "../../components/said";
import { StepRule } from "../../drawings/step-rule";
import { holdJobOpen, outbox } from "../../store/bench";
import { stepWords as words, stripWords } from "../../text/job-words";
import { outboxInWords } from "../../text/sending-words";
import type { JobView } from "./job-view";

type Props = { view: JobView; at: number; covered: boolean; children: ComponentChildren; acts: ComponentChildren };

/** `covered`: a sheet lies over it, and neither keys nor screen readers may reach what is below. */
export function JobFrame({ view, at, covered, children, acts }: Props) {
  const awake = useAwake();
  useEffect(() => holdJobOpen(view.job), [view.job]);
  const section = view.steps[at]?.section ?? "";
  return (
    <div class="job" inert={covered}>
      <header class="job-head">
        <p class="job-where">
          <span class="job-section">{section}</span>
          <span class="job-awake">
            <Icon name="wake" />
            {awake.value === "awake" ? words.awake : words.maySleep}
          </span>
          <strong>{words.at(at + 1, view.steps.length)}</strong>
        </p>
        <StepRule marks={view.marks} at={at} label={words.rule(at + 1, view.steps.length, view.counts.done, view.counts.skipped)} />
        <Strip view={view} />
      </header>
      <main class="job-body">{children}</main>
      <footer class="job-foot">
        <Said />
        <p class="foot-line">{outboxInWords(outbox.value)}</p>
        <nav class="thumb">{acts}</nav>
      </footer>
    </div>
  );
}

function Strip({ view }: { view: JobView }) {
  const { off, loose, drained } = view;
  const rows: [string, string[]][] = [
    [stripWords.off, off],
    [stripWords.loose, loose],
    [stripWords.drained, drained],
  ];
  return (
    <a class="strip" href={`/job/${view.job}/ledger`}>
      {rows.map(([word, names]) => (
        <span key={word} class={names.length > 0 ? "strip-some" : "strip-none"}>
          <strong>{names.length}</strong> {word}
        </span>
      ))}
      <span class="unseen">{`. ${stripWords.label(off, loose, drained)}. ${stripWords.open}`}</span>
      <Icon name="open" />
    </a>
  );
}
