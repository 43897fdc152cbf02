/** The ground of a plot: round marks along an axis, and the span that holds every reading and every limit. Pure. */

/** Marks at 1, 2 or 5 times a power of ten, from at or below `low` to at or above `high`, about `wanted` of them. */
export function roundMarks(low: number, high: number, wanted = 5): number[] {
  const span = high - low || Math.abs(high) || 1;
  const power = 10 ** Math.floor(Math.log10(span / wanted));
  const step = [1, 2, 5, 10].map((times) => times * power).find((one) => span / one <= wanted) ?? 10 * power;
  const [first, last] = [Math.floor(low / step + 1e-9), Math.ceil(high / step - 1e-9)];
  const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  return Array.from({ length: Math.max(last, first + 1) - first + 1 }, (_, n) => Number(((first + n) * step).toFixed(places)));
}

/** Lowest and highest of what must be seen. */
export function spanOf(values: readonly (number | null)[]): [number, number] {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? [0, 1] : [Math.min(...known), Math.max(...known)];
}
