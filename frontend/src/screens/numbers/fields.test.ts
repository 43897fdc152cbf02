// @vitest-environment jsdom
import { expect, test } from "vitest";
import { amountOf, firstForm, parts, readForm, typedInWords, unitsFor, type Around, type Field } from "./fields";

const AROUND: Around = { place: "", machines: [], tools: [], imperial: false, today: "2026-11-25" };
const TORQUE: Field = { kind: "amount", key: "t", label: "Torque", of: "torque", unit: "N·m" };
const read = (field: Field, form: Record<string, string>, imperial = false) => {
  const { input, failures } = readForm([field], form, imperial);
  return failures[field.key] ? failures[field.key]!.code : input[field.key];
};

test.each([
  ["10", 10], ["10,5", 10.5], ["1/2", 0.5], ["18 lbf·ft", 24.404723], ["18 ft-lb", 24.404723], ["120 in-lb", 13.558179], [" 10 N·m ", 10],
])("%s is read as a torque", (text, value) => expect(read(TORQUE, { t: text })).toBeCloseTo(value, 5));

test.each([["", "number_needed"], ["-5", "quantity_out_of_range"], ["ten", "quantity_unreadable"], ["99999999", "quantity_out_of_range"], ["10 mm", "unit_other_kind"], ["10 to 12", "calc_single_number"], ["10 ft N·m", "unit_unknown"]])(
  "%s is refused as a torque", (text, code) => expect(read(TORQUE, { t: text })).toBe(code),
);

test("a bare number takes the chosen unit, the person's own system by default", () => {
  expect(read(TORQUE, { t: "18", "t.unit": "lbf·ft" })).toBeCloseTo(24.404723, 5);
  expect(read(TORQUE, { t: "18" }, true)).toBeCloseTo(24.404723, 5);
  expect(unitsFor("torque", "N·m", true)[0]).toBe("lbf·ft");
});

test("a bare number of minutes is minutes, never a lower bound", () => {
  const field: Field = { kind: "amount", key: "m", label: "Estimate", of: "time", unit: "min" };
  expect(read(field, { m: "30" })).toBe(30);
  expect(read(field, { m: "1.5 h" })).toBe(90);
});

test("cold is below nothing", () => expect(amountOf("-25", "temperature", "°C", "°C", "Temperature")).toBe(-25));
test("what may stay empty is left out", () => expect(readForm([{ ...TORQUE, optional: true }], {}, false)).toEqual({ input: {}, failures: {} }));
test("a list is parted without breaking decimal commas", () => expect(parts("2,60; 2.65\n2.70, 2.75")).toEqual(["2,60", "2.65", "2.70", "2.75"]));
test("a ratio is read with and without its colon", () => {
  const field: Field = { kind: "amount", key: "r", label: "Ratio", of: "ratio", unit: ":1" };
  expect([read(field, { r: "32" }), read(field, { r: "32:1" })]).toEqual([32, 32]);
});

test("rows are read one by one, each failure at its own place", () => {
  const field: Field = { kind: "rows", key: "valves", label: "Valves", row: "valve", least: 1, most: 4, columns: [TORQUE] };
  const { input, failures } = readForm([field], { "valves.count": "2", "valves.0.t": "5", "valves.1.t": "five" }, false);
  expect(input["valves"]).toEqual([{ t: 5 }, {}]);
  expect(Object.keys(failures)).toEqual(["valves.1.t"]);
});

test("a form starts from what is around it", () => {
  const field: Field = { kind: "number", key: "h", label: "Hours", start: ({ today }) => today };
  expect(firstForm([field], AROUND)).toEqual({ h: "2026-11-25" });
});

test("what was typed stands in the note with its unit", () => expect(typedInWords([TORQUE], { t: "18", "t.unit": "lbf·ft" }, false)).toBe("Torque: 18 lbf·ft"));
