/**
 * Quantities with units: reads what people type, converts exactly, keeps what was written.
 * Knows spellings, factors and canonical units; knows no formula of the trade.
 */
import { plainText, readQuantityText, trim } from "./quantity-text";
import { Refused } from "./refused";
import { snapped, withUnit } from "./rounding";
import { CANDIDATES, KINDS, SYMBOL_OF, UNITS, spellingKey } from "./spellings";
import type { Kind } from "./spellings";

export { KINDS } from "./spellings";
export type { Kind } from "./spellings";

// How many canonical units one is (of temperatures: one degree's worth): the doubles nearest the exact factors.
const FACTORS: Readonly<Record<string, number>> = {
  "N·m": 1, "N·cm": 0.01, "lbf·ft": 1.3558179483314004, "lbf·in": 0.1129848290276167, "kgf·m": 9.80665, "kgf·cm": 0.0980665,
  "ozf·in": 0.007061551814226043, mm: 1, cm: 10, m: 1000, "µm": 0.001, in: 25.4, ft: 304.8, thou: 0.0254, ml: 1, l: 1000,
  "US fl oz": 29.5735295625, "imp fl oz": 28.4130625, "US pt": 473.176473, "US qt": 946.352946, "US gal": 3785.411784,
  "imp pt": 568.26125, "imp qt": 1136.5225, "imp gal": 4546.09, kPa: 1, Pa: 0.001, hPa: 0.1, MPa: 1000, bar: 100,
  psi: 6.894757293168361, "kgf/cm²": 98.0665, atm: 101.325, inHg: 3.386388640341, mmHg: 0.133322387415, "°C": 1, "°F": 5 / 9,
  K: 1, kg: 1, g: 0.001, lb: 0.45359237, oz: 0.028349523125, stone: 6.35029318, deg: 1, turn: 360, rad: 180 / Math.PI, min: 1,
  s: 1 / 60, h: 60, d: 1440, V: 1, mV: 0.001, ":1": 1, "%": 1, "km/h": 1, mph: 1.609344, "m/s": 3.6, "": 1,
};
// °C = (reading − zero) · factor
const ZERO_AT: Readonly<Record<string, number>> = { "°C": 0, "°F": 32, K: 273.15 };

// canonical magnitudes that no job of this trade reaches: beyond them a digit or a unit slipped
const LIMITS: Readonly<Record<Kind, readonly [number, number]>> = {
  torque: [0, 20_000], length: [0, 1e6], volume: [0, 1e6], pressure: [0, 1e5], temperature: [-273.15, 2_000], mass: [0, 10_000],
  angle: [0, 36_000], time: [0, 5.3e6], voltage: [0, 1_000], ratio: [0, 1_000], percent: [0, 1_000], speed: [0, 500], count: [0, 1e6],
};

/**
 * A quantity as read. `value`, `low`, `high` in the kind's canonical `unit`; `written_*` in the unit as written.
 * A plain value has `value` only; a range `low` and `high`; a value with tolerance all three; a bound one of the two.
 */
export type Quantity = {
  kind: Kind; value: number | null; low: number | null; high: number | null; unit: string; as_written: string;
  written_value: number | null; written_low: number | null; written_high: number | null; written_unit: string; written_text: string;
};

/**
 * A quantity and the same in further printed units, `other` the first of these. `difference_percent`: the worst of them
 * against the first; `beyond_rounding_percent`: what of it the rounding of the printed digits cannot explain.
 */
export type Pair = {
  main: Quantity; other: Quantity | null; others: Quantity[]; difference_percent: number | null; beyond_rounding_percent: number | null;
};

/** The kind of a unit symbol of ours. Throws `unit_unknown`. */
export function unitKind(symbol: string): Kind {
  const unit = typeof symbol === "string" && Object.hasOwn(UNITS, symbol) ? UNITS[symbol] : undefined;
  if (!unit) throw new Refused("unit_unknown", { written: typeof symbol === "string" ? symbol : "nothing" });
  return unit[0];
}

