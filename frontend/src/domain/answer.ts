/**
 * What a calculation hands back: the answer, its working in one line, its source, and when it stops being true.
 * Knows the record and how a template is filled; the templates themselves stand in `shared/texts/calc.en.json`.
 */
import { numberText, steppedText } from "./rounding";

/**
 * published: read in the original; restated: read in a restatement; library: computed with it; arithmetic: needs no
 * authority; practice: common practice, no source; memory: from memory, not seen.
 */
export type Mark = "published" | "restated" | "library" | "arithmetic" | "practice" | "memory";
export type Value = number | string | boolean | null | readonly Value[] | { readonly [name: string]: Value };
export type Values = { readonly [name: string]: Value };
/** A sentence by its code; `values` fill the template of that code (numbers in the units that their names say). */
export type Note = { readonly code: string; readonly values: Values };
/** Where a rule comes from: how well it is known and its name; `practice` has none. */
export type Source = { readonly mark: Mark; readonly name: string };
/** `values` are canonical and never rounded; `notes` are what to heed now, `until` is when the answer stops being true. */
export type Answer<V extends Values = Values> = {
  readonly values: V; readonly working: Note; readonly sources: readonly Source[]; readonly until: readonly Note[]; readonly notes: readonly Note[];
};

export const ARITHMETIC: Source = { mark: "arithmetic", name: "" };
export const PRACTICE: Source = { mark: "practice", name: "" };

export function note(code: string, values: Values = {}): Note {
  return { code, values };
}

export function source(mark: Mark, name: string): Source {
  return { mark, name };
}

/** An answer; `until` and `notes` may be left out. */
export function answer<V extends Values>(
  values: V, working: Note, sources: readonly Source[], until: readonly Note[] = [], notes: readonly Note[] = [],
): Answer<V> {
  return { values, working, sources, until, notes };
}

/** `template` with its places filled: `{set_nm:1}` is rounded to one decimal, `{name}` is put in as it is. */
export function inWords(template: string, values: Values): string {
  return template.replace(/\{(\w+)(?::([0-9]))?\}/g, (_, name: string, decimals?: string) => spoken(values[name] ?? null, decimals));
}

// a code of ours among the values of a sentence: it is said in plain words
const CODE = /^[a-z]+(?:_[a-z]+)+$/;

function spoken(value: Value, decimals: string | undefined): string {
  if (Array.isArray(value)) return value.map((item: Value) => spoken(item, decimals)).join(", ");
  if (value === null) return "none";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "number") return decimals === undefined ? numberText(value) : steppedText(value, Number(`1e-${decimals}`));
  if (typeof value !== "string") return JSON.stringify(value);
  return CODE.test(value) ? value.replaceAll("_", " ") : value;
}
