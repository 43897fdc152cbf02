// @vitest-environment jsdom
import { render } from "preact";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { go, path } from "../../components/where";
import { begin, JOB, outbox, PACK, recorded, refuseNext } from "../testing/bench-fake";
import { press, pressable, settle, show, textOf, type } from "../testing/page";
import { turnOrder } from "../../drawings/turn-order";
import { StepScreen } from "./step-screen";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
vi.stubGlobal("scrollTo", () => undefined);

let root: HTMLElement;
const open = async (step: string, query = ""): Promise<void> => {
  go(`/job/${JOB}/step/${step}${query}`);
  root = await show(<StepScreen job={JOB} step={step} />);
};
const key = async (name: string): Promise<void> => {
  dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
  await settle();
};
const last = () => recorded().at(-1);

beforeEach(() => begin());
afterEach(() => {
  render(null, root);
  root.remove();
});

describe("a step", () => {
  test("is done with one press, recorded, said, and the next one opens", async () => {
    await open("valve-off");
    await press(root, "Done");
    expect(last()).toEqual(["StepDone", { step: "valve-off", away_s: expect.any(Number) }]);
    expect(path.value).toBe(`/job/${JOB}/step/tray-on`);
    expect(textOf(root.querySelector("[role=status].said")!)).toBe("Saved on this phone");
  });

  test("that could not be written is not called saved, says why, and stays", async () => {
    await open("valve-off");
    refuseNext("This phone has no room left.");
    await press(root, "Done");
    expect(recorded()).toHaveLength(1);
    expect(path.value).toBe(`/job/${JOB}/step/valve-off`);
    expect(textOf(root.querySelector("[role=alert]")!)).toContain("no room left");
  });

  test("shows where it stands: n of m and what is off, loose and drained", async () => {
    await begin(["valve-off", "tray-on", "skid-off", "drain"]);
    await open("hose-aside");
    const head = textOf(root.querySelector(".job-head")!);
    expect(head).toMatch(/5 of \d+/);
    expect(head).toMatch(/1 off2 loose1 drained/);
  });

  test("done before offers the way to take the tick back, and the fold follows", async () => {
    await begin(["valve-off"]);
    await open("valve-off");
    await press(root, "Take the tick back");
    expect(last()?.[0]).toBe("Retracted");
    expect(pressable(root, "Done")).toBeTruthy();
  });

  test("of another variant is not shown as part of the job", async () => {
    await open("oring");
    expect(textOf(root)).toContain("not part of the job on this machine");
  });
});

describe("keys, pedals and remotes", () => {
  test("page down and up move without ticking", async () => {
    await open("tray-on");
    await key("PageDown");
    expect(path.value).toBe(`/job/${JOB}/step/skid-off`);
    expect(recorded()).toHaveLength(1);
    render(null, root);
    await open("tray-on");
    await key("PageUp");
    expect(path.value).toBe(`/job/${JOB}/step/valve-off`);
  });

  test("enter does the step", async () => {
    await open("tray-on");
    await key("Enter");
    expect(last()).toEqual(["StepDone", { step: "tray-on", away_s: expect.any(Number) }]);
  });

  test("nothing moves while a sheet is open", async () => {
    await open("tray-on", "?note");
    await key("PageDown");
    expect(path.value).toBe(`/job/${JOB}/step/tray-on`);
  });
});

describe("a figure", () => {
  test("of a stage is its share, with the step's source", async () => {
    await open("cover-half");
    expect(textOf(root.querySelector(".figure-stage")!)).toMatch(/^Stage 1 of 2: \d+ % of the figure$/);
    expect(textOf(root.querySelector(".figure-from")!)).toContain(PACK.figures["cover_torque"]!.source);
  });
});

describe("a reading", () => {
  test("is asked for before the step can be done", async () => {
    await open("runout");
    await press(root, "Done");
    expect(recorded()).toHaveLength(1);
    expect(textOf(root)).toContain("Write the reading first");
  });

  test("within its limits is kept as typed and as a value, and frees the step", async () => {
    await open("pads");
    await type(root, "Reading in mm", "4,5");
    await press(root, "Keep it");
    expect(last()).toEqual([
      "ReadingTaken",
      expect.objectContaining({ step: "pads", value: 4.5, unit: "mm", as_typed: "4,5 mm", verdict: "within" }),
    ]);
    expect(textOf(root)).toContain("within the limit");
    await press(root, "Done");
    expect(last()).toEqual(["StepDone", { step: "pads", away_s: expect.any(Number) }]);
  });

  test("that is no number is refused in words, and what was typed stays", async () => {
    await open("pads");
    await type(root, "Reading in mm", "thick enough");
    await press(root, "Keep it");
    expect(recorded()).toHaveLength(1);
    expect(root.querySelector("[role=alert]")).not.toBeNull();
    expect(root.querySelector<HTMLInputElement>(".entry input")!.value).toBe("thick enough");
  });
});

describe("skipping", () => {
  test("needs a reason", async () => {
    await open("tray-on", "?skip");
    await press(root, "Skip it");
    expect(recorded()).toHaveLength(1);
    await type(root, "Why is it skipped?", "No tray here");
    await press(root, "Skip it");
    expect(last()).toEqual(["StepSkipped", { step: "tray-on", reason: "No tray here" }]);
    expect(path.value).toBe(`/job/${JOB}/step/valve-off`.replace("valve-off", "skid-off"));
  });
});

describe("a note", () => {
  test("empty is not saved; written, it is recorded at its step", async () => {
    await open("tray-on", "?note");
    await press(root, "Save the note");
    expect(recorded()).toHaveLength(1);
    await type(root, "What did you see or do?", "Drain plug was loose.");
    await press(root, "Save the note");
    expect(last()).toEqual(["NoteWritten", { step: "tray-on", text: "Drain plug was loose." }]);
  });
});

describe("places", () => {
  test("are ticked in their order with one press, and the last can be taken back", async () => {
    await open("cover-half", "?places-cover_screws");
    await press(root, /^Place \d .*: tight$/);
    const [, first] = last()!;
    expect(first).toMatchObject({
      step: "cover-half",
      joint: "cover_screws",
      position: turnOrder(PACK.joints["cover_screws"]!)![0],
      ticked: true,
    });
    await press(root, "Take back the last");
    expect(last()).toEqual(["PositionTicked", { ...first, ticked: false }]);
  });
});

test("coming back says what is loose, off and drained, and records that the job goes on", async () => {
  await begin(["valve-off", "tray-on", "skid-off", "drain"]);
  const { record } = await import("../testing/bench-fake");
  await record(JOB, "JobPaused", { step: "hose-aside" });
  await open("hose-aside", "?resume");
  const panel = textOf(root.querySelector(".resume")!);
  expect(panel).toMatch(/You are at step 5/);
  expect(panel).toMatch(/Loose, not final \(2\)/);
  expect(panel).toMatch(/Drained, not filled \(1\)/);
  await press(root, "Go on");
  expect(last()).toEqual(["JobResumed", { step: "hose-aside" }]);
});

test("what waits to be sent is said on the step", async () => {
  outbox.value = { ...outbox.value, notes: 3, photos: 2 };
  await open("tray-on");
  expect(textOf(root)).toContain("3 entries and 2 photos waiting to send");
});
