import { describe, expect, test } from "vitest";
import type { ModelPack } from "../../store/bench";
import { EMPTY, factsFrom, hoursOf, machineErrors, optionsIn, withOption } from "./machine-facts";

const MODEL = {
  model: "hobmoor-packer-400",
  name: "Hobmoor Packer 400",
  years: [2019, 2026],
  options: [
    { id: "chain", name: "Chain drive", group: "drive", when: null },
    { id: "shaft", name: "Shaft drive", group: "drive", when: ["year", ">=", 2022] },
    { id: "winch", name: "Winch", group: null, when: null },
  ],
} as unknown as ModelPack;
const FILLED = { ...EMPTY, model: "hobmoor-packer-400", year: "2023", options: ["chain"], name: "Packer" };

describe("hours", () => {
  test.each([
    ["", null],
    ["84.5", 84.5],
    ["84,5", 84.5],
    ["84.5 h", 84.5],
    ["0", 0],
    ["100000", 100_000],
  ])("%s is taken", (text, hours) => expect(hoursOf(text)).toBe(hours));
  test.each(["-1", "100001", "twelve", "1e3", "84..5", "NaN"])("%s is refused", (text) => expect(hoursOf(text)).toBe("wrong"));
});

test("options that the year does not have are not offered", () =>
  expect(optionsIn(MODEL, "2020").flatMap(({ options }) => options.map(({ id }) => id))).toEqual(["chain", "winch"]));
test("of a group one is fitted: picking another drops the first", () =>
  expect(withOption(FILLED, MODEL, MODEL.options[1]!, true).options).toEqual(["shaft"]));
test("a group with nothing chosen is asked for", () =>
  expect(Object.keys(machineErrors({ ...FILLED, options: ["winch"] }, MODEL))).toEqual(["options"]));
test("each thing missing is said at its own field", () =>
  expect(Object.keys(machineErrors({ ...EMPTY, hours: "x" }, null))).toEqual(["model", "year", "name", "hours"]));
test("a full form has no errors and gives facts", () => {
  expect(machineErrors(FILLED, MODEL)).toEqual({});
  expect(factsFrom({ ...FILLED, hours: "12,5", serial: "  " }, MODEL)).toEqual({
    name: "Packer",
    model: "hobmoor-packer-400",
    modelName: "Hobmoor Packer 400",
    year: 2023,
    options: ["chain"],
    hours: 12.5,
    serial: null,
  });
});
test("an option the chosen year does not have is dropped, not stored", () =>
  expect(factsFrom({ ...FILLED, year: "2020", options: ["shaft", "winch"] }, MODEL).options).toEqual(["winch"]));
