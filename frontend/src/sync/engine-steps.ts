/** The moves every part of the engine shares: open the next request, end the round after a fault, end it after success. Pure. */
import type { Ask, At, EngineState, Http, Step, Tell } from "./engine-types";

export const PULL_EVERY_MS = 60_000;
const FIRST_DELAY_MS = 2_000;
const LONGEST_DELAY_MS = 45_000;
const JITTER_MS = 700;
/** Not now: request timeout, locked by another request, too early, too many (RFC 9110, 4918, 8470, 6585). */
const PASSING = new Set([408, 423, 425, 429]);

/** Opens the next request. */
export function ask(state: EngineState, next: Ask, tells: Tell[] = []): Step {
  const op = state.op + 1;
  return [{ ...state, op, open: next }, [...tells, { ...next, op }]];
}

/** Ends the round after a fault; the next try waits twice as long as the last, spread by chance, or as long as the server asked. */
export function fail(state: EngineState, at: At, retryAfterMs: number | null, tells: Tell[] = []): Step {
  const failures = state.failures + 1;
  const ceiling = Math.min(LONGEST_DELAY_MS, FIRST_DELAY_MS * 2 ** Math.min(failures - 1, 10));
  const delayMs = retryAfterMs ?? Math.round(ceiling * (0.5 + at.chance / 2));
  const idle: EngineState = {
    ...state, open: null, again: null, failures, notBeforeMs: at.nowMs + delayMs, serverAsked: retryAfterMs !== null, photo: null,
  };
  return [idle, [...tells, quiet, { tell: "wake-in", delayMs }, { tell: "finished", sentAny: state.notesSent + state.photosSent > 0 }]];
}

const quiet: Tell = { tell: "sending", what: null, done: 0, total: 0, ids: [] };

/** Ends the round after everything was done; goes round again when something happened meanwhile. */
export function finish(state: EngineState, at: At, tells: Tell[] = []): Step {
  const idle: EngineState = { ...state, open: null, failures: 0, notBeforeMs: 0, serverAsked: false, photo: null };
  const done: Tell[] = [...tells, { tell: "problem", code: null }, quiet, { tell: "finished", sentAny: state.notesSent + state.photosSent > 0 }];
  if (state.again === null) return [idle, done];
  return [{ ...idle, again: null }, [...done, { tell: "wake-in", delayMs: Math.round(at.chance * JITTER_MS) }]];
}

/** What every request can be answered with, whatever it was: not allowed any more, slow down, out of order. Null: nothing of that kind. */
export function generalFault(state: EngineState, answer: Http, at: At): Step | null {
  if (answer.status === 401) return finish({ ...state, again: null }, at, [{ tell: "revoked" }]);
  if (answer.status === 403) return fail(state, at, null, [{ tell: "problem", code: "sync_refused" }]);
  if (PASSING.has(answer.status) || answer.status >= 500) return fail(state, at, answer.retryAfterMs ?? null);
  return null;
}
