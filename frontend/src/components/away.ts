/**
 * How long the page was out of sight: hidden behind something else, the phone asleep, or the app not open at all. Such time says nothing of
 * how long a step takes, and is written beside the step's tick.
 */
import type { JournalEvent } from "../store/bench";

const ENDS = new Set(["JobStarted", "JobResumed", "StepDone", "StepSkipped"]);
const FORGET_AFTER = 500;
/** Spans out of sight, in milliseconds since 1970; the first ends when the app was opened. */
let spans: [number, number][] = [[-Infinity, Date.now()]];
let hiddenMs: number | null = null;

/** Takes note of every change from now on. */
export function watchAway(page: Document = document): void {
  page.addEventListener("visibilitychange", () => seen(page.visibilityState === "visible", Date.now()));
}

export function seen(visible: boolean, atMs: number): void {
  if (!visible) hiddenMs ??= atMs;
  else if (hiddenMs !== null) {
    spans = [...spans.slice(-FORGET_AFTER), [hiddenMs, atMs]];
    hiddenMs = null;
  }
}

/** Whole seconds out of sight since the last step of the job ended, or since it was begun or gone on with. */
export function awayS(journal: readonly JournalEvent[], nowMs: number): number {
  const since = journal.filter(({ kind }) => ENDS.has(kind)).at(-1);
  const sinceMs = since ? Date.parse(since.wall) : nowMs;
  const open: [number, number][] = hiddenMs === null ? [] : [[hiddenMs, nowMs]];
  const ms = [...spans, ...open].reduce((sum, [from, to]) => sum + Math.max(0, Math.min(to, nowMs) - Math.max(from, sinceMs)), 0);
  return Math.round(ms / 1000);
}
