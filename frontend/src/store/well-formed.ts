/** Makes typed text fit for hashing. Pure. */

/** The same value with every half character (lone surrogate) replaced by U+FFFD: an input field can cut an emoji in two, and half of one has no canonical form. */
export function wellFormed<T>(value: T): T {
  if (typeof value === "string") return value.replace(/\p{Surrogate}/gu, "\uFFFD") as T;
  if (Array.isArray(value)) return value.map(wellFormed) as T;
  if (value !== null && typeof value === "object") {
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [wellFormed(key), wellFormed(inner)])) as T;
  }
  return value;
}
