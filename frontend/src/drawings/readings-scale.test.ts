import { expect, test } from "vitest";
import { roundMarks, spanOf } from "./readings-scale";

test.each([
  [0, 100, [0, 20, 40, 60, 80, 100]],
  [3, 47, [0, 10, 20, 30, 40, 50]],
  [0.91, 1.13, [0.9, 0.95, 1, 1.05, 1.1, 1.15]],
  [-4, 4, [-4, -2, 0, 2, 4]],
  [1200, 1200, [1000, 1500]],
  [0, 0, [0, 0.2]],
])("marks from %d to %d are round and hold both ends", (low, high, marks) => {
  const made = roundMarks(low, high);
  expect(made[0]).toBeLessThanOrEqual(low);
  expect(made.at(-1)).toBeGreaterThanOrEqual(high);
  if (low !== high) expect(made).toEqual(marks);
  expect(made.length).toBeGreaterThan(1);
});

test("the span holds readings and limits, and is there without any", () => {
  expect(spanOf([3, null, 1, 9])).toEqual([1, 9]);
  expect(spanOf([null])).toEqual([0, 1]);
});
