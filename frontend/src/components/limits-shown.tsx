/** The limits of a reading as one large figure: "at least 1.0 mm", "0.10 to 0.30 mm". Takes records, as FigureShown does. */
import { library, type Figure } from "../store/bench";
import { figureWords as words } from "../text/job-words";
import { ageInWords } from "../text/say";
import { FigureUnknown, Hero, inBoth } from "./figure-shown";
import type { Shown } from "../domain/figure-display";

export function LimitsShown({ low, high, missing = false }: { low: Figure | null; high: Figure | null; missing?: boolean }) {
  const given = [low, high].filter((figure) => figure !== null);
  const [lowBoth, highBoth] = [inBoth(low), inBoth(high)];
  const known = [lowBoth, highBoth].filter((both) => both !== null);
  if (missing || given.length === 0 || known.length < given.length) return <FigureUnknown />;
  const others = inOne(lowBoth?.[1], highBoth?.[1], low === high);
  return (
    <div class="figure" role="group" aria-label={words.label()}>
      {inOne(lowBoth?.[0], highBoth?.[0], low === high).map((shown, n) => (
        <Hero key={shown.text} shown={shown} other={others[n] ?? null} />
      ))}
      {published(given).map((figure) => (
        <p key={figure.id} class="figure-from">
          <span class="figure-published">{words.published(figure)}</span>{" "}
          {words.from(figure, ageInWords(library.value.age, library.value.ageDays))}
        </p>
      ))}
    </div>
  );
}

/** What was published, once where both limits stand in the same place of the same source. */
function published(given: Figure[]): Figure[] {
  const [low, high] = [...new Set(given)];
  if (!low || !high) return low ? [low] : [];
  const same =
    low.source === high.source && low.condition === high.condition && low.revision === high.revision && !low.tolerance && !high.tolerance;
  return same ? [{ ...low, as_published: `${low.as_published} to ${high.as_published}` }] : [low, high];
}

/** Both bounds in one where their units are the same, else one after the other. A figure that is itself a range stands as it is. */
function inOne(low: Shown | null | undefined, high: Shown | null | undefined, same: boolean): Shown[] {
  if (low && high && same) return [low];
  if (low && high && low.unit === high.unit) return [{ text: `${low.text} to ${high.text}`, unit: low.unit }];
  return [low && bounded(low, words.atLeast), high && bounded(high, words.atMost)].filter((shown) => shown != null);
}

const bounded = (shown: Shown, word: string): Shown => (/^at /.test(shown.text) ? shown : { ...shown, text: `${word} ${shown.text}` });
