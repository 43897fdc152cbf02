/**
 * What vectors of calculations call: units, rounding, and every bench calculation; used by tests only.
 * A calculation's vector gets its `values`; `pick` names the one or ones of interest, `whole` gives the answer in full.
 */
import type { Answer } from "./answer";
import { inWords } from "./answer";
import { CALCULATIONS } from "./calculations";
import { calendarFile } from "./calendar-file";
import { figureInBoth } from "./figure-display";
import { numberText, roundHalfAway, shown } from "./rounding";
import { convert, parsePair, parseQuantity, withTolerance } from "./units";

type Call = (input: any) => unknown;

function answering(calculation: (input: any) => Answer): Call {
  return ({ pick, ...input }) => {
    const full = calculation(input);
    if (pick === "whole") return full;
    if (Array.isArray(pick)) return Object.fromEntries(pick.map((name: string) => [name, full.values[name]]));
    return pick === undefined ? full.values : full.values[pick];
  };
}

export const CALCULATION_FUNCTIONS: Readonly<Record<string, Call>> = {
  parse_quantity: (i) => parseQuantity(i.text, i.kind ?? null),
  parse_pair: (i) => parsePair(i.text, i.kind ?? null),
  parse_tolerance: (i) => withTolerance(parseQuantity(i.text, i.kind), i.tolerance),
  convert: (i) => convert(i.value, i.from_unit, i.to_unit),
  round_half_away: (i) => roundHalfAway(i.value, i.step),
  shown: (i) => shown(i.value, i.unit),
  number_text: (i) => numberText(i.value),
  in_words: (i) => inWords(i.template, i.values),
  calendar_file: (i) => calendarFile(i.entries, i.stamp),
  figure_in_both: (i) => figureInBoth(i.figure),
  ...Object.fromEntries(Object.entries(CALCULATIONS).map(([name, calculation]) => [name, answering(calculation)])),
};
