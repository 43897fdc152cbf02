// @vitest-environment jsdom
import { render } from "preact";
import { afterEach, expect, test, vi } from "vitest";
import { applySteps, forVariant } from "../../domain/bench-state";
import { endItems } from "../../domain/end-items";
import { begin, JOB, MACHINE, PACK, recorded } from "../testing/bench-fake";
import { press, pressable, settle, show, textOf, type } from "../testing/page";
import { CloseScreen } from "./close-screen";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
vi.stubGlobal("scrollTo", () => undefined);

const VARIANT = { year: MACHINE.year, options: MACHINE.options };
const STEPS = forVariant(PACK, VARIANT).steps.map(({ id }) => id);
const endsAfter = (done: string[]) => endItems(forVariant(PACK, VARIANT), applySteps(forVariant(PACK, VARIANT), done));

let root: HTMLElement;
const open = async (done: string[]): Promise<void> => {
  await begin(done);
  root = await show(<CloseScreen job={JOB} />);
};
const choose = async (words: string): Promise<void> => {
  [...root.querySelectorAll("label")]
    .find((label) => textOf(label) === words)!
    .querySelector("input")!
    .click();
  await settle();
};
const cards = (): HTMLElement[] => [...root.querySelectorAll<HTMLElement>("section.card")];

afterEach(() => {
  render(null, root);
  root.remove();
});

test("a job with everything in order closes, once the person has said how it ends", async () => {
  expect(endsAfter(STEPS)).toEqual([]);
  await open(STEPS);
  expect(textOf(root)).toContain("Nothing is left open");
  await press(root, "Close the job");
  expect(recorded().at(-1)?.[0]).toBe("StepDone");
  expect(textOf(root)).toContain("Choose how the job ends");
  await choose("Finished");
  await press(root, "Close the job");
  expect(recorded().at(-1)).toEqual(["JobClosed", { outcome: "finished", words: "" }]);
  expect(textOf(root)).toContain("finished");
});

test("nothing that is not final can be closed over silently", async () => {
  await open(STEPS.filter((step) => step !== "cover-final"));
  await choose("Finished");
  await press(root, "Close the job");
  expect(recorded().at(-1)?.[0]).toBe("StepDone");
  expect(textOf(root)).toContain("needs going back or a reason first");
});

test("each thing left open names its step, and is left only with a reason", async () => {
  const done = STEPS.filter((step) => step !== "cover-final");
  await open(done);
  const item = () =>
    cards().find((card) => textOf(card).startsWith(`Cover screws`) || textOf(card).toLowerCase().includes("not tightened to the end"))!;
  expect(pressable(item(), /^Go to step \d+$/).getAttribute("href")).toBe(`/job/${JOB}/step/cover-final`);
  await press(item(), "Leave it so");
  await press(item(), "Leave it so");
  expect(textOf(item())).toContain("Write the reason.");
  await type(item(), "Reason", "Wrench lent out");
  await press(item(), "Leave it so");
  expect(recorded().at(-1)).toEqual(["EndItemAccepted", expect.objectContaining({ code: "joint_not_final", reason: "Wrench lent out" })]);
  expect(textOf(root)).toContain("Left so, with a reason");
});

test("what can hurt takes a second press, on another button in another place", async () => {
  const done = STEPS.filter((step) => step !== "fill" && step !== "top-up");
  expect(endsAfter(done).some(({ severity }) => severity === "BLOCK")).toBe(true);
  await open(done);
  const item = () => cards().find((card) => textOf(card).includes("drained, not filled"))!;
  await press(item(), "Leave it so");
  await type(item(), "Reason", "Waiting for coolant");
  const before = recorded().length;
  await press(item(), "Leave it so");
  expect(recorded()).toHaveLength(before);
  expect(textOf(item())).toContain("WARNING");
  await press(item(), "I have understood: leave it so");
  expect(recorded().at(-1)).toEqual([
    "EndItemAccepted",
    expect.objectContaining({ code: "fluid_not_filled", reason: "Waiting for coolant" }),
  ]);
});

test("open steps are skipped together with one reason, each recorded by itself", async () => {
  await open(STEPS.slice(0, -2));
  const item = () => cards().find((card) => textOf(card).includes("neither done nor skipped"))!;
  await press(item(), "Skip them with this reason");
  await type(item(), "One reason for all of these", "Done by the dealer");
  await press(item(), "Skip them with this reason");
  expect(recorded().slice(-2)).toEqual(STEPS.slice(-2).map((step) => ["StepSkipped", { step, reason: "Done by the dealer" }]));
});
