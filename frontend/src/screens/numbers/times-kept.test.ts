// @vitest-environment jsdom
import { beforeEach, expect, test, vi } from "vitest";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
const { begin, events, PACK } = await import("../testing/bench-fake");
const { logsOf, sureOf, timedSteps } = await import("./times-kept");

const estimated = PACK.steps.filter(({ minutes }) => minutes !== null && minutes > 0);
const [first, second] = PACK.steps;

/** The job's events, each a minute after the one before. */
async function clocked(steps: string[], minutesApart = 2): Promise<void> {
  await begin(steps);
  events.value = events.value.map((event, n) => ({ ...event, wall: new Date(Date.UTC(2026, 10, 25, 8, n * minutesApart)).toISOString() }));
}

beforeEach(() => begin());

test("the fixture has steps with and without an estimate", () => {
  expect(estimated.length).toBeGreaterThan(1);
  expect(estimated.length).toBeLessThan(PACK.steps.length);
});

test("what a step took here stands in the field of logged times, by procedure", async () => {
  await clocked([first!.id, second!.id], 3);
  expect(Object.fromEntries(logsOf(PACK.procedure))).toEqual({ [first!.id]: "3", [second!.id]: "3" });
  expect(logsOf("another").size).toBe(0);
});

test("only steps with an estimate become rows, and what was taken is said", async () => {
  await clocked(PACK.steps.map(({ id }) => id));
  const { form, said } = await timedSteps();
  expect(form["steps.count"]).toBe(String(estimated.length));
  expect(form["steps.0.estimate_min"]).toMatch(/^\d+(\.\d+)? min$/);
  expect(form["steps.0.logs_min"]).toBe("2");
  expect(said).toContain(`${estimated.length} times of ${estimated.length} steps taken: 0 by a timer`);
  expect(said).toContain("Three times or more: 0 of the 30 steps needed");
});

test("without any time nothing is filled in, and that is said", async () => {
  expect(await timedSteps()).toEqual({ form: {}, said: "No job on this phone tells the time of a step with an estimate yet." });
});

// spread of the next time by the labour table of the project: 0.566 with no log, less with three that agree
test.each([["", "10", "0.7"], ["10; 10; 10", "10", "0.4"], ["20", "14.1", "0.7"]])("an estimate of 10 minutes with the logs “%s” is %s, sure to %s", (logs, median, sigma) => {
  expect(sureOf(10, logs)).toEqual({ median, sigma });
});
