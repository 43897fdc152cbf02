/** What a step asks to be measured, and what was typed made into a value. Knows quantities and packs; nothing of the page. */
import { figureInBoth } from "../../domain/figure-display";
import { convert, parseQuantity, type Kind } from "../../domain/units";
import type { Figure, Limits, ProcedurePack, Step } from "../../store/bench";

/** `outcomes` is null where a step measures against the check's own figure and says nothing of what follows. */
export type AskedReading = {
  check: string;
  kind: string;
  unit: string;
  low: Figure | null;
  high: Figure | null;
  missing: boolean;
  outcomes: Pick<Limits, "pass" | "fail" | "fail_needs"> | null;
};

export function askedReading(pack: ProcedurePack, step: Step): AskedReading | null {
  const figureOf = (id: string | null | undefined) => (id ? (pack.figures[id] ?? null) : null);
  if (step.limits) {
    const { check, kind, unit, low, high } = step.limits;
    const missing = [low, high].some((id) => id !== null && figureOf(id) === null);
    return { check, kind, unit, low: figureOf(low), high: figureOf(high), missing, outcomes: step.limits };
  }
  const check = step.do.find(({ verb }) => verb === "measure")?.object;
  const figure = figureOf(check === undefined ? null : pack.checks[check]?.figure);
  if (check === undefined || !figure) return null;
  return { check, kind: figure.kind, unit: figure.unit, low: figure, high: figure, missing: false, outcomes: null };
}

export type Taken = { value: number; asTyped: string };

/** The reading in the canonical unit. A bare number counts in `unit`, the one shown beside the field. Throws Refused as parseQuantity does; a range is no reading. */
export function takenFrom(text: string, unit: string, kind: string): Taken | null {
  const typed = text.trim();
  const bare = /^[+-]?[\d.,/ ]+$/.test(typed);
  const asTyped = bare ? `${typed} ${unit}`.trim() : typed;
  const { value, low, high } = parseQuantity(asTyped, kind as Kind);
  return value === null || low !== null || high !== null ? null : { value, asTyped };
}

/** The unit to type in: as the figure is published. */
export function unitToType({ low, high, unit }: AskedReading): string {
  const figure = low ?? high;
  try {
    return figure ? figureInBoth(figure).main.unit : unit;
  } catch {
    return unit;
  }
}

/** A canonical value in the unit typed, for the drawing. */
export const inUnit = (value: number | null, canonical: string, unit: string): number | null =>
  value === null ? null : convert(value, canonical, unit);
