/** Reproducible chance: the same seed gives the same run. Tests only. */
export type Chance = { next(): number; below(n: number): number; pick<T>(items: readonly T[]): T; often(share: number): boolean };

/** A small generator of 32 bits (Mulberry32; common practice, no source); good enough to choose faults. */
export function chanceOf(seed: number): Chance {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const below = (n: number) => Math.floor(next() * n);
  return { next, below, pick: (items) => items[below(items.length)]!, often: (share) => next() < share };
}
