/**
 * A published figure in both unit systems: what the source printed first, the other as an instrument shows it.
 * Knows which unit stands for which; knows no wording beyond number and unit.
 */
import { readQuantityText } from "./quantity-text";
import { displayStep, shown, snapped, steppedText } from "./rounding";
import { convert, parsePair, withTolerance } from "./units";
import type { Kind, Quantity } from "./units";

/** Number text and unit symbol, to be set side by side. */
export type Shown = { text: string; unit: string };
/** A figure in the unit it was published in, in the other system, and its tolerance in both (`± 1`, `± 9`). */
export type BothUnits = { main: Shown; other: Shown | null; tolerance: { main: string; other: string | null } | null };

const LBF_FT_FROM_NM = 10 * 1.3558179483314004;
const OTHER: Readonly<Record<string, string>> = {
  "lbf·ft": "N·m", "lbf·in": "N·m", "ozf·in": "N·m", "kgf·m": "N·m", "kgf·cm": "N·m",
  mm: "in", cm: "in", m: "ft", "µm": "thou", in: "mm", ft: "m", thou: "mm",
  "US fl oz": "ml", "imp fl oz": "ml", "US pt": "ml", "imp pt": "ml", "US qt": "l", "imp qt": "l", "US gal": "l", "imp gal": "l",
  kPa: "psi", Pa: "psi", hPa: "psi", MPa: "psi", bar: "psi", "kgf/cm²": "psi", psi: "kPa", atm: "kPa", inHg: "kPa", mmHg: "kPa",
  "°C": "°F", "°F": "°C", K: "°C", kg: "lb", g: "oz", lb: "kg", oz: "g", stone: "kg", "km/h": "mph", mph: "km/h", "m/s": "km/h",
};

/** The unit of the other system for an amount of `canonical`: torque below 10 lbf·ft goes to lbf·in. */
export function otherUnit(unit: string, canonical: number): string | null {
  if (unit === "N·m" || unit === "N·cm") return snapped(canonical, 12) >= snapped(LBF_FT_FROM_NM, 12) ? "lbf·ft" : "lbf·in";
  if (unit === "ml" || unit === "l") return canonical >= 946.352946 ? "US qt" : "US fl oz";
  return OTHER[unit] ?? null;
}

/**
 * `figure` as published and in the other system. The second is converted from the published text, never from a rounded
 * copy; where the source itself prints a second unit, that one is shown. Throws what `parsePair` and `withTolerance` throw.
 */
export function figureInBoth(figure: { kind: string; as_published: string; tolerance?: string | null }): BothUnits {
  const pair = parsePair(figure.as_published, figure.kind as Kind);
  const main = pair.main;
  const wanted = otherUnit(main.written_unit, largest(main));
  const printed = pair.others.find((quantity) => quantity.written_unit === wanted) ?? pair.other;
  const unit = printed ? printed.written_unit : wanted;
  const other = unit === null ? null : { text: printed ? printed.written_text : inUnit(main, unit), unit };
  const bounded = figure.tolerance ? withTolerance(main, figure.tolerance) : null;
  return { main: { text: main.written_text, unit: unitWord(main) }, other, tolerance: bounded && toleranceShown(bounded, unit) };
}

/** The unit, or what is counted as the source words it: `1400` and `rpm`, `12` and `clicks`. */
function unitWord(quantity: Quantity): string {
  return quantity.written_unit || readQuantityText(quantity.as_written).unit_text;
}

function largest(quantity: Quantity): number {
  return Math.max(...[quantity.value, quantity.low, quantity.high].map((number) => Math.abs(number ?? 0)));
}

/** The numbers of `quantity` in `unit`, in the same form: one value, a range, a bound, a tolerance. */
function inUnit(quantity: Quantity, unit: string): string {
  const { written_value: value, written_low: low, written_high: high, written_unit } = quantity;
  const text = (number: number) => shown(convert(number, written_unit, unit), unit);
  if (value !== null) return `${text(value)} ${roomsShown(quantity, unit)}`.trim();
  if (low !== null && high !== null) return `${text(low)} to ${text(high)}`;
  return low !== null ? `at least ${text(low)}` : `at most ${text(high ?? NaN)}`;
}

/** The tolerance of a value in `unit`: `± 9`, or `+18/-9`; empty without one. */
function roomsShown(quantity: Quantity, unit: string): string {
  const { written_value: value, written_low: low, written_high: high, written_unit, written_text } = quantity;
  if (value === null || low === null || high === null) return "";
  if (written_text.endsWith("%")) return `±${written_text.split("±")[1] ?? ""}`;
  const perUnit = convert(1, written_unit, unit) - convert(0, written_unit, unit);
  const [down, up] = [snapped((value - low) * perUnit, 12), snapped((high - value) * perUnit, 12)];
  const step = displayStep(convert(value, written_unit, unit), unit);
  if (Math.abs(up - down) < 1e-9 * Math.max(up, 1)) return `± ${steppedText(up, step)}`;
  return `+${steppedText(up, step)}/-${steppedText(down, step)}`;
}

function toleranceShown(bounded: Quantity, other: string | null): { main: string; other: string | null } {
  return { main: bounded.written_text.slice(bounded.written_text.search(/[±+]/)), other: other && roomsShown(bounded, other) };
}
