import { expect, test } from "vitest";
import type { Library, Machine, ManifestPack } from "../../store/bench";
import { fits, matches, shelves } from "./library-list";

const entry = (id: string, model: string | null, over: Partial<ManifestPack> = {}): ManifestPack => ({
  sha256: id.padEnd(64, "0"),
  bytes: 1000,
  kind: "procedure",
  id,
  title: id.replaceAll("-", " "),
  summary: "Café résumé.",
  revision: 1,
  issued: "2026-11-02",
  model,
  applies: null,
  safety: ["normal"],
  signature: "",
  pictures: [],
  ...over,
});
const FELL = {
  id: "m1",
  name: "Fell",
  model: "fell",
  modelName: "Hobmoor Fell 250",
  year: 2023,
  options: ["skid_plate"],
  hours: 1,
  serial: null,
  addedWall: "",
} satisfies Machine;
const ENTRIES = [
  entry("fell", "fell", { kind: "model", title: "Hobmoor Fell 250" }),
  entry("renew-chain", "fell"),
  entry("renew-seal", "fell", { applies: ["year", ">=", 2024] }),
  entry("belt", "packer"),
  entry("puncture", null),
];
const library = { entries: ENTRIES, kept: { [ENTRIES[1]!.sha256]: 900 } } as unknown as Library;
const idsOf = (scope: Parameters<typeof shelves>[1], search = "") =>
  shelves(library, scope, search).map(({ model, entries }) => [model, entries.map(({ id }) => id)]);

test("a machine sees its model's shelf, and the one for anywhere last", () =>
  expect(idsOf(FELL)).toEqual([
    ["fell", ["renew-chain", "renew-seal"]],
    [null, ["puncture"]],
  ]));
test("everything means every model", () => expect(idsOf("all").map(([model]) => model)).toEqual(["fell", "packer", null]));
test("a search finds words in any order, without accents or capitals", () =>
  expect([matches(ENTRIES[1]!, "CHAIN renew"), matches(ENTRIES[1]!, "resume"), matches(ENTRIES[1]!, "clutch")]).toEqual([
    true,
    true,
    false,
  ]));
test("a shelf without a match is not shown", () => expect(idsOf("all", "puncture")).toEqual([[null, ["puncture"]]]));
test("what does not apply to the machine's year is known as such", () =>
  expect([fits(ENTRIES[1]!, FELL), fits(ENTRIES[2]!, FELL), fits(ENTRIES[3]!, FELL), fits(ENTRIES[4]!, FELL)]).toEqual([
    true,
    false,
    false,
    true,
  ]));
test("a shelf counts what is kept, whatever the search", () =>
  expect(shelves(library, "all", "seal").map(({ kept, all, keptBytes }) => [kept, all, keptBytes])).toEqual([[1, 2, 900]]));
