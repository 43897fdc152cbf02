/**
 * One amount in every unit of its kind; two units printed side by side are held against each other.
 * Knows which units people use for which kind; factors and spellings are in `units`.
 */
import { ARITHMETIC, answer, note } from "./answer";
import { asWritten } from "./bounds";
import { Refused } from "./refused";
import { KINDS, convert, parsePair } from "./units";

const UNITS_OF: Readonly<Record<string, readonly string[]>> = {
  torque: ["N·m", "kgf·m", "kgf·cm", "N·cm", "lbf·ft", "lbf·in"],
  length: ["mm", "cm", "m", "in", "thou", "ft"],
  volume: ["ml", "l", "US fl oz", "US pt", "US qt", "US gal", "imp fl oz", "imp pt", "imp gal"],
  pressure: ["kPa", "bar", "kgf/cm²", "MPa", "psi"],
  temperature: ["°C", "°F"],
  mass: ["kg", "g", "lb", "oz", "stone"],
  speed: ["km/h", "mph"],
  time: ["min", "h"],
};
// beyond rounding, two printed units that agree differ by less
const AGREE_PERCENT = 0.05;

/**
 * An amount in the other units of its kind, from the text as it is printed: `18 ft-lb`, or one value in two units. `beyond_percent` is
 * the difference of a printed pair that rounding does not explain. Throws `calc_single_number`, and what `parsePair` throws.
 */
export function amountInUnits({ text }: { text: string }) {
  if (typeof text !== "string") throw new Refused("quantity_unreadable", { written: asWritten(text) });
  const { main, beyond_rounding_percent: beyond } = parsePair(text);
  const { written_value: written, written_unit: unit, kind } = main;
  if (written === null) throw new Refused("calc_single_number", { what: "amount", written: text });
  const canonical = KINDS[kind];
  const rows = (UNITS_OF[kind] ?? [canonical]).filter((each) => each !== unit).map((each) => ({ unit: each, value: convert(written, unit, each) }));
  const agrees = beyond === null ? null : beyond < AGREE_PERCENT;
  const values = { kind, written: main.written_text, unit, value: convert(written, unit, canonical), canonical, rows, beyond_percent: beyond, agrees };
  const notes = agrees === false ? [note("printed_units_differ")] : [];
  return answer(values, note("amount_in_units", values), [ARITHMETIC], [note("other_unit_meant")], notes);
}
