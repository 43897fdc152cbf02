import { expect, test } from "vitest";
import type { Joint } from "../store/bench";
import { turnOrder } from "./turn-order";

type Placed = Pick<Joint, "positions" | "order" | "pattern">;
const joint = (pattern: string, order: number[] | null, ...at: [number, number][]) =>
  ({ pattern, order, positions: at.map((spot) => ({ at: spot, length_mm: 20, label: null })) }) as Placed;
const SQUARE: [number, number][] = [
  [0, 0],
  [80, 0],
  [80, 34],
  [0, 34],
];

// Source: legacy cross of ASME PCC-1 table 4 for four bolts, from memory
test("a crosswise cover is numbered corner to corner", () => expect(turnOrder(joint("cross", null, ...SQUARE))).toEqual([1, 3, 2, 4]));
test("a circular one goes round", () => expect(turnOrder(joint("circle", null, ...SQUARE))).toEqual([1, 2, 3, 4]));
test("the map's own order is taken as it stands", () => expect(turnOrder(joint("listed", [2, 1, 4, 3], ...SQUARE))).toEqual([2, 1, 4, 3]));
test("a list that leaves a hole out is no order", () => expect(turnOrder(joint("listed", [1, 2, 2, 4], ...SQUARE))).toBeNull());
test("no order is invented where the map asks for none", () => expect(turnOrder(joint("any", null, ...SQUARE))).toBeNull());
test("a list that was asked for and is missing is not made up", () => expect(turnOrder(joint("listed", null, ...SQUARE))).toBeNull());
test("holes drawn on top of each other have no order", () => expect(turnOrder(joint("cross", null, [0, 0], [0, 0]))).toBeNull());
