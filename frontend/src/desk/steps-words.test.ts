import { expect, test } from "vitest";
import { asideInWords, happenedInWords, labourInWords, lookInWords, minutesInWords, timeInWords, type StepRow } from "./steps-words";

const times = { n: 9, median_min: 4.25, low_min: 1.5, high_min: 12.4, coverage: 0.96, q10_min: null, q90_min: null, aside: {} };
const row: StepRow = {
  number: 1, step: "a", say: "Do it.", section: "", minutes: 1, jobs: 9, times, stopped: 0, back: 2, skipped: 0, asked: 1, notes: 1, outside: 0, trouble: 3, too_few: false, look: ["trouble", "slower"],
};

/** A number and its unit stay on one line. */
const plain = (words: string): string => words.replaceAll("\u00a0", " ");

test("minutes bear as many places as they are worth", () => {
  expect([0.5, 1.99, 2, 9.96, 10, 61.4].map(minutesInWords).map(plain)).toEqual(["30 s", "119 s", "2.0 min", "10.0 min", "10 min", "61 min"]);
});

test("a median stands with its range and number, or nothing is said", () => {
  expect(plain(timeInWords(times))).toBe("4.3 min (90 s to 12 min; n 9)");
  expect(timeInWords({ ...times, n: 5, median_min: null, low_min: null, high_min: null })).toBe("too few to say (5)");
});

test("what was set aside, what happened and why to look are said in words", () => {
  expect(asideInWords({ ...times, aside: { untold: 2, left_running: 1 } })).toBe("Set aside: 2 that the job cannot tell (ticked together, or begun at an unknown time), 1 more than four times the middle one.");
  expect(asideInWords(times)).toBe("");
  expect(happenedInWords(row)).toEqual(["2 took the tick back", "1 asked something"]);
  expect(lookInWords(row).map(plain)).toEqual([
    "People get stuck here more than at the other steps: in 3 of 9 jobs.", "Takes longer than written: the text says 60 s, the range of the middle is 90 s to 12 min.",
  ]);
});

const labour = { variant: "2023", q10_min: 40.2, q50_min: 51, q90_min: 66.4, author_min: 45, timed: 20, untimed: 3, logs: 12, jobs: 4, mostly_author: true, learned: false };

test("the usual time stands with its range, whose word it is, and what is not in it", () => {
  const lines = labourInWords(labour).map(plain);
  expect(lines[0]).toBe("51 min for 2023; eight jobs in ten take between 40 min and 66 min.");
  expect(lines[1]).toBe("This is mostly what the author wrote (45 min in all): 12 times of steps came back.");
  expect(lines[2]).toBe("3 of 23 steps have no time and are not in it.");
  expect(plain(labourInWords({ ...labour, mostly_author: false, learned: true, untimed: 0 })[1]!)).toBe(
    "Learned from 12 times of steps; the author wrote 45 min in all. How much the author's word weighs was learned too.");
  expect(labourInWords({ ...labour, q50_min: null })).toHaveLength(1);
});
