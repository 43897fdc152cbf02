/**
 * The hybrid logical clock: the order in which events of several devices are shown. Correctness never rests on it.
 * Knows the text form `<ms 15 digits>-<counter 4 hex>-<device first 8>` (shared/README.md §8); no clock: times come in.
 * Source of the rules: hybrid logical clocks, Kulkarni et al. 2014 (send and receive rules); the day's limit is our own.
 */

/** Milliseconds since 1970 and a counter within them. */
export type Stamp = { ms: number; counter: number };

export const DAY_MS = 24 * 3600 * 1000;
const TOP_COUNTER = 0xffff;
const TOP_MS = 10 ** 15 - 1;

/** Time and counter of a clock text; null when it is not one. */
export function hlcStamp(text: string | null): Stamp | null {
  const found = /^([0-9]{15})-([0-9a-f]{4})-[0-9a-f]{8}$/.exec(text ?? "");
  return found ? { ms: Number(found[1]), counter: parseInt(found[2]!, 16) } : null;
}

/** The text form; texts of one device sort as ASCII in the order of time. */
export function hlcText(stamp: Stamp, device: string): string {
  return `${String(stamp.ms).padStart(15, "0")}-${stamp.counter.toString(16).padStart(4, "0")}-${device.slice(0, 8)}`;
}

/**
 * The clock of the device's next event: later than `last` even when the wall clock stands still or goes back.
 * `last` null or unreadable: as if nothing was before. `nowMs` is cut to whole milliseconds from 0 to 15 digits.
 */
export function nextHlc(last: string | null, nowMs: number, device: string): string {
  const now = whole(nowMs);
  const before = hlcStamp(last);
  if (before === null || now > before.ms) return hlcText({ ms: now, counter: 0 }, device);
  if (before.counter < TOP_COUNTER) return hlcText({ ms: before.ms, counter: before.counter + 1 }, device);
  return hlcText({ ms: Math.min(before.ms + 1, TOP_MS), counter: 0 }, device);
}

/**
 * This device's clock after it has read an event of another: the later of both, under this device's name.
 * A foreign clock more than a day ahead of this one is not followed: one phone set to 2031 would push every later event.
 * A foreign clock that cannot be read changes nothing. With no local clock yet the foreign one is kept as it is.
 */
export function mergeHlc(local: string | null, foreign: string, nowMs: number): string | null {
  const theirs = hlcStamp(foreign);
  const ours = hlcStamp(local);
  if (theirs === null || theirs.ms > whole(nowMs) + DAY_MS) return local;
  if (ours === null || local === null) return foreign;
  const ahead = theirs.ms > ours.ms || (theirs.ms === ours.ms && theirs.counter > ours.counter);
  return hlcText(ahead ? theirs : ours, local.slice(local.lastIndexOf("-") + 1));
}

/** The order of the journal: by clock, device, number; texts compared as ASCII. */
export function inJournalOrder(a: { hlc: string; device: string; seq: number }, b: { hlc: string; device: string; seq: number }): number {
  if (a.hlc !== b.hlc) return a.hlc < b.hlc ? -1 : 1;
  if (a.device !== b.device) return a.device < b.device ? -1 : 1;
  return a.seq - b.seq;
}

function whole(nowMs: number): number {
  return Math.min(Math.max(Math.trunc(nowMs), 0), TOP_MS);
}
