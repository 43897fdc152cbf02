/** Canonical JSON, so that a hash made here equals the hash made on the server. Knows RFC 8785; nothing of packs or events. */

/**
 * The canonical text of a JSON value: keys sorted by UTF-16 code units, no spaces, numbers and strings as ECMAScript writes them.
 * Throws TypeError on what JSON has no word for (undefined, NaN, functions, lone surrogates): a hash over a guess would be worthless.
 * Source: RFC 8785, sections 3.2.2 and 3.2.3.
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === "boolean") return String(value);
  if (typeof value === "number") return numberText(value);
  if (typeof value === "string") return stringText(value);
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(",")}]`;
  if (typeof value === "object") return objectText(value as Record<string, unknown>);
  throw new TypeError(`no canonical JSON for ${typeof value}`);
}

function objectText(value: Record<string, unknown>): string {
  const keys = Object.keys(value).sort();
  return `{${keys.map((key) => `${stringText(key)}:${canonicalJson(value[key])}`).join(",")}}`;
}

function numberText(value: number): string {
  if (!Number.isFinite(value)) throw new TypeError(`no canonical JSON for ${value}`);
  return JSON.stringify(value);
}

function stringText(value: string): string {
  if (/\p{Surrogate}/u.test(value)) throw new TypeError("no canonical JSON for half a character (lone surrogate)");
  return JSON.stringify(value);
}

/** The same value with every half character (lone surrogate) replaced by U+FFFD: an input field can cut an emoji in two. */
export function wellFormed<T>(value: T): T {
  if (typeof value === "string") return value.replace(/\p{Surrogate}/gu, "\uFFFD") as T;
  if (Array.isArray(value)) return value.map(wellFormed) as T;
  if (value !== null && typeof value === "object") {
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [wellFormed(key), wellFormed(inner)])) as T;
  }
  return value;
}
