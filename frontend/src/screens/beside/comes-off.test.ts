import { expect, test, vi } from "vitest";
import { applySteps, forVariant, startState } from "../../domain/bench-state";
import { inSentences, laidOut, type DrawnBlock } from "../../drawings/comes-off-drawing";
import { linesOf } from "../../drawings/text-lines";
import { PACK } from "../testing/bench-fake";
import { blocksOf, stateOf } from "./comes-off";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));

const pack = forVariant(PACK, { year: 2022, options: ["skid_plate"] });
const blocks = blocksOf(pack);
const states = (done: string[]) => Object.fromEntries(blocks.map((block) => [block.id, stateOf(pack, applySteps(pack, done), block)]));

test("each thing that comes off is one block, in the order of the steps, with the joints that free it", () => {
  expect(blocks.map(({ id, kind, joints }) => [id, kind, joints])).toEqual([
    ["skid_plate_panel", "part", ["skid_bolts"]],
    ["coolant", "fluid", ["drain_plug"]],
    ["hose", "aside", ["hose_clamp"]],
    ["cover_group", "unit", ["cover_screws"]],
    ["seal", "part", ["seal_seat"]],
  ]);
});

test("the cover rests on the skid plate, the drained coolant and the hose; the seal on the cover", () => {
  const at = (id: string) => blocks.findIndex((block) => block.id === id);
  expect(blocks[at("cover_group")]!.restsOn).toEqual([at("skid_plate_panel"), at("coolant"), at("hose")]);
  expect(blocks.map(({ layer }) => layer)).toEqual([1, 1, 2, 3, 4]);
  expect(blocks[at("cover_group")]!.inside).toContain("pump cover");
});

test("the picture follows the job: on, off, hanging, drained, then back", () => {
  // the seal leaves with the unit that it sits in
  expect(new Set(Object.values(states([])))).toEqual(new Set(["on"]));
  const strip = ["valve-off", "tray-on", "skid-off", "drain", "hose-aside", "cover-off"];
  expect(states(strip)).toEqual({ skid_plate_panel: "off", coolant: "drained", hose: "aside", cover_group: "off", seal: "off" });
  expect(states([...strip, "seal-out", "seal-in", "gasket", "cover-on"])).toMatchObject({ cover_group: "loose", seal: "back" });
  const all = pack.steps.map(({ id }) => id);
  expect(new Set(Object.values(states(all)))).toEqual(new Set(["back"]));
  expect(states(all.filter((id) => id !== "cover-final"))).toMatchObject({ cover_group: "loose" });
});

test("a step that was only begun leaves what it frees not tight", () => {
  expect(stateOf(pack, { ...startState(pack), joints: { skid_bolts: "slack" } }, blocks[0]!)).toBe("loose");
});

const drawn: DrawnBlock[] = blocks.map((block, n) => ({ ...block, number: n + 1, as: block.kind, more: [], state: "on", restsOn: block.restsOn.map((m) => m + 1) }));

test("at 312 units two blocks stand side by side, none outside the sheet and none on another", () => {
  for (const width of [150, 312, 700]) {
    const { bands, height } = laidOut(drawn, width);
    const all = bands.flatMap((band) => band.blocks);
    expect(all).toHaveLength(drawn.length);
    for (const one of all) {
      expect(one.x).toBeGreaterThanOrEqual(0);
      expect(one.x + one.width).toBeLessThanOrEqual(width);
      expect(one.y + one.height).toBeLessThanOrEqual(height);
      for (const other of all) {
        const apart = one === other || one.x + one.width <= other.x || other.x + other.width <= one.x || one.y + one.height <= other.y || other.y + other.height <= one.y;
        expect(apart).toBe(true);
      }
    }
  }
  expect(laidOut(drawn, 312).bands[0]!.blocks[1]!.x).toBeGreaterThan(100);
});

test("the same is told in sentences, and long words are broken", () => {
  expect(inSentences(drawn)).toContain("Layer 2. 3 pump hose: on.");
  expect(linesOf("Kurbelwellenradialwellendichtring", 10).every((line) => line.length <= 10)).toBe(true);
});
