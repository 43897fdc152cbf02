import { describe, expect, test } from "vitest";
import { ageOfFigures, bestTime, clockAfterContact } from "./clock-trust";

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
