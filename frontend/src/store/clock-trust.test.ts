import { describe, expect, test } from "vitest";
import { ageOfFigures, bestTime, clockAfterContact } from "./clock-trust";
import { inOrder, nextStamp, seenStamp, stampOf, stampText } from "./stamp";

const DAY = 24 * 3600 * 1000;
const YEAR = 365 * DAY;
const T = Date.parse("2026-11-25T10:00:00Z");
const checkedAt = new Date(T).toISOString();
const known = clockAfterContact(undefined, T, T);

describe("the age of figures", () => {
  test.each([
    ["just checked", T, "fresh", 0],
    ["after 30 days", T + 30 * DAY, "fresh", 30],
    ["after 31 days", T + 31 * DAY, "old", 31],
    ["with a clock 9 min behind the server's last word", T - 9 * 60_000, "fresh", 0],
    ["with a clock 11 min behind the server's last word", T - 11 * 60_000, "unknown", null],
    ["with a clock set back a year", T - YEAR, "unknown", null],
    ["with a clock set back ten years", T - 10 * YEAR, "unknown", null],
    ["with a clock set forward five years", T + 5 * YEAR, "old", 5 * 365],
  ])("%s is %s", (_, phoneMs, age, ageDays) => {
    expect(ageOfFigures(checkedAt, known, phoneMs)).toEqual({ age, ageDays });
  });

  test("is unknown without a check and without a contact", () => {
    expect(ageOfFigures(null, known, T).age).toBe("unknown");
    expect(ageOfFigures(checkedAt, undefined, T).age).toBe("unknown");
    expect(ageOfFigures("yesterday", known, T).age).toBe("unknown");
  });

  test("counts by the server's clock when the phone's was a year wrong at the check", () => {
    const wrong = clockAfterContact(undefined, T, T - YEAR);
    expect(ageOfFigures(checkedAt, wrong, T - YEAR + 3 * DAY)).toEqual({ age: "fresh", ageDays: 3 });
  });

  test("is never fresh when a clock that was wrong at the check is put right later", () => {
    expect(ageOfFigures(checkedAt, clockAfterContact(undefined, T, T - YEAR), T + DAY).age).toBe("old");
    expect(ageOfFigures(checkedAt, clockAfterContact(undefined, T, T + YEAR), T + DAY).age).toBe("unknown");
  });

  test("the newest server time never goes back", () => {
    expect(clockAfterContact(known, T - YEAR, T).newestServerMs).toBe(T);
    expect(bestTime(known, T - YEAR)).toBe(T);
  });
});

describe("the hybrid clock", () => {
  test("goes on counting when the wall clock stands still or falls back", () => {
    const first = nextStamp({ ms: 0, counter: 0 }, 100);
    const second = nextStamp(first, 100);
    const third = nextStamp(second, 50);
    expect([first, second, third]).toEqual([{ ms: 100, counter: 0 }, { ms: 100, counter: 1 }, { ms: 100, counter: 2 }]);
    expect(nextStamp({ ms: 100, counter: 0xffff }, 100)).toEqual({ ms: 101, counter: 0 });
  });

  test("follows a foreign stamp, but not one more than a day ahead", () => {
    expect(seenStamp({ ms: 100, counter: 0 }, { ms: 100 + DAY, counter: 3 }, 100)).toEqual({ ms: 100 + DAY, counter: 3 });
    expect(seenStamp({ ms: 100, counter: 0 }, { ms: 101 + DAY, counter: 3 }, 100)).toEqual({ ms: 100, counter: 0 });
  });

  test("writes and reads its text, and text order is stamp order", () => {
    const text = stampText({ ms: 1764057300000, counter: 10 }, "0f9a1c22-aaaa-4bbb-8ccc-000000000000");
    expect(text).toBe("001764057300000-000a-0f9a1c22");
    expect(stampOf(text)).toEqual({ ms: 1764057300000, counter: 10 });
    expect(inOrder({ hlc: text, device: "a", seq: 2 }, { hlc: text, device: "a", seq: 10 })).toBeLessThan(0);
    expect(inOrder({ hlc: text, device: "a", seq: 2 }, { hlc: stampText({ ms: 1764057300000, counter: 16 }, "0"), device: "a", seq: 1 })).toBeLessThan(0);
  });
});