/** How many canonical units one `symbol` is. Throws `unit_unknown`. */
export function unitFactor(symbol: string): number {
  unitKind(symbol);
  return FACTORS[symbol] ?? NaN;
}

/**
 * `value` in `toUnit`, not rounded; symbols as in `spellings.UNITS`. Temperatures are readings, not differences.
 * Throws `unit_unknown`, `units_of_two_kinds` (30 N·m is never 30 J).
 */
export function convert(value: number, fromUnit: string, toUnit: string): number {
  const [from, to] = [unitKind(fromUnit), unitKind(toUnit)];
  if (from !== to) throw new Refused("units_of_two_kinds", { first: fromUnit, second: toUnit });
  if (fromUnit === toUnit) return value;
  if (from === "temperature") {
    const celsius = (value - (ZERO_AT[fromUnit] ?? 0)) * unitFactor(fromUnit);
    return celsius / unitFactor(toUnit) + (ZERO_AT[toUnit] ?? 0);
  }
  return (value * unitFactor(fromUnit)) / unitFactor(toUnit);
}

/** The symbol of a typed unit. Throws `unit_missing`, `unit_ambiguous` (both with candidates), `unit_unknown`, `unit_other_kind`. */
export function findUnit(text: string, kind: Kind | null): string {
  const key = spellingKey(plainText(text));
  if (key === "" && kind !== "count") throw new Refused("unit_missing", { candidates: examples(kind) });
  let candidates = CANDIDATES.get(kind ?? "")?.get(key);
  if (!candidates && kind && !SYMBOL_OF.has(key)) candidates = CANDIDATES.get("")?.get(key);
  if (candidates) throw new Refused("unit_ambiguous", { written: text, candidates: candidates.join(" or ") });
  const symbol = key === "" ? "" : SYMBOL_OF.get(key);
  if (symbol === undefined) throw new Refused("unit_unknown", { written: text });
  const found = unitKind(symbol);
  if (kind && found !== kind) throw new Refused("unit_other_kind", { written: text, found, kind });
  return symbol;
}

function examples(kind: Kind | null): string {
  const symbols = Object.entries(UNITS).filter(([symbol, [of]]) => symbol && (kind === null || of === kind));
  return symbols.slice(0, 4).map(([symbol]) => symbol).join(", ");
}

/**
 * The quantity that `text` says; with `kind`, only of that kind.
 * Takes values, ranges (`30–40 mm`), tolerances (`10 ± 1 N·m`), bounds (`at least 1.0 mm`), fractions, decimal commas.
 * Canonical numbers are kept to 15 significant digits. Throws `Refused` with the codes of `readQuantityText` and
 * `findUnit`, and `quantity_out_of_range` for negative or absurd amounts, `kind_unknown`.
 */
export function parseQuantity(text: string, kind: Kind | null = null): Quantity {
  if (kind !== null && !Object.hasOwn(KINDS, kind)) throw new Refused("kind_unknown", { kind });
  const reading = readQuantityText(text);
  const written_unit = findUnit(reading.unit_text, kind);
  if (reading.clock && written_unit !== "h") throw new Refused("number_unreadable", { written: reading.text });
  const found = unitKind(written_unit);
  const canonical = (number: number | null) => (number === null ? null : snapped(convert(number, written_unit, KINDS[found])));
  const [low, value, high] = [canonical(reading.low), canonical(reading.value), canonical(reading.high)];
  withinReason(found, [low, value, high]);
  return {
    kind: found, value, low, high, unit: KINDS[found], as_written: text,
    written_value: reading.value, written_low: reading.low, written_high: reading.high, written_unit, written_text: reading.text,
  };
}

function withinReason(kind: Kind, numbers: readonly (number | null)[]): void {
  const [least, most] = LIMITS[kind];
  for (const number of numbers) {
    if (number === null || (least <= number && number <= most)) continue;
    const unit = KINDS[kind];
    throw new Refused("quantity_out_of_range", {
      value: withUnit(number, unit), kind, low: withUnit(least, unit), high: withUnit(most, unit),
    });
  }
}

