/**
 * How old the figures are, and whether this phone's clock may say so. Pure.
 * A clock that stands behind the newest time the server ever said is wrong; an age taken from it would call old figures fresh.
 */
import type { ClockRow } from "./schema";

export const FRESH_DAYS = 30;
const DAY_MS = 24 * 3600 * 1000;
const SLACK_MS = 10 * 60 * 1000;

export type Age = { age: "fresh" | "old" | "unknown"; ageDays: number | null };

/** What is known of the time after the server said `serverMs` while the phone's clock said `phoneMs`. The newest server time only grows. */
export function clockAfterContact(known: ClockRow | undefined, serverMs: number, phoneMs: number): ClockRow {
  return { newestServerMs: Math.max(known?.newestServerMs ?? 0, serverMs), offsetMs: serverMs - phoneMs };
}

/** The best guess of the true time: the phone's clock corrected by the last contact, never before the newest server time. */
export function bestTime(known: ClockRow | undefined, phoneMs: number): number {
  return known ? Math.max(phoneMs + known.offsetMs, known.newestServerMs) : phoneMs;
}

/**
 * Age since the last verified manifest. "unknown" without a check, or with a clock behind the newest server time (10 min of slack);
 * "fresh" up to 30 days (our own limit, no source), else "old".
 */
export function ageOfFigures(checkedAt: string | null, known: ClockRow | undefined, phoneMs: number): Age {
  const checkedMs = checkedAt === null ? NaN : Date.parse(checkedAt);
  if (Number.isNaN(checkedMs) || !known) return { age: "unknown", ageDays: null };
  const nowMs = phoneMs + known.offsetMs;
  if (nowMs < known.newestServerMs - SLACK_MS || nowMs < checkedMs - SLACK_MS) return { age: "unknown", ageDays: null };
  const ageDays = Math.max(0, Math.floor((nowMs - checkedMs) / DAY_MS));
  return { age: ageDays <= FRESH_DAYS ? "fresh" : "old", ageDays };
}
