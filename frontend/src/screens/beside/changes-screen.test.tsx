// @vitest-environment jsdom
import { render } from "preact";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { go } from "../../components/where";
import type { Bulletin, BulletinChange } from "../../store/bench";
import { StepScreen } from "../job/step-screen";
import { begin, JOB, library, PACK, recorded, SHA } from "../testing/bench-fake";
import { press, settle, show, textOf, type } from "../testing/page";
import { ChangesScreen } from "./changes-screen";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
vi.stubGlobal("scrollTo", () => undefined);

const step = PACK.steps.find(({ do: acts }) => acts.some(({ verb, object }) => verb === "tighten" && object === "cover_screws"))!.id;
const old = PACK.figures["cover_torque"]!;
const figure: BulletinChange = {
  id: "c1", code: "figure_changed", severity: "safety", object: "cover_screws", name: "pump cover screws", old: "10 N·m ± 1 N·m, dry",
  new: "8 N·m, dry", steps: [step], redo: true, when: null, figures: { old, new: { ...old, as_published: "8 N·m", tolerance: null, value: 8, low: null, high: null } },
};
const other: BulletinChange = {
  id: "c2", code: "caution_added", severity: "work", object: "hot", name: "Hot coolant", old: null, new: "CAUTION: Hot.", steps: ["drain"], redo: false, when: null,
};
const bulletin: Bulletin = {
  kind: "procedure", id: PACK.procedure, title: PACK.title, from: { sha256: SHA, revision: 1 }, to: { sha256: "b2".repeat(32), revision: 2 },
  issued_at: "2026-11-25T08:00:00Z", text: "The sheet was misprinted.", changes: [figure, other],
};
const upTo = PACK.steps.map(({ id }) => id).slice(0, PACK.steps.findIndex(({ id }) => id === step) + 1);
let root: HTMLElement;

beforeEach(() => {
  library.value = { ...library.value, bulletins: [bulletin] };
});
afterEach(() => {
  render(null, root);
  root.remove();
  library.value = { ...library.value, bulletins: [] };
});

async function open(): Promise<void> {
  root = await show(<ChangesScreen job={JOB} />);
  await vi.waitFor(() => expect(root.querySelector("h1")).not.toBeNull(), { timeout: 5000 });
  await settle();
}

test("a finished step shows old and new beside each other and is answered by doing it again", async () => {
  await begin(upTo);
  await open();
  expect(textOf(root)).toContain("The sheet was misprinted.");
  expect(textOf(root.querySelector(".figure")!)).toMatch(/10 ± 1 N·m.*Revision 2 says:.*8 N·m/);
  expect(textOf(root)).toContain("New caution: CAUTION: Hot.");
  await press(root, "I did it again");
  expect(recorded().at(-1)).toEqual(["BulletinAnswered", { to: bulletin.to.sha256, step, answer: "redone", changes: ["c1"], reason: "" }]);
  expect(textOf(root)).toContain("Done again.");
});

test("a step that stays as it is needs a reason", async () => {
  await begin(upTo);
  await open();
  await press(root, "It stays as it is");
  await press(root, "It stays as it is");
  expect(recorded().at(-1)?.[0]).toBe("StepDone");
  await type(root, "Why it stays as it is", "The dealer said 10 is right here.");
  await press(root, "It stays as it is");
  expect(recorded().at(-1)).toEqual(["BulletinAnswered", expect.objectContaining({ answer: "accepted", reason: "The dealer said 10 is right here." })]);
});

test("reading is recorded once, with all changes that concern the machine", async () => {
  await begin([]);
  await open();
  expect(textOf(root)).not.toContain("Finished steps that changed");
  await press(root, "I have read this");
  expect(recorded().at(-1)).toEqual(["BulletinAnswered", { to: bulletin.to.sha256, step: null, answer: "seen", changes: ["c1", "c2"], reason: "" }]);
  expect(textOf(root)).toContain("Read on this job.");
});

test("the step itself shows both figures and the way to what changed", async () => {
  await begin([]);
  go(`/job/${JOB}/step/${step}`);
  root = await show(<StepScreen job={JOB} step={step} />);
  expect(textOf(root)).toMatch(/Revision 2 says:.*10 ± 1 N·m.*8 N·m/);
  expect(textOf(root)).toContain("Changed in revision 2: see what");
});
