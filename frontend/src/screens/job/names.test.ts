import { describe, expect, test } from "vitest";
import pack from "../../../../shared/vectors/fixtures/bench-pack.json";
import type { Joint, ProcedurePack, Step } from "../../store/bench";
import { tightenedTo, toolNames, wrenchOf } from "./names";

const PACK = pack as unknown as ProcedurePack;
const step = (id: string): Step => PACK.steps.find((each) => each.id === id)!;
const withJoint = (change: Partial<Joint>): ProcedurePack => ({
  ...PACK,
  joints: { ...PACK.joints, cover_screws: { ...PACK.joints["cover_screws"]!, ...change } },
});

describe("the figure of a step", () => {
  test("is the joint's own, at the stage named", () =>
    expect(tightenedTo(PACK, step("cover-half"))).toMatchObject({ known: true, figure: { id: "cover_torque" }, stage: { n: 1, of: 2 } }));
  test("is none where nothing is tightened", () => expect(tightenedTo(PACK, step("drain"))).toBeNull());
  test("is said to be unknown for a threaded joint without figure or “by hand”", () => {
    const bare = withJoint({ figure: null, hand: null, stages: [{ pose: null }], kind: "threaded" });
    expect(
      tightenedTo({ ...bare, steps: [{ ...step("cover-half"), figure: null }] }, { ...step("cover-half"), figure: null }),
    ).toMatchObject({ known: false, figure: null });
  });
  test("of a joint closed by hand is none", () => {
    const byHand = withJoint({ figure: null, hand: "to the stop", stages: [{ pose: null }] });
    expect(
      tightenedTo({ ...byHand, steps: [{ ...step("cover-half"), figure: null }] }, { ...step("cover-half"), figure: null }),
    ).toBeNull();
  });
  test("named by the step but missing from the pack is said to be unknown", () =>
    expect(tightenedTo({ ...PACK, figures: {} }, step("cover-final"))).toMatchObject({ known: false }));
});

test("a wrench is drawn with what it must read at this stage", () => {
  const tools = { ...PACK.tools, small: { name: "small torque wrench", kind: "torque_wrench", low_nm: 2, high_nm: 25, when: null } };
  const half = { ...step("cover-half"), tools: ["small"] };
  const asked = tightenedTo(PACK, half)!;
  expect(wrenchOf({ ...PACK, tools }, half, asked)).toEqual({
    name: "small torque wrench",
    lowNm: 2,
    highNm: 25,
    targetNm: (asked.figure!.value! * asked.stage!.share!) / 100,
  });
  expect(wrenchOf(PACK, step("drain"), null)).toBeNull();
});

test("any one of a joint's tools will do, and a tool is named once", () =>
  expect(toolNames(PACK, step("cover-off")).length).toBe(new Set(toolNames(PACK, step("cover-off"))).size));
