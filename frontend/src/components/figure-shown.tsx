/**
 * A published figure on the screen. It takes the record, never a number: without unit or source nothing is drawn but
 * that the figure is not known. Knows how figures look; nothing of where they come from.
 */
import { figureInBoth, type Shown } from "../domain/figure-display";
import { numberText, shown as asShown, snapped } from "../domain/rounding";
import { library, prefs, type Figure } from "../store/bench";
import { ageInWords } from "../text/say";
import { figureWords as words } from "../text/job-words";

const IMPERIAL = /^(lbf·|ozf·|in$|ft$|thou$|US |imp |psi$|inHg$|°F$|lb$|oz$|stone$|mph$)/;

/** One stage of several: a share of the figure, or an angle past it. */
export type StageShown = { n: number; of: number; share: number | null; angleDeg: number | null };

type Props = {
  figure: Figure | null;
  name?: string;
  newer?: { figure: Figure | null; revision: number } | null;
  stage?: StageShown | null;
  small?: boolean;
};

export function FigureShown({ figure, name, newer, stage, small }: Props) {
  const both = inBoth(figure);
  const staged = both && figure && stagedText(both, figure, stage ?? null);
  if (!figure || !staged) return <FigureUnknown name={name} />;
  const [first, second] = staged;
  return (
    <div class={small ? "figure small-figure" : "figure"} role="group" aria-label={words.label(name)}>
      {stage && stage.of > 1 && <p class="figure-stage">{words.stage(stage)}</p>}
      <Hero shown={first} other={second} />
      {newer && <Newer figure={figure} newer={newer} />}
      <p class="figure-from">
        <span class="figure-published">{words.published(figure)}</span>{" "}
        {words.from(figure, ageInWords(library.value.age, library.value.ageDays))}
      </p>
    </div>
  );
}

export function FigureUnknown({ name }: { name?: string | undefined }) {
  return (
    <div class="figure unknown" role="group" aria-label={words.label(name)}>
      <p class="figure-none">{words.unknown}</p>
      <p>{words.unknownDo}</p>
    </div>
  );
}

/** Both units, the wanted system first, as text for a row: "10 N·m (7.4 lbf·ft)"; null when the figure cannot be shown. */
export function figureText(figure: Figure | null | undefined): string | null {
  const both = inBoth(figure ?? null);
  if (!both) return null;
  const [first, second] = both;
  return `${first.text} ${first.unit}${second ? ` (${second.text} ${second.unit})` : ""}`;
}

/** The wanted unit system first; null for a figure without unit, source or readable text. */
export function inBoth(figure: Figure | null): [Shown, Shown | null] | null {
  if (!figure || !figure.as_published.trim() || !figure.source.trim()) return null;
  try {
    const { main, other } = figureInBoth(figure);
    if (main.unit === "" && figure.kind !== "count") return null;
    const swap =
      other !== null &&
      IMPERIAL.test(other.unit) === (prefs.value.units === "imperial") &&
      IMPERIAL.test(main.unit) !== IMPERIAL.test(other.unit);
    return swap ? [other, main] : [main, other];
  } catch {
    return null;
  }
}

/** What the hero shows at this stage; null when the stage cannot be told from the figure, which then counts as not known. */
function stagedText(both: [Shown, Shown | null], figure: Figure, stage: StageShown | null): [Shown, Shown | null] | null {
  if (stage?.angleDeg != null) return [{ text: numberText(stage.angleDeg), unit: "°" }, null];
  return stage?.share == null || stage.share === 100 ? both : shareOf(figure, stage.share);
}

/** The share of a published value or range, computed from that and never from a rounded copy. */
function shareOf(figure: Figure, share: number): [Shown, Shown | null] | null {
  const ends = figure.value !== null ? [figure.value] : [figure.low, figure.high];
  if (ends.some((end) => end === null)) return null;
  const text = ends.map((end) => String(snapped(((end ?? NaN) * share) / 100, 12))).join(" to ");
  const both = inBoth({ ...figure, as_published: `${text} ${figure.unit}`, tolerance: null });
  return both && [tidy(both[0]), both[1] && tidy(both[1])];
}

const tidy = ({ text, unit }: Shown): Shown => ({ unit, text: Number.isFinite(Number(text)) ? asShown(Number(text), unit) : text });

const BOUND = /^(at least|at most) (.+)$/;

/** The number as large as its length allows, its unit, and the other system, on one line where they fit. */
export function Hero({ shown, other }: { shown: Shown; other: Shown | null }) {
  const [, bound, number = shown.text] = BOUND.exec(shown.text) ?? [];
  return (
    <p class="figure-line">
      {bound && <span class="figure-bound">{bound} </span>}
      <span class={`figure-hero ${number.length > 5 ? "long" : ""}`}>{number.replace(" to ", " – ")}</span>{" "}
      <span class="figure-unit">{shown.unit}</span>{" "}
      {other && (
        <span class="figure-other">
          {other.text} {other.unit}
        </span>
      )}
    </p>
  );
}

function Newer({ figure, newer }: { figure: Figure; newer: { figure: Figure | null; revision: number } }) {
  const conditions = figure.condition !== newer.figure?.condition;
  const [before, now] = [figure, newer.figure].map((one) => {
    const text = figureText(one);
    return text && one && conditions && one.condition ? `${text}, ${one.condition}` : text;
  });
  if (now === before) return null;
  return (
    <p class="figure-newer" role="note">
      {words.newer(newer.revision)} <s>{before}</s> <strong>{now ?? words.unknown}</strong>. {words.newerDo}
    </p>
  );
}
