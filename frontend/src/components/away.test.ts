import { beforeEach, expect, test, vi } from "vitest";
import type { JournalEvent } from "../store/bench";

const START_MS = Date.UTC(2026, 10, 25, 8);
const at = (minutes: number): number => START_MS + minutes * 60_000;
const entry = (minutes: number, kind: string): JournalEvent => ({ kind, wall: new Date(at(minutes)).toISOString() }) as JournalEvent;
let away: typeof import("./away");

beforeEach(async () => {
  vi.resetModules();
  vi.useFakeTimers({ now: START_MS });
  away = await import("./away"); // the app is opened at START_MS
  vi.useRealTimers();
});

test("a page that stayed in sight was never away", () => {
  expect(away.awayS([entry(1, "JobStarted")], at(30))).toBe(0);
});

test("only what lies since the last step's end counts", () => {
  away.seen(false, at(2));
  away.seen(true, at(5));
  away.seen(false, at(8));
  away.seen(true, at(9.5));
  expect(away.awayS([entry(1, "JobStarted")], at(10))).toBe(270);
  expect(away.awayS([entry(1, "JobStarted"), entry(4, "StepDone"), entry(6, "NoteWritten")], at(10))).toBe(150);
  expect(away.awayS([entry(1, "JobStarted"), entry(9, "JobResumed")], at(10))).toBe(30);
});

test("a page that is hidden still is away until now", () => {
  away.seen(false, at(2));
  away.seen(false, at(3));
  expect(away.awayS([entry(1, "JobStarted")], at(12))).toBe(600);
});

test("before the app was opened it was away", () => {
  expect(away.awayS([entry(-600, "StepDone")], at(3))).toBe(600 * 60);
});

test("a journal without a step's end tells no time", () => {
  expect(away.awayS([], at(3))).toBe(0);
});