/**
 * `quantity`, a single value, with the bounds that `tolerance` gives: `± 1 N·m`, `± 10 %`, `+2/-1 N·m`.
 * Throws `tolerance_needs_value` for a range or bound, and what `parseQuantity` throws.
 */
export function withTolerance(quantity: Quantity, tolerance: string): Quantity {
  if (quantity.written_value === null) throw new Refused("tolerance_needs_value", { written: quantity.as_written });
  const plain = plainText(tolerance);
  const text = /^[±+-]/.test(plain) ? plain : `± ${plain}`;
  const digits = quantity.written_text.split(" ±")[0]?.split(" +")[0] ?? "";
  const joined = parseQuantity(`${digits} ${withOwnUnit(text, quantity.written_unit)}`, quantity.kind);
  if (joined.written_unit !== quantity.written_unit || joined.low === null) {
    throw new Refused("units_mixed", { first: quantity.written_unit, second: joined.written_unit });
  }
  const { low, high, written_low, written_high, written_text } = joined;
  return { ...quantity, low, high, written_low, written_high, written_text };
}

/** A tolerance without a unit, or in per cent, takes the unit of its value. */
function withOwnUnit(text: string, unit: string): string {
  return /[0-9%]$/.test(text) ? `${text} ${unit}` : text;
}

/**
 * A quantity with its further printed units: `10 N·m / 88 lbf·in`, `18 N·m (1.8 kgf·m, 13 lbf·ft)`.
 * A text with one unit gives `other` null. Throws what `parseQuantity` throws, and `pair_of_two_kinds`.
 */
export function parsePair(text: string, kind: Kind | null = null): Pair {
  const [first, further] = splitPair(plainText(text));
  const main = parseQuantity(first, kind);
  const others = further.map((part) => parseQuantity(part, kind));
  const strange = others.findIndex((other) => other.kind !== main.kind);
  if (strange >= 0) throw new Refused("pair_of_two_kinds", { first, second: further[strange] ?? "" });
  const gaps = others.flatMap((other) => gapsBetween(main, other));
  const other = others[0] ?? null;
  if (gaps.length === 0) return { main, other, others, difference_percent: null, beyond_rounding_percent: null };
  const worst = gaps.reduce((a, b) => (Math.abs(b[0]) > Math.abs(a[0]) ? b : a));
  return { main, other, others, difference_percent: worst[0], beyond_rounding_percent: Math.max(...gaps.map((gap) => gap[1])) };
}

/** The first quantity and the texts of the further ones. */
function splitPair(text: string): [string, string[]] {
  if (/[)\]]$/.test(text)) {
    const opened = Math.max(text.lastIndexOf("("), text.lastIndexOf("["));
    const inside = text.slice(opened + 1, -1);
    if (opened > 0 && !/^ *[+±]/.test(inside)) return [trim(text.slice(0, opened)), inside.split(/[,;] /).map(trim)];
  }
  const [first = "", ...further] = text.split(/ \/ |; | = | or |, /).map(trim);
  return [first, ...further].every((part) => /^[0-9]/.test(part)) ? [first, further] : [text, []];
}

/** Differences in percent of each number the two share: plain, and beyond the rounding of the printed digits. */
function gapsBetween(main: Quantity, other: Quantity): [number, number][] {
  const room = halfStep(main) + halfStep(other);
  const numbers = [[main.value, other.value], [main.low, other.low], [main.high, other.high]] as const;
  return numbers.flatMap(([a, b]): [number, number][] =>
    a === null || b === null || a === 0 ? [] : [[((b - a) / a) * 100, (Math.max(Math.abs(b - a) - room, 0) / Math.abs(a)) * 100]]);
}

/** Half of the last printed digit, in the canonical unit: 88 lbf·in may be 87.5 to 88.5. */
function halfStep(quantity: Quantity): number {
  const words = quantity.written_text.split(" ").filter((word) => /^[0-9]/.test(word));
  const decimals = Math.max(0, ...words.map((word) => word.split(".")[1]?.length ?? 0));
  return 0.5 * Number(`1e-${decimals}`) * unitFactor(quantity.written_unit);
}
