import { describe, expect, it } from "vitest";
import { guardOf, guardText } from "./guard-words";

describe("a condition", () => {
  it.each(["", "year >= 2024", "year <= 2023", "year >= 2021 and year <= 2023", "year = 2022", "skid_plate", "not kick_start", "year >= 2024 and skid_plate and not kick_start"])(
    "“%s” is the same after it went through the form",
    (written) => {
      expect(guardText(guardOf(written)!)).toBe(written);
    },
  );

  it.each(["(a or b) and c", "a or b", "year < 2023", "year >= 2021 and year >= 2022", "not (a)", "a and not a", "year"])("“%s” says more than the form asks, and is left as it is", (written) => {
    expect(guardOf(written)).toBeNull();
  });
});
