/** What was typed as a reading, made into the canonical value, and the words to record. Knows quantities; nothing of the page. */
import { figureInBoth, type Shown } from "../../domain/figure-display";
import { numberText } from "../../domain/rounding";
import { convert, parseQuantity, type Kind } from "../../domain/units";
import type { Figure, Limits, ProcedurePack } from "../../store/bench";

export type Taken = { value: number; asTyped: string };

/** The reading in the canonical unit. A bare number counts in `unit`, the one shown beside the field. Throws Refused as parseQuantity does. */
export function takenFrom(text: string, unit: string, kind: string): Taken {
  const typed = text.trim();
  const bare = /^[+-]?[\d.,/ ]+$/.test(typed);
  const quantity = parseQuantity(bare ? `${typed} ${unit}` : typed, kind as Kind);
  return { value: quantity.value ?? NaN, asTyped: bare ? `${typed} ${unit}` : typed };
}

export type LimitFigures = { low: Figure | null; high: Figure | null };

export function limitFigures(pack: ProcedurePack, limits: Limits): LimitFigures {
  return { low: limits.low === null ? null : (pack.figures[limits.low] ?? null), high: limits.high === null ? null : (pack.figures[limits.high] ?? null) };
}

/** The bound that a figure sets, in the canonical unit. */
export const lowBound = (figure: Figure | null): number | null => figure && (figure.value ?? figure.low);
export const highBound = (figure: Figure | null): number | null => figure && (figure.value ?? figure.high);

/** The unit to type in: as the figure is published. */
export function unitToType(figures: LimitFigures, limits: Limits): string {
  const figure = figures.low ?? figures.high;
  try {
    return figure ? figureInBoth(figure).main.unit : limits.unit;
  } catch {
    return limits.unit;
  }
}

/** A canonical value in another unit, for the drawing. */
export const inUnit = (value: number | null, canonical: string, unit: string): number | null => (value === null ? null : convert(value, canonical, unit));

export const readingText = (value: number, unit: string): string => `${numberText(value)} ${unit}`.trim();
export type { Shown };
