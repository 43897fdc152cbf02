/** The hybrid logical clock of this device: display order across devices. Correctness never rests on it. Pure. */

export type Stamp = { ms: number; counter: number };

const DAY_MS = 24 * 3600 * 1000;
const TOP = 0xffff;

/** The stamp of the next event: the wall clock, or one step past the last stamp when the clock has not moved on. Source: HLC (Kulkarni et al. 2014), send rule. */
export function nextStamp(last: Stamp, nowMs: number): Stamp {
  if (nowMs > last.ms) return { ms: nowMs, counter: 0 };
  return last.counter < TOP ? { ms: last.ms, counter: last.counter + 1 } : { ms: last.ms + 1, counter: 0 };
}

/** The stamp after reading a foreign one. A stamp more than a day ahead of this clock is not followed: one phone set to 2031 would poison all later order. */
export function seenStamp(last: Stamp, foreign: Stamp, nowMs: number): Stamp {
  if (foreign.ms > nowMs + DAY_MS) return last;
  const ahead = foreign.ms > last.ms || (foreign.ms === last.ms && foreign.counter > last.counter);
  return ahead ? foreign : last;
}

/** "<ms 15 digits>-<counter 4 hex>-<device first 8>" (shared/README.md §8). */
export function stampText(stamp: Stamp, device: string): string {
  return `${String(stamp.ms).padStart(15, "0")}-${stamp.counter.toString(16).padStart(4, "0")}-${device.slice(0, 8)}`;
}

/** The stamp in its text form; null when it is not one. */
export function stampOf(text: string): Stamp | null {
  const found = /^(\d{15})-([0-9a-f]{4})-/.exec(text);
  return found ? { ms: Number(found[1]), counter: parseInt(found[2]!, 16) } : null;
}

/** The order of the journal: by (hlc, device, seq), compared as ASCII. */
export function inOrder(a: { hlc: string; device: string; seq: number }, b: { hlc: string; device: string; seq: number }): number {
  if (a.hlc !== b.hlc) return a.hlc < b.hlc ? -1 : 1;
  if (a.device !== b.device) return a.device < b.device ? -1 : 1;
  return a.seq - b.seq;
}
