/**
 * How long the steps of a job really took, from its journal.
 * Knows events and their wall clocks; knows nothing of estimates. A time that the journal cannot tell is left out, never guessed.
 */
import type { JournalEvent } from "../generated/event";
import { countingEvents } from "./journal";

/** Two steps ticked within this time were ticked together, afterwards: neither tells how long it took. */
const TOGETHER_MS = 5_000;
/** A longer one was left lying. */
const MOST_MS = 12 * 3_600_000;

/** What one step took: `how` is `timer`, or `ticks` for the time from the tick before to its own, pauses left out. */
export type StepTime = { step: string; minutes: number; how: "timer" | "ticks" };
/** One phone's time since its last tick: `fromMs` null while paused, `activeMs` null while it cannot be known. */
type Watch = { fromMs: number | null; activeMs: number | null; last: string | null };

/**
 * Minutes of active work of each done step that the journal can tell, by step id.
 * Rule: a step's timer, if it ran; else from the start or the last step done or skipped on the same phone to its own tick,
 * all its ticks added up; pauses are left out, and what the phone says it was out of sight (`away_s`: hidden or asleep). Left out:
 * steps ticked within 5 s of each other (both), steps whose beginning this phone does not know, clocks that went back, and more
 * than 12 h. Any order of arrival gives the same.
 * Source: our own rule. Stops being true for work done with the phone put away; stepTime sets aside what took more than four times the middle.
 */
export function stepTimes(events: Iterable<unknown>): StepTime[] {
  const watches = new Map<string, Watch>();
  const ticks = new Map<string, (number | null)[]>();
  const timers = new Map<string, number>();
  const done = new Set<string>();
  for (const event of countingEvents(events).counting) {
    const { kind, body } = event as { kind: string; body: Record<string, unknown> };
    const step = String(body["step"]);
    if (kind === "TimerRun") timers.set(step, (timers.get(step) ?? 0) + Number(body["seconds"]) * 1000);
    else if (kind === "StepDone" || kind === "StepSkipped") {
      if (kind === "StepDone") done.add(step);
      else done.delete(step);
      tick(watchOf(watches, event), wallMs(event), awayMs(body), step, ticks);
    } else if (kind === "JobStarted" || kind === "JobPaused" || kind === "JobResumed") turn(watchOf(watches, event), wallMs(event), awayMs(body), kind);
  }
  return [...done].sort().flatMap((step) => {
    const found = timeOf(timers.get(step) ?? 0, ticks.get(step) ?? []);
    return found ? [{ step, minutes: found[0] / 60_000, how: found[1] }] : [];
  });
}

function watchOf(watches: Map<string, Watch>, { device }: JournalEvent): Watch {
  const watch = watches.get(device) ?? { fromMs: null, activeMs: null, last: null };
  watches.set(device, watch);
  return watch;
}

/** Active time by `nowMs`; null when not known, or when the clock went back. */
function until({ fromMs, activeMs }: Watch, nowMs: number | null, awayMs: number): number | null {
  if (nowMs === null || activeMs === null || (fromMs !== null && nowMs < fromMs)) return null;
  return activeMs + (fromMs === null ? 0 : Math.max(0, nowMs - fromMs - awayMs));
}

/** The job is begun, paused or gone on with on this phone. */
function turn(watch: Watch, nowMs: number | null, away: number, kind: "JobStarted" | "JobPaused" | "JobResumed"): void {
  if (kind === "JobStarted") [watch.fromMs, watch.activeMs] = [nowMs, beginning(nowMs)];
  else if (kind === "JobPaused") [watch.activeMs, watch.fromMs] = [until(watch, nowMs, away), null];
  else watch.fromMs ??= nowMs;
}

/** A step done or skipped ends its time and begins that of the next. */
function tick(watch: Watch, nowMs: number | null, away: number, step: string, ticks: Map<string, (number | null)[]>): void {
  const took = until(watch, nowMs, away);
  const together = took !== null && took < TOGETHER_MS && watch.last !== null;
  if (together) ticks.get(watch.last ?? "")?.push(null);
  ticks.set(step, [...(ticks.get(step) ?? []), together ? null : took]);
  Object.assign(watch, { fromMs: nowMs, activeMs: beginning(nowMs), last: step });
}

/** How long the phone was out of sight since the last tick; none when it does not say so in whole seconds. */
const awayMs = ({ away_s: away }: Record<string, unknown>): number => (Number.isSafeInteger(away) && (away as number) >= 0 ? (away as number) * 1000 : 0);

/** Active time at a beginning: none yet, not known when the clock tells nothing. */
const beginning = (nowMs: number | null): number | null => (nowMs === null ? null : 0);

function timeOf(timerMs: number, ticks: readonly (number | null)[]): [number, "timer" | "ticks"] | null {
  if (timerMs >= TOGETHER_MS) return timerMs <= MOST_MS ? [timerMs, "timer"] : null;
  const known = ticks.filter((took) => took !== null);
  const total = known.reduce((sum, took) => sum + took, 0);
  return known.length === ticks.length && total >= TOGETHER_MS && total <= MOST_MS ? [total, "ticks"] : null;
}

/** Milliseconds since 1970; null in a year that the calendar does not have. */
const wallMs = ({ wall }: JournalEvent): number | null => (wall.startsWith("0000") ? null : Date.parse(wall));
