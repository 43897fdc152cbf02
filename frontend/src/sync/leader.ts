/** One tab sends at a time. A tab holds the lock for one round only; the others tell it what they would like. */
import { announce } from "../store/changes";

const LOCK = "benchtrail-sync";
/** Longer than any single request may take: a holder that was silent for this long is frozen, not busy. */
const FROZEN_MS = 60_000;
let heardMs = -Infinity;
let wantedSinceMs: number | null = null;

/** Another tab said that its round is under way. */
export function heardLeader(nowMs: number): void {
  heardMs = nowMs;
}

/**
 * Runs `round` while holding the lock; when another tab holds it, asks that tab for a round instead. A holder that has been silent for a
 * minute has its lock taken: every request is idempotent, so a frozen tab that wakes up does no harm.
 */
export async function asLeader(why: string, nowMs: number, round: () => Promise<void>): Promise<void> {
  const locks: LockManager | undefined = globalThis.navigator?.locks;
  if (!locks) return round();
  let led = false;
  await locks.request(LOCK, { ifAvailable: true }, async (lock) => {
    if (lock === null) return;
    led = true;
    wantedSinceMs = null;
    await round();
  });
  if (led) return;
  announce({ type: "sync-wanted", why });
  wantedSinceMs ??= nowMs;
  if (nowMs - Math.max(heardMs, wantedSinceMs) < FROZEN_MS) return;
  wantedSinceMs = null;
  await locks.request(LOCK, { steal: true }, round);
}
