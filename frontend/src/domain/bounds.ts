/**
 * Checks of what goes into a calculation: a number that is one, inside its limits, with the limit named when it is not.
 * Knows no formula; every boundary of the calculations goes through here, so that no NaN is ever computed with.
 */
import { Refused } from "./refused";
import { numberText, withUnit } from "./rounding";

/** A reading this close to a limit is on it: 2.62 − 2.57 is 0.05 to a person, a little more to a computer. */
export const EDGE = 1e-9;

/** `value` as a number from `low` to `high`, both included. Throws `number_needed`, `amount_too_low`, `amount_too_high`. */
export function bounded(value: unknown, what: string, unit: string, low: number, high: number): number {
  if (typeof value !== "number" || !Number.isFinite(value)) throw new Refused("number_needed", { what });
  if (value < low) throw new Refused("amount_too_low", { what, value: withUnit(value, unit), limit: withUnit(low, unit) });
  if (value > high) throw new Refused("amount_too_high", { what, value: withUnit(value, unit), limit: withUnit(high, unit) });
  return value;
}

/** `value` as a number above 0 and at most `high`. Throws as `bounded`, and `amount_not_positive`. */
export function positive(value: unknown, what: string, unit: string, high: number): number {
  const number = bounded(value, what, unit, -Infinity, high);
  if (number < EDGE) throw new Refused("amount_not_positive", { what, value: withUnit(number, unit) });
  return number;
}

/** `value` as a whole number from `low` to `high`. Throws as `bounded`, and `whole_number_needed`. */
export function whole(value: unknown, what: string, low: number, high: number): number {
  const number = bounded(value, what, "", low, high);
  if (number !== Math.floor(number)) throw new Refused("whole_number_needed", { what, value: withUnit(number, "") });
  return number;
}

/** The entry of `table` named `key`. Throws `choice_unknown` with the choices there are. */
export function chosen<T>(table: Readonly<Record<string, T>>, key: unknown, what: string): T {
  const entry = typeof key === "string" && Object.hasOwn(table, key) ? table[key] : undefined;
  if (entry === undefined) {
    throw new Refused("choice_unknown", { what, written: asWritten(key), choices: Object.keys(table).join(", ") });
  }
  return entry;
}

/** What was given, for a message: text as it is, a number in digits, anything else in a word. */
export function asWritten(value: unknown): string {
  if (typeof value === "string") return value;
  if (value === null || value === undefined) return "nothing";
  if (typeof value === "boolean") return value ? "yes" : "no";
  return typeof value === "number" ? numberText(value) : "a list";
}

/** `values` as a list of `least` to `most` entries. Throws `list_needed`, `list_length`. */
export function several<T>(values: readonly T[], what: string, least: number, most: number): readonly T[] {
  if (!Array.isArray(values)) throw new Refused("list_needed", { what });
  if (values.length < least || values.length > most) {
    throw new Refused("list_length", { what, count: String(values.length), least: String(least), most: String(most) });
  }
  return values;
}

/** `record`, if it is one. Throws `record_needed`. */
export function record<T extends object>(value: T, what: string): T {
  if (typeof value !== "object" || value === null || Array.isArray(value)) throw new Refused("record_needed", { what });
  return value;
}
