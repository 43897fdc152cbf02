/** Amounts as the person reads them: their own unit system first, the other beside it. Knows units and rounding only. */
import { otherUnit } from "../../domain/figure-display";
import type { Shown } from "../../domain/figure-display";
import { numberText, shown, steppedText } from "../../domain/rounding";
import { convert } from "../../domain/units";
import { prefs } from "../../store/bench";

// units in which our own system is already what everybody reads
const ALONE = new Set(["%", "deg", "V", "min", "h", "", ":1", "N/mm", "mm²", "flats"]);

/** `value` of a canonical unit: first as the person reads it, then in the other system. Never a number that is none. */
export function bothOf(value: number, unit: string): [Shown, Shown | null] {
  if (!Number.isFinite(value)) return [{ text: "not known", unit: "" }, null];
  const first = { text: textOf(value, unit), unit: unit === "deg" ? "°" : unit };
  if (unit === "N") return [first, { text: numberText(Math.round(value / 9.80665)), unit: "kgf" }];
  const other = ALONE.has(unit) ? null : otherUnit(unit, Math.abs(value));
  if (other === null) return [first, null];
  const second = { text: shown(convert(value, unit, other), other), unit: other };
  return prefs.value.units === "imperial" ? [second, first] : [first, second];
}

function textOf(value: number, unit: string): string {
  if (unit === "N") return numberText(Math.round(value));
  if (unit === "N/mm" || unit === "mm²") return steppedText(value, 0.1);
  return unit === "" || unit === ":1" || unit === "flats" ? numberText(value) : shown(value, unit);
}

/** "20.3 N·m (15.0 lbf·ft)". */
export function amount(value: number, unit: string): string {
  const [first, second] = bothOf(value, unit);
  const one = `${first.text}${first.unit === "" || first.unit === ":1" || first.unit === "°" ? "" : " "}${first.unit}`;
  return second ? `${one} (${second.text} ${second.unit})` : one;
}

/** "20.3 to 24.1 N·m (15.0 to 17.8 lbf·ft)". */
export function span(low: number, high: number, unit: string): string {
  const [[a, b], [c, d]] = [bothOf(low, unit), bothOf(high, unit)];
  const joined = (x: Shown, y: Shown) => (x.unit === y.unit ? `${x.text} to ${y.text} ${y.unit}` : `${x.text} ${x.unit} to ${y.text} ${y.unit}`);
  return b && d ? `${joined(a, c)} (${joined(b, d)})` : joined(a, c);
}
