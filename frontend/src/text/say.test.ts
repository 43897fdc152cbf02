import { describe, expect, test } from "vitest";
import { ageInWords, bytesInWords, clockInWords, counted, listed, someOf, waitingInWords, whenInWords } from "./say";

const NOW = new Date(2026, 4, 12, 14, 5);

test("one is one and more are more", () =>
  expect([counted(1, "note"), counted(2, "note"), counted(0, "entry", "entries")]).toEqual(["1 note", "2 notes", "0 entries"]));
test("lists read as sentences do", () =>
  expect([listed([]), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])]).toEqual(["", "a", "a and b", "a, b and c"]));
test("long lists end in a number, never in “and 1 more”", () =>
  expect([someOf(["a", "b", "c", "d"]), someOf(["a", "b", "c", "d", "e"])]).toEqual(["a, b, c and d", "a, b, c and 2 more"]));
test.each([
  [0, "0 B"],
  [999, "999 B"],
  [1000, "1 kB"],
  [1_234_567, "1.2 MB"],
])("%i bytes", (bytes, text) => expect(bytesInWords(bytes)).toBe(text));

describe("moments", () => {
  test("of today are a time", () => expect(whenInWords(new Date(2026, 4, 12, 9, 30).toISOString(), NOW)).toBe("09:30"));
  test("of this year are a day", () => expect(whenInWords(new Date(2026, 1, 3).toISOString(), NOW)).toBe("3 February"));
  test("of another year carry it", () => expect(whenInWords(new Date(2025, 4, 12).toISOString(), NOW)).toBe("12 May 2025"));
  test("that cannot be read are said to be unknown", () => expect(whenInWords("soon", NOW)).toBe("time not known"));
});

describe("age of figures", () => {
  test("is unknown, and never fresh, when the clock cannot be trusted", () => expect(ageInWords("unknown", 0)).toBe("age not known"));
  test("is said in days", () =>
    expect([ageInWords("fresh", 0), ageInWords("fresh", 1), ageInWords("old", 12)]).toEqual([
      "checked today",
      "checked 1 day ago",
      "checked 12 days ago",
    ]));
});

test("a timer never runs below zero", () =>
  expect([clockInWords(-3), clockInWords(65), clockInWords(3600)]).toEqual(["0:00", "1:05", "60:00"]));
test("what waits is said by kind", () =>
  expect([waitingInWords(3, 2), waitingInWords(0, 1), waitingInWords(0, 0)]).toEqual([
    "3 entries and 2 photos waiting to send",
    "1 photo waiting to send",
    null,
  ]));
