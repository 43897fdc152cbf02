// @vitest-environment jsdom
import { render } from "preact";
import { expect, test } from "vitest";
import type { Caution } from "../store/bench";
import { CautionCard, worstFirst } from "./caution-card";

const caution = (signal: Caution["signal"]): Caution => ({
  id: signal,
  signal,
  when: null,
  hazard: "Hot coolant sprays out under pressure.",
  consequence: "It scalds skin and eyes.",
  avoidance: "Wait until the engine is cold.",
  triggers: [],
});

test.each(["DANGER", "WARNING", "CAUTION", "NOTICE"] as const)(
  "%s carries its word, a shape, the hazard, the consequence and the way to avoid it, in this order",
  (signal) => {
    const root = document.createElement("div");
    render(<CautionCard caution={caution(signal)} />, root);
    expect(root.textContent).toMatch(new RegExp(`^${signal}.*sprays out.*scalds.*Wait until`));
    expect(root.querySelector(".caution-shape path")).not.toBeNull();
  },
);

test("no two signal words share a shape", () => {
  const shapes = (["DANGER", "WARNING", "CAUTION", "NOTICE"] as const).map((signal) => {
    const root = document.createElement("div");
    render(<CautionCard caution={caution(signal)} />, root);
    return root.querySelector(".caution-shape")!.innerHTML;
  });
  expect(new Set(shapes).size).toBe(4);
});

test("the worst stands first", () =>
  expect(worstFirst([caution("NOTICE"), caution("DANGER"), caution("CAUTION"), caution("WARNING")]).map(({ signal }) => signal)).toEqual([
    "DANGER",
    "WARNING",
    "CAUTION",
    "NOTICE",
  ]));
