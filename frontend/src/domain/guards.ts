/**
 * Guards: whether something applies to a machine of a given year with given options.
 * Knows the compiled form (shared/README.md §2); nothing of models, nor which years and options there are.
 */
import { Refused } from "./refused";
import type { Variant } from "./variant";

export type Guard = null | ["all", ...Guard[]] | ["any", ...Guard[]] | ["not", Guard] | ["year", string, number] | ["option", string];

const COMPARISONS: Readonly<Record<string, (a: number, b: number) => boolean>> = {
  "<": (a, b) => a < b, "<=": (a, b) => a <= b, "=": (a, b) => a === b, ">=": (a, b) => a >= b, ">": (a, b) => a > b,
};

/**
 * True if what carries `guard` applies to `variant`; with no variant (the machine is unknown) nothing is left out.
 * Throws Refused("guard_unknown") for a form that this version does not know: guessing could hide a step.
 */
export function guardHolds(guard: Guard, variant: Variant | null): boolean {
  if (guard === null || variant === null) return true;
  switch (guard[0]) {
    case "all": return (guard.slice(1) as Guard[]).every((inner) => guardHolds(inner, variant));
    case "any": return (guard.slice(1) as Guard[]).some((inner) => guardHolds(inner, variant));
    case "not": return !guardHolds(guard[1], variant);
    case "year": return compared(variant.year, guard);
    case "option": return variant.options.includes(guard[1]);
    default: throw unknown(guard);
  }
}

function compared(year: number, guard: ["year", string, number]): boolean {
  const compare = Object.hasOwn(COMPARISONS, guard[1]) ? COMPARISONS[guard[1]] : undefined;
  if (!compare) throw unknown(guard);
  return compare(year, guard[2]);
}

function unknown(guard: readonly unknown[]): Refused {
  return new Refused("guard_unknown", { guard: String(guard[0]).slice(0, 40) });
}
