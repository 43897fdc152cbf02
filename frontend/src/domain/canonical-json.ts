/**
 * Canonical JSON, so that a hash made on a phone equals the hash made on the server.
 * Knows RFC 8785 (JSON Canonicalization Scheme); must not know what is hashed.
 */
import { Refused } from "./refused";

/**
 * The canonical text of a JSON value: keys sorted by UTF-16 code units, no spaces, numbers as ECMAScript writes them.
 * Throws Refused("no_canonical_form") for what JSON has no word for: NaN, infinity, half a surrogate pair, undefined, other types.
 * Source: RFC 8785, sections 3.2.2 and 3.2.3.
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === "boolean") return String(value);
  if (typeof value === "number") return canonicalNumber(value);
  if (typeof value === "string") return text(value);
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(",")}]`;
  if (typeof value === "object") return object(value as Record<string, unknown>);
  throw new Refused("no_canonical_form", { what: typeof value });
}

/** The shortest text that gives the same double again. Source: RFC 8785, section 3.2.2.3 and appendix B; ECMA-262, Number::toString. */
export function canonicalNumber(value: number): string {
  if (!Number.isFinite(value)) throw new Refused("no_canonical_form", { what: String(value) });
  return JSON.stringify(value);
}

function text(value: string): string {
  if (/\p{Surrogate}/u.test(value)) throw new Refused("no_canonical_form", { what: "half a surrogate pair" });
  return JSON.stringify(value);
}

function object(value: Record<string, unknown>): string {
  const keys = Object.keys(value).sort();
  return `{${keys.map((key) => `${text(key)}:${canonicalJson(value[key])}`).join(",")}}`;
}
