/**
 * Rounding once, half away from zero, to what an instrument can show.
 * Knows steps by unit; calculations themselves never round and nothing here knows a formula.
 */

type Steps = readonly (readonly [below: number, step: number])[];

// unit → (below this value, step) pairs, the last one open. A step is about 1 % of the value or what the finest usual
// instrument shows, whichever is coarser: rounding then costs at most 0.5 %, an eighth of a wrench's own 4 %.
export const DISPLAY_STEPS: Readonly<Record<string, Steps>> = {
  "N·m": [[50, 0.1], [100, 0.5], [Infinity, 1]],
  "N·cm": [[Infinity, 1]],
  "lbf·ft": [[50, 0.1], [100, 0.5], [Infinity, 1]],
  "lbf·in": [[20, 0.5], [Infinity, 1]],
  "kgf·m": [[10, 0.01], [Infinity, 0.1]],
  "kgf·cm": [[100, 0.5], [Infinity, 1]],
  "ozf·in": [[Infinity, 1]],
  mm: [[10, 0.01], [1000, 0.1], [Infinity, 1]],
  cm: [[100, 0.1], [Infinity, 1]],
  m: [[10, 0.01], [Infinity, 1]],
  "µm": [[Infinity, 1]],
  in: [[1, 0.001], [10, 0.01], [Infinity, 0.1]],
  ft: [[10, 0.01], [Infinity, 0.1]],
  thou: [[10, 0.1], [Infinity, 1]],
  ml: [[10, 0.1], [Infinity, 1]],
  l: [[10, 0.01], [Infinity, 0.1]],
  "US fl oz": [[Infinity, 0.1]],
  "imp fl oz": [[Infinity, 0.1]],
  "US pt": [[Infinity, 0.01]],
  "US qt": [[Infinity, 0.01]],
  "US gal": [[Infinity, 0.01]],
  "imp pt": [[Infinity, 0.01]],
  "imp qt": [[Infinity, 0.01]],
  "imp gal": [[Infinity, 0.01]],
  kPa: [[100, 0.5], [Infinity, 1]],
  bar: [[10, 0.01], [Infinity, 0.1]],
  psi: [[20, 0.1], [100, 0.5], [Infinity, 1]],
  "kgf/cm²": [[10, 0.01], [Infinity, 0.1]],
  "°C": [[Infinity, 1]],
  "°F": [[Infinity, 1]],
  kg: [[10, 0.01], [100, 0.1], [Infinity, 1]],
  g: [[10, 0.1], [Infinity, 1]],
  lb: [[10, 0.01], [100, 0.1], [Infinity, 1]],
  oz: [[Infinity, 0.1]],
  deg: [[Infinity, 1]],
  min: [[10, 0.1], [Infinity, 1]],
  h: [[Infinity, 0.1]],
  V: [[Infinity, 0.01]],
  ":1": [[Infinity, 0.1]],
  "%": [[10, 0.1], [Infinity, 1]],
  "km/h": [[Infinity, 1]],
  mph: [[Infinity, 1]],
};
const STEPS_OF_OTHERS: Steps = [[Infinity, 0.01]];

/** `value` at `digits` significant digits, so that 28.999999999999996 from 0.29 × 100 reads 29. */
export function snapped(value: number, digits = 15): number {
  return Number(value.toExponential(digits - 1));
}

/**
 * `value` rounded to a whole number of `step` (above 0), halves away from zero.
 * The quotient is first snapped to 12 digits: 2.675 in steps of 0.01 is 2.68, as a person computes it, although binary
 * holds a little less. Source: our own rule, see vectors `rounding`. Stops being true past 12 digits.
 */
export function roundHalfAway(value: number, step: number): number {
  const steps = Math.floor(snapped(Math.abs(value) / step, 12) + 0.5);
  const rounded = snapped(steps * step);
  return value < 0 && rounded > 0 ? -rounded : rounded;
}

/** How many decimals a multiple of `step` needs, 0 to 9: 0.5 → 1, 0.01 → 2, 5 → 0. */
export function decimalsOf(step: number): number {
  for (let n = 0; n < 9; n += 1) if (Math.abs(step * 10 ** n - Math.max(Math.round(step * 10 ** n), 1)) < 1e-6) return n;
  return 9;
}

/** `value` rounded to `step`, with the decimals of that step: 20.337 in 0.1 → `20.3`, 20 → `20.0`. */
export function steppedText(value: number, step: number): string {
  return roundHalfAway(value, step).toFixed(decimalsOf(step));
}

/** `value` with at most 6 significant digits and no needless zeros, never in powers of ten. */
export function numberText(value: number): string {
  if (!Number.isFinite(value)) return "not a number";
  if (value === 0) return "0";
  const exponent = Number(Math.abs(value).toExponential(5).split("e")[1]);
  const decimals = Math.min(Math.max(5 - exponent, 0), 9);
  const text = steppedText(value, Number(`1e-${decimals}`));
  const short = text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return short === "-0" || short === "" ? "0" : short;
}

/** The step in which a usual instrument shows `value` in `unit`; 0.01 for a unit without an entry. */
export function displayStep(value: number, unit: string): number {
  const pairs = DISPLAY_STEPS[unit] ?? STEPS_OF_OTHERS;
  return pairs.find(([below]) => Math.abs(value) < below || below === Infinity)?.[1] ?? 0.01;
}

/** `value` as an instrument shows it, without its unit word: 20.337 N·m → `20.3`. */
export function shown(value: number, unit: string): string {
  return steppedText(value, displayStep(value, unit));
}

/** Number and unit for a sentence, not rounded to an instrument: `0.5 mm`, `32:1`, `12`. */
export function withUnit(value: number, unit: string): string {
  return `${numberText(value)}${unit === "" || unit === ":1" ? "" : " "}${unit}`;
}
