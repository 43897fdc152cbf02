// @vitest-environment jsdom
import { render } from "preact";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { go } from "../../components/where";
import { NotesScreen } from "../job/notes-screen";
import { StepScreen } from "../job/step-screen";
import { begin, events, JOB, PACK, record, recorded } from "../testing/bench-fake";
import { press, settle, show, textOf, type } from "../testing/page";

vi.mock("../../store/bench", () => import("../testing/bench-fake"));
vi.stubGlobal("scrollTo", () => undefined);

const step = PACK.steps[0]!.id;
let root: HTMLElement;

beforeEach(async () => {
  await begin();
  const note = await record(JOB, "NoteWritten", { step, text: "Is black oil bad?" });
  await record(JOB, "ReplyWritten", { to: note.id, step, text: "No. Go on.", by: "anna" });
});
afterEach(() => {
  render(null, root);
  root.remove();
  go("/");
});

async function open(screen: preact.ComponentChild, words: string): Promise<void> {
  root = await show(screen);
  await vi.waitFor(() => expect(textOf(root)).toContain(words), { timeout: 5000 });
  await settle();
}

test("an answer stands at its step with what it is to, and is new until it was called read", async () => {
  await open(<StepScreen job={JOB} step={step} />, "No. Go on.");
  expect(textOf(root)).toContain("New answer from the dealer");
  expect(textOf(root.querySelector(".answer")!)).toContain("To: “Is black oil bad?”");
  await press(root, "I have read this");
  const reply = events.value.find(({ kind }) => kind === "ReplyWritten")!;
  expect(recorded().at(-1)).toEqual(["ReplySeen", { reply: reply.id }]);
  expect(textOf(root)).not.toContain("New answer");
  expect(textOf(root)).toContain("Answer from the dealer");
});

test("in a closed job the customer can still write back where the dealer answered", async () => {
  await record(JOB, "JobClosed", { outcome: "finished", words: "" });
  go(`/job/${JOB}/notes?note`);
  await open(<NotesScreen job={JOB} />, "No. Go on.");
  await type(root, "What did you see or do?", "Thank you. It is clear now.");
  await press(root, "Save the note");
  expect(recorded().at(-1)).toEqual(["NoteWritten", { step: null, text: "Thank you. It is clear now." }]);
});

test("in a closed job without an answer nothing more is written", async () => {
  events.value = events.value.filter(({ kind }) => kind !== "ReplyWritten");
  await record(JOB, "JobClosed", { outcome: "finished", words: "" });
  go(`/job/${JOB}/notes?note`);
  await open(<NotesScreen job={JOB} />, "Is black oil bad?");
  expect(root.querySelector("form")).toBeNull();
});
