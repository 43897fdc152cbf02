/** Amounts, dates and states in words. Knows English and the units of storage; nothing of screens or data. */
import type { ItemState } from "../store/bench";

export const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;

/** "a", "a and b", "a, b and c". */
export function listed(words: string[]): string {
  if (words.length < 2) return words.join("");
  return `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}

/** The first few of a list by name, the rest by number: "skid plate, pump cover and 3 more". */
export function someOf(words: string[], most = 3): string {
  if (words.length <= most + 1) return listed(words);
  return `${words.slice(0, most).join(", ")} and ${words.length - most} more`;
}

export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Bytes in the largest unit that keeps the number readable; thousands, as phones count. */
export function bytesInWords(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  if (bytes < 1_000_000) return `${Math.round(bytes / 1000)} kB`;
  return `${(bytes / 1_000_000).toFixed(1)} MB`;
}

export const amountInWords = (done: number, total: number, what: string, bytes: number, totalBytes: number): string =>
  `${done} of ${counted(total, what)}, ${bytesInWords(bytes)} of ${bytesInWords(totalBytes)}`;

const DAY = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "long" });
const DAY_AND_YEAR = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "long", year: "numeric" });
const CLOCK = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit" });

const known = (iso: string): Date | null => {
  const moment = new Date(iso);
  return Number.isNaN(moment.getTime()) ? null : moment;
};

/** "14:05" today, "12 May" this year, "12 May 2025" before. */
export function whenInWords(iso: string, now: Date = new Date()): string {
  const moment = known(iso);
  if (!moment) return "time not known";
  if (moment.toDateString() === now.toDateString()) return CLOCK.format(moment);
  return (moment.getFullYear() === now.getFullYear() ? DAY : DAY_AND_YEAR).format(moment);
}

export function dateInWords(iso: string, now: Date = new Date()): string {
  const moment = known(iso);
  if (!moment) return "date not known";
  return (moment.getFullYear() === now.getFullYear() ? DAY : DAY_AND_YEAR).format(moment);
}

/** How long since the figures were last checked against the dealer; a clock that cannot be trusted is said as such. */
export function ageInWords(age: "fresh" | "old" | "unknown", days: number | null): string {
  if (age === "unknown" || days === null) return "age not known";
  if (days < 1) return "checked today";
  return `checked ${counted(Math.floor(days), "day")} ago`;
}

/** Minutes and seconds of a timer: "4:05". */
export function clockInWords(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

export const stateInWords: Record<ItemState, string> = {
  draft: "Draft, not yet saved",
  saved: "Saved on this phone",
  sending: "Sending",
  received: "On the dealer’s server",
  attention: "Needs attention",
};

/** "3 entries and 2 photos waiting to send"; null when nothing waits. An entry is anything written down: a tick, a reading, a note. */
export function waitingInWords(entries: number, photos: number): string | null {
  const parts = [entries > 0 ? counted(entries, "entry", "entries") : "", photos > 0 ? counted(photos, "photo") : ""].filter(Boolean);
  return parts.length === 0 ? null : `${listed(parts)} waiting to send`;
}
