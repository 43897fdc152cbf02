import { describe, expect, test } from "vitest";
import { layoutOf, WIDTH } from "./pattern-layout";

const at = (...spots: [number, number][]) => ({ positions: spots.map((spot) => ({ at: spot, length_mm: 25, label: null })) });

describe("layout of holes", () => {
  test.each([
    ["a wide cover", at([0, 0], [400, 10], [200, 30])],
    ["a tall one", at([0, 0], [10, 900])],
    ["two holes at one place", at([5, 5], [5, 5])],
    ["a single hole", at([7, 7])],
    ["twenty holes", at(...Array.from({ length: 20 }, (_, n): [number, number] => [Math.cos(n) * 90, Math.sin(n) * 90]))],
  ])("%s stays on the drawing", (_, joint) => {
    const { holes, height, radius } = layoutOf(joint, null);
    for (const { x, y } of holes) {
      expect(x - radius).toBeGreaterThanOrEqual(0);
      expect(x + radius).toBeLessThanOrEqual(WIDTH);
      expect(y - radius).toBeGreaterThanOrEqual(0);
      expect(y + radius).toBeLessThanOrEqual(height);
    }
  });

  test("keeps the face's own directions: x to the right, y down", () => {
    const [first, second] = layoutOf(at([0, 0], [40, 60]), null).holes;
    expect(second!.x).toBeGreaterThan(first!.x);
    expect(second!.y).toBeGreaterThan(first!.y);
  });

  test("says each hole's turn from the order given", () =>
    expect(layoutOf(at([0, 0], [1, 0], [2, 0]), [2, 3, 1]).holes.map(({ turn }) => turn)).toEqual([3, 1, 2]));
});
