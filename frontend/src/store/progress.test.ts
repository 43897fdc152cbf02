import { expect, test } from "vitest";
import type { JournalEvent, ProcedurePack } from "./pack-types";
import { progress } from "./progress";

const JOB = "0190a000-0000-7000-8000-000000000001";
let seq = 0;
const event = (kind: string, body: Record<string, unknown>): JournalEvent => ({
  id: `0190a000-0000-7000-8000-${String(++seq).padStart(12, "0")}`, device: "aaaaaaaa-0000-4000-8000-000000000001", seq, job: JOB, kind, body,
  hlc: `${String(seq).padStart(15, "0")}-0000-aaaaaaaa`, wall: "2026-11-25T08:00:00+00:00", pack: "a".repeat(64), prev: seq === 1 ? null : "b".repeat(64), schema: 1,
});
const step = (id: string, when: unknown = null) => ({ id, when, do: [{ verb: "note", object: "" }], cautions: [], tools: [] });
const tables = Object.fromEntries(["parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids", "cautions", "checks", "follow_ons", "pictures"].map((name) => [name, {}]));
const pack = { format: "benchtrail.procedure/1", ...tables, start: [], ends: [], goal: [], steps: [step("a"), step("b", ["year", ">=", 2024]), step("c")] } as unknown as ProcedurePack;
const machine = { id: "m", name: "Blue", model: "fell", year: 2023, options: [], hours: null, serial: null };
const started = event("JobStarted", { machine, procedure: "p", revision: 1, title: "t" });

test("counts the steps of this machine only, and names the next", () => {
  expect(progress([started, event("StepDone", { step: "a" })], pack)).toEqual({ done: 1, total: 2, place: "c", closed: null, unread: 0 });
});

test("an undone tick counts no longer", () => {
  const done = event("StepDone", { step: "a" });
  expect(progress([started, done, event("Retracted", { event: done.id })], pack)).toMatchObject({ done: 0, place: "a" });
});

test("without the pack a job is still listed, with what its events say", () => {
  const closed = event("JobClosed", { outcome: "given_up", words: "" });
  expect(progress([started, event("StepDone", { step: "a" }), closed], null)).toEqual({ done: 1, total: 0, place: null, closed: { outcome: "given_up" }, unread: 0 });
});

test("a pack with a guard of an unknown form does not take the job off the bench", () => {
  const odd = { ...pack, steps: [step("a", ["moon", "full"])] } as unknown as ProcedurePack;
  expect(progress([started], odd)).toMatchObject({ done: 0, total: 0 });
});

test("an answer of the dealer is unread until a phone says that it was read, with the pack and without", () => {
  const reply = event("ReplyWritten", { to: null, step: "a", text: "Fill it first.", by: "anna" });
  const other = event("ReplyWritten", { to: null, step: null, text: "Call us.", by: "anna" });
  const seen = event("ReplySeen", { reply: reply.id });
  expect(progress([started, reply, other], pack).unread).toBe(2);
  expect(progress([started, reply, other, seen], pack).unread).toBe(1);
  expect(progress([started, reply, other, seen], null).unread).toBe(1);
});
