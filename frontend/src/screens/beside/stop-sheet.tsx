/** Stopping here: whether the machine can be left or pushed as it is, and else the shortest way there, step by step. */
import { useMemo } from "preact/hooks";
import { Problem } from "../../components/attempt";
import { Icon } from "../../components/icon";
import { Sheet } from "../../components/sheet";
import type { Message } from "../../store/bench";
import { stopWords as words } from "../../text/beside-words";
import { moreWords } from "../../text/job-words";
import type { JobView } from "../job/job-view";
import { pathOf } from "../job/step-way";
import { stopsOf, type StopView } from "./stop-view";

/** One quiet line under a step. */
export function StopLine({ view, to }: { view: JobView; to: string }) {
  const leave = useMemo(() => stopsOf(view)[0]!, [view]);
  return (
    <a class="inline-link tall" href={to}>
      {words.title} {leave.short.charAt(0).toUpperCase() + leave.short.slice(1)}.
    </a>
  );
}

type Props = { view: JobView; onPause: () => void; problem: Message | null };

export function StopSheet({ view, onPause, problem }: Props) {
  const stops = useMemo(() => stopsOf(view), [view]);
  const act = (
    <button type="button" class="press grow upright" onClick={onPause}>
      <Icon name="stop" />
      {moreWords.pause}
    </button>
  );
  return (
    <Sheet title={words.title} close={words.back} act={act}>
      <Problem message={problem} />
      {stops.map((stop) => (
        <Stop key={stop.aim} job={view.job} stop={stop} />
      ))}
      <p class="small soft">{words.honest}</p>
    </Sheet>
  );
}

function Stop({ job, stop }: { job: string; stop: StopView }) {
  return (
    <section class="card stop">
      <h3>{stop.heading}</h3>
      {stop.unknown.length > 0 && <Lines heading={words.unknown} lines={stop.unknown} />}
      {stop.first && <p class="big">{stop.first}</p>}
      {stop.rows.length > 0 && (
        <ol class="stop-rows">
          {stop.rows.map(({ text, step }, n) => (
            <li key={n}>
              {step ? (
                <a class="stop-row" href={pathOf(job, step.id)} data-instead>
                  {text} <span class="small">{words.toStep(step.number)}</span>
                </a>
              ) : (
                text
              )}
            </li>
          ))}
        </ol>
      )}
      <p class={stop.first ? undefined : "big"}>{stop.then}</p>
      {stop.seeTo.length > 0 && <Lines heading={stop.first ? words.seeToThen : words.seeTo} lines={stop.seeTo} />}
      {stop.other && <p class="soft">{stop.other}</p>}
      {stop.against.length > 0 && (
        <details>
          <summary>{words.against(stop.against.length)}</summary>
          <Lines lines={stop.against} />
        </details>
      )}
    </section>
  );
}

function Lines({ heading, lines }: { heading?: string; lines: string[] }) {
  return (
    <>
      {heading && (
        <p>
          <strong>{heading}</strong>
        </p>
      )}
      <ul class="stop-rows">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </>
  );
}
