// Where a procedure can be stopped, seen by its author: after each step the shortest way to a machine that can be left or pushed.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { forVariant } from "../../domain/bench-state";
import type { Variant } from "../../domain/variant";
import type { ProcedurePack } from "../../generated/procedure-pack";
import { StopStrip } from "../../drawings/stop-strip";
import { stopsAfter, type StopView } from "../../screens/beside/stop-view";
import { stopWords } from "../../text/beside-words";
import { listed, sentence } from "../../text/say";
import { stopsWords as words } from "../stops-words";

type Aim = "leave" | "push";
type Place = { number: number; say: string; stops: ReturnType<typeof stopsAfter> };
const AT_A_TIME_MS = 25;

export function Stops({ pack, variant }: { pack: ProcedurePack | null; variant: Variant }) {
  const places = useSignal<Place[]>([]);
  const key = JSON.stringify(variant);
  useEffect(() => {
    places.value = [];
    return pack ? placesOneByOne(forVariant(pack, pack.model ? variant : null), (found) => (places.value = found)) : undefined;
  }, [pack, key]);
  if (!pack) return <p>{words.noPack}</p>;
  const all = forVariant(pack, pack.model ? variant : null).steps.length;
  const found = places.value;
  return (
    <section class="stops" aria-label={words.view}>
      <p class="quiet">{words.about}</p>
      {found.length <= all && (
        <p class="quiet" role="status">
          {words.working(Math.max(0, found.length - 1), all)}
        </p>
      )}
      {found.length > all && (
        <>
          <StopStrip name={words.strip} halves={words.stripHalves} rows={found.map(({ number, stops }) => ({ number, ways: stops.map(lengthOf) }))} />
          <Sums places={found.slice(1)} />
        </>
      )}
      <div class="stop-heads" aria-hidden="true">
        <span />
        <b>{words.aims.leave}</b>
        <b>{words.aims.push}</b>
      </div>
      <ol class="stop-list">
        {found.map((place) => (
          <PlaceLine key={place.number} place={place} />
        ))}
      </ol>
      <p class="quiet">{words.honest}</p>
    </section>
  );
}

/** Works them out a few at a time, so that the page stays quick under the hand. Answers with what stops it. */
function placesOneByOne(pack: ProcedurePack, tell: (places: Place[]) => void): () => void {
  const ids = pack.steps.map(({ id }) => id);
  const places: Place[] = [];
  let waiting = 0;
  const go = () => {
    const until = performance.now() + AT_A_TIME_MS;
    while (places.length <= ids.length && performance.now() < until) {
      const number = places.length;
      places.push({ number, say: pack.steps[number - 1]?.say ?? words.start, stops: stopsAfter(pack, ids.slice(0, number)) });
    }
    tell([...places]);
    if (places.length <= ids.length) waiting = window.setTimeout(go);
  };
  waiting = window.setTimeout(go);
  return () => clearTimeout(waiting);
}

/** Minutes of the way; 0 as it is, null when it is not known. */
const lengthOf = ({ now, way }: Place["stops"][number]): number | null => (now ? 0 : way && way.untimed === 0 ? way.minutes : null);

function Sums({ places }: { places: Place[] }) {
  return (
    <dl class="stop-sums">
      {(["leave", "push"] as const).map((aim, at) => (
        <div key={aim}>
          <dt>{words.counts[aim]}</dt>
          <dd>
            {[words.of(places.filter(({ stops }) => stops[at]!.now).length, places.length), ...badIn(places, at)].map((told) => `${told}.`).join(" ")}
          </dd>
        </div>
      ))}
    </dl>
  );
}

/** What an author should look at: the longest way, where there is none, and where its time is not known. */
function badIn(places: Place[], at: number): string[] {
  const ways = places.map(({ number, stops }) => ({ number, ...stops[at]! }));
  const longest = Math.max(0, ...ways.map((way) => lengthOf(way) ?? 0));
  const there = ways.filter((way) => lengthOf(way) === longest).map(({ number }) => words.step(number));
  const none = ways.filter(({ now, way }) => !now && !way).length;
  const untimed = ways.filter(({ now, way }) => !now && way && way.untimed > 0).length;
  return [
    longest > 0 ? words.longest(Math.round(longest), there.length > 3 ? `${there.slice(0, 3).join(", ")} and others` : listed(there)) : "",
    none > 0 ? words.none(none) : "",
    untimed > 0 ? words.untimed(untimed) : "",
  ].filter(Boolean);
}

function PlaceLine({ place: { number, say, stops } }: { place: Place }) {
  const open = useSignal(false);
  return (
    <li>
      <details onToggle={(e) => (open.value = e.currentTarget.open)}>
        <summary>
          <span class="stop-say">
            <span class="step-number">{number || "\u00a0"}</span>
            <span>{say}</span>
          </span>
          {stops.map(({ stop, now, way }) => (
            <span key={stop.aim} class={now ? "stop-short" : way ? "stop-short way" : "stop-short none"}>
              <span class="stop-aim">{words.aims[stop.aim]}: </span>
              {now ? words.now : way ? stop.short : words.noWay}
            </span>
          ))}
        </summary>
        {open.value && (
          <div class="stop-both">
            {stops.map(({ stop }) => (
              <Told key={stop.aim} stop={stop} />
            ))}
          </div>
        )}
      </details>
    </li>
  );
}

function Told({ stop }: { stop: StopView }) {
  const aim: Aim = stop.aim;
  return (
    <div>
      <h2>{words.aims[aim]}</h2>
      <Lines heading={stopWords.unknown} lines={stop.unknown} />
      {stop.first && <p>{stop.first}</p>}
      {stop.rows.length > 0 && (
        <ol>
          {stop.rows.map(({ text, step }, n) => (
            <li key={n}>
              {text} {step && <span class="quiet">{stopWords.toStep(step.number)}</span>}
            </li>
          ))}
        </ol>
      )}
      <p>{sentence(stop.then)}</p>
      <Lines heading={stop.first ? stopWords.seeToThen : stopWords.seeTo} lines={stop.seeTo} />
      {stop.other && <p class="quiet">{stop.other}</p>}
      <Lines heading={stopWords.against(stop.against.length)} lines={stop.against} />
    </div>
  );
}

function Lines({ heading, lines }: { heading: string; lines: string[] }) {
  if (lines.length === 0) return null;
  return (
    <>
      <p>{heading}</p>
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </>
  );
}
