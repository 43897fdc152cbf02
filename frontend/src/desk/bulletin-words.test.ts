import { describe, expect, it } from "vitest";
import { answerInWords, bulletinWords } from "./bulletin-words";

const WALL = "2026-11-20T10:00:00Z";

describe("bulletins at the desk, in words", () => {
  it("never shows an unanswered step as answered", () => {
    expect(bulletinWords.left(0, 0)).toBe("none");
    expect(bulletinWords.left(0, 2)).toBe("2 steps, all answered");
    expect(bulletinWords.left(1, 2)).toBe("1 of 2 steps not answered");
  });

  it("says that nobody has read it", () => {
    expect(bulletinWords.seen(null)).toBe("Not read yet");
    expect(bulletinWords.seen({ device: "Customer A", wall: WALL })).toContain("Customer A, 20 Nov 2026");
  });

  it("tells an answer with its reason and who gave it", () => {
    expect(answerInWords({ answer: "accepted", reason: "Checked with the wrench", device: "Customer A", wall: WALL })).toMatch(/^Stays as it is: Checked with the wrench \(Customer A, 20 Nov 2026/);
    expect(answerInWords({ answer: "redone", reason: "", device: "Customer A", wall: WALL })).toMatch(/^Done again \(Customer A/);
  });
});
