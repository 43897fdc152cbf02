import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import type { JournalEvent } from "../generated/event";
import type { ProcedurePack } from "../generated/procedure-pack";
import { canonicalJson } from "./canonical-json";
import { eventProblems } from "./event-problems";
import { foldJournal } from "./journal";
import { Refused } from "./refused";
import { verdict } from "./verdict";

const VECTORS = join(import.meta.dirname, "../../../shared/vectors");
const read = (name: string) => JSON.parse(readFileSync(join(VECTORS, name), "utf8"));
const pack: ProcedurePack = read("fixtures/bench-pack.json");
const logs: { description: string; input: { events: unknown[] } }[] = read("journal.json");

/** Numbers from 0 to 1, the same for the same seed: a linear congruential generator (constants of Numerical Recipes, from memory). */
function chanceOf(seed: number): () => number {
  let state = seed >>> 0;
  return () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 32;
}

function shuffled<T>(items: readonly T[], chance: () => number): T[] {
  return items.map((item) => [chance(), item] as const).sort((a, b) => a[0] - b[0]).map(([, item]) => item);
}

const event: JournalEvent = {
  id: "01928b6e-7c00-7000-8000-000000000001", device: "3f2a1b4c-0000-4000-8000-00000000000a", seq: 1, job: "01928b6e-7c00-7000-8000-0000000000aa",
  kind: "ReadingTaken", body: { step: "pads", check: "pad_thickness", value: 1.2, unit: "mm", as_typed: "1.2", verdict: "within" },
  hlc: "001764057660000-0000-3f2a1b4c", wall: "2025-11-25T08:01:00Z", pack: "ab".repeat(32), prev: null, schema: 1,
};

describe("any order, split and repetition of events gives the same fold", () => {
  test.each(logs.map((log) => [log.description, log.input.events] as const))("%s", (_name, events) => {
    const once = foldJournal(pack, events);
    for (let seed = 1; seed <= 20; seed += 1) {
      const chance = chanceOf(seed);
      const again = events.filter(() => chance() < 0.3);
      const cut = Math.floor(chance() * events.length);
      expect(foldJournal(pack, shuffled([...events, ...again], chance))).toEqual(once);
      expect(foldJournal(pack, [...events.slice(cut), ...events.slice(0, cut)])).toEqual(once);
    }
  });
});

describe("what is no number", () => {
  test.each([NaN, Infinity, -Infinity])("%s as a reading is a problem and does not count", (value) => {
    const spoiled = { ...event, body: { ...event.body, value } };
    expect(eventProblems(event)).toEqual([]);
    expect(eventProblems(spoiled)).toEqual([{ code: "event_field_wrong", at: "body.value" }]);
    expect(foldJournal(pack, [spoiled])).toMatchObject({ readings: [], unknown: 1 });
  });
  test.each([NaN, Infinity])("%s has the verdict unknown", (value) => expect(verdict(pack, "pads", value)).toBe("unknown"));
});

describe("what has no canonical form", () => {
  test.each([[NaN], ["half a \ud83d"], [undefined], [() => 1], [10n]])("%s is a problem", (more) => {
    expect(eventProblems({ ...event, body: { ...event.body, more } })).toEqual([{ code: "event_no_canonical_form", at: "" }]);
    expect(() => canonicalJson({ more })).toThrow(Refused);
  });
  test("a field that is undefined is missing", () => {
    expect(eventProblems({ ...event, body: { ...event.body, unit: undefined } })).toEqual([{ code: "event_field_missing", at: "body.unit" }]);
  });
});
