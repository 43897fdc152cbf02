import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { addEntry, CannotEdit, insertItem, moveItem, readTree, removeItem, same, setValue, valueAt, type Value } from "./yaml-text";
import { onOneLine } from "./yaml-words";

const FOLDER = join(import.meta.dirname, "../../../../procedures");
const FILES = readdirSync(FOLDER, { recursive: true, encoding: "utf8" }).filter((name) => name.endsWith(".yaml"));
const TEXTS = FILES.map((name) => [name, readFileSync(join(FOLDER, name), "utf8")] as const);
const PROCEDURES = TEXTS.filter(([name]) => !name.endsWith("map.yaml"));
const MAPS = TEXTS.filter(([name]) => name.endsWith("map.yaml"));
type Steps = { [key: string]: Value }[];
const stepsOf = (text: string) => valueAt(readTree(text)!.data, ["steps"]) as Steps;

/** A few spread over the whole, the first and the last among them. */
const some = <T>(all: T[], count = 7): T[] => all.filter((_, at) => at === all.length - 1 || at % Math.ceil(all.length / count) === 0);

/** Lines that are not the same in both, as [first, last] of the old text. */
function changedLines(before: string, after: string): [number, number] {
  const [a, b] = [before.split("\n"), after.split("\n")];
  let first = 0;
  while (first < a.length && a[first] === b[first]) first += 1;
  let behind = 0;
  while (behind < a.length - first && behind < b.length - first && a[a.length - 1 - behind] === b[b.length - 1 - behind]) behind += 1;
  return [first, a.length - 1 - behind];
}

describe("every text of the library", () => {
  it.each(TEXTS)("%s is read", (_, text) => {
    expect(readTree(text)?.text).toBe(text);
  });

  it.each(TEXTS)("%s: a value put where it stands changes no byte", (_, text) => {
    const head = readTree(text)!.data as { [key: string]: Value };
    for (const [key, value] of Object.entries(head)) expect(setValue(text, [key], value)).toBe(text);
  });

  it.each(PROCEDURES)("%s: the words of one step change only that step's line", (_, text) => {
    for (const [at, step] of some([...stepsOf(text).entries()])) {
      const made = setValue(text, ["steps", at, "say"], "Turn it: “now”, [once] #2.");
      const [first, end] = changedLines(text, made);
      expect(text.split("\n").slice(first, end + 1).join("\n")).toContain("say:");
      expect(end - first).toBe(0);
      expect(setValue(made, ["steps", at, "say"], String(step["say"])).length).toBeGreaterThan(0);
      expect(stepsOf(made)[at]!["say"]).toBe("Turn it: “now”, [once] #2.");
    }
  });

  it.each(PROCEDURES)("%s: a step moved there and back is the same text", (_, text) => {
    const count = stepsOf(text).length;
    for (const [from, to] of [[1, 3], [3, 1], [count - 2, count - 1], [count - 1, 1]] as const) {
      const moved = moveItem(text, ["steps"], from, to);
      expect(moved.length).toBe(text.length);
      expect(moveItem(moved, ["steps"], to, from)).toBe(text);
    }
  });

  it.each(PROCEDURES)("%s: a step put in and taken out again is the same text", (_, text) => {
    const value = { id: "new-step", do: "note", say: "Read this." };
    const lines = Object.entries(value).map(([key, one]) => `${key}: ${one}`);
    for (const at of [0, 2, stepsOf(text).length]) {
      const made = insertItem(text, ["steps"], at, value, lines);
      expect(stepsOf(made)[at]).toEqual(value);
      if (at > 0) expect(removeItem(made, ["steps"], at)).toBe(text);
    }
  });

  it.each(PROCEDURES)("%s: a key added to a step and taken away is the same text", (_, text) => {
    for (const [at, step] of some([...stepsOf(text).entries()])) {
      if ("detail" in step) continue;
      const made = setValue(text, ["steps", at, "detail"], "One, two: three.", ["id", "section", "do", "say", "detail", "when"]);
      expect(setValue(made, ["steps", at, "detail"], null)).toBe(text);
    }
  });

  it.each(MAPS.slice(0, 1))("%s: names can be changed and keys taken away", { timeout: 60_000 }, (_, text) => {
    const head = readTree(text)!.data as { [key: string]: { [id: string]: { [key: string]: Value } } };
    for (const table of ["parts", "joints", "tools"]) {
      for (const [id, entry] of some(Object.entries(head[table]!), 3)) {
        const made = setValue(text, [table, id, "name"], "a, b: c");
        expect(changedLines(text, made)[0]).toBe(changedLines(text, made)[1]);
        for (const key of Object.keys(entry)) {
          const without = setValue(text, [table, id, key], null);
          expect(valueAt(readTree(without)!.data, [table, id, key])).toBeUndefined();
        }
      }
    }
  });

  it.each(MAPS)("%s: an entry added to a table is one line more", (_, text) => {
    const made = addEntry(text, "parts", "new_part", { name: "new part", side: "left" }, []);
    expect(made.length - text.length).toBe("  new_part: {name: new part, side: left}\n".length);
    expect(made).toContain("\n  new_part: {name: new part, side: left}\n");
    expect(text.startsWith(made.slice(0, made.indexOf("  new_part")))).toBe(true);
  });
});

describe("small texts", () => {
  it("keeps the end of lines of Windows, and a last line without its end", () => {
    const text = "a: 1\r\nsteps:\r\n  # one\r\n  - id: x\r\n  - id: y";
    expect(moveItem(text, ["steps"], 0, 1)).toBe("a: 1\r\nsteps:\r\n  - id: y\r\n  # one\r\n  - id: x");
    expect(setValue(text, ["b"], "2", ["a", "b", "steps"])).toBe("a: 1\r\nb: 2\r\nsteps:\r\n  # one\r\n  - id: x\r\n  - id: y");
    expect(insertItem(text, ["steps"], 2, { id: "z" }, ["id: z"])).toBe(`${text}\r\n  - id: z`);
  });

  it("gives an empty table or list lines of its own", () => {
    expect(addEntry("parts: {}\njoints: {}\n", "parts", "a", { name: "A" }, [])).toBe("parts:\n  a: {name: A}\njoints: {}\n");
    expect(addEntry("model: m\njoints: {}\n", "parts", "a", { name: "A" }, ["model", "parts", "joints"])).toBe("model: m\nparts:\n  a: {name: A}\njoints: {}\n");
    expect(addEntry("parts:\njoints: {}\n", "parts", "a", { name: "A" }, [])).toBe("parts:\n  a: {name: A}\njoints: {}\n");
    expect(insertItem("steps: []\n", ["steps"], 0, { id: "a", say: "B." }, ["id: a", "say: B."])).toBe("steps:\n  - id: a\n    say: B.\n");
    expect(removeItem("steps:\n  - id: a\nend: 1\n", ["steps"], 0)).toBe("steps: []\nend: 1\n");
  });

  it("keeps folded text folded, quotes as they are, and comments behind a value", () => {
    const text = "a: >-\n  one two\n  three\nb: 'x' # why\nc: [p, q] # list\n";
    const made = setValue(text, ["a"], `${"word ".repeat(40)}end`);
    expect(made.split("\n").slice(0, 4).every((line) => line.length <= 120)).toBe(true);
    expect(made).toMatch(/^a: >-\n {2}word/);
    expect(setValue(text, ["b"], "y")).toContain("b: 'y' # why\n");
    expect(setValue(text, ["c"], ["p"])).toContain("c: [p] # list\n");
    expect(setValue("k:\nl: 1\n", ["k"], "v")).toBe("k: v\nl: 1\n");
  });

  it("takes the first key of a step away without losing its dash", () => {
    expect(setValue("s:\n  - id: a\n    say: b\n", ["s", 0, "id"], null)).toBe("s:\n  - say: b\n");
    expect(() => setValue("s:\n  - id: a\n", ["s", 0, "id"], null)).toThrow(CannotEdit);
  });

  it("writes yes and no without quotes where they are no words, and keeps them so", () => {
    expect(setValue("p:\n  s: {name: a}\n", ["p", "s", "hold"], "true")).toBe("p:\n  s: {name: a, hold: true}\n");
    expect(setValue("invented: true\n", ["invented"], "false")).toBe("invented: false\n");
    expect(setValue("a: 1\nh: [{at: [0, 0], blind: true}]\n", ["h"], [{ at: ["1", "0"], blind: "true" }])).toBe("a: 1\nh: [{at: [1, 0], blind: true}]\n");
    expect(setValue("name: a\n", ["name"], "true")).toBe('name: "true"\n');
  });

  it("refuses what cannot be read", () => {
    expect(readTree("a: [")).toBeNull();
    expect(() => setValue("a: [", ["a"], "b")).toThrow(CannotEdit);
  });

  it("writes any words so that they are read back, plain where they can be", () => {
    const odd = ["", " a", "a: b", "a #b", "- a", "-5", "null", "true", "[x]", "{", "a, b", "it's", '"q"', "back\\slash", "ü €", "x:", "@", "%", "a\nb", "\t", "?", "10 N·m", "± 1", "year <= 2023", "#", "|", ">-", "*a", "&a", "!t", "a:b", 'a:"', "\u2028", "0x1", "1:30"];
    for (const words of odd) {
      for (const source of [`k: ${onOneLine(words)}\n`, `k: ${onOneLine([words, words])}\n`, `k: ${onOneLine({ a: words, b: [words] })}\n`]) {
        const data = valueAt(readTree(source)?.data, ["k"]);
        const wanted = source.includes("{a:") ? { a: words, b: [words] } : source.startsWith("k: [") && Array.isArray(data) ? [words, words] : words;
        expect(same(data, wanted), `${JSON.stringify(words)} in ${source}`).toBe(true);
      }
    }
    expect(onOneLine({ name: "pump cover", at: ["-95", "40"] })).toBe("{name: pump cover, at: [-95, 40]}");
  });
});

it("any run of edits stays readable, and undoing them by value gives back the data", () => {
  let seed = 7;
  const chance = (below: number) => ((seed = (seed * 1103515245 + 12345) % 2147483648) >> 8) % below;
  const [, start] = PROCEDURES.find(([name]) => name.includes("renew-water-pump-seal"))!;
  let text = start;
  for (let turn = 0; turn < 60; turn += 1) {
    const count = stepsOf(text).length;
    const at = chance(count);
    const kind = chance(5);
    if (kind === 0) text = setValue(text, ["steps", at, "say"], `Turn ${turn}, then: look.`);
    if (kind === 1) text = moveItem(text, ["steps"], at, chance(count));
    if (kind === 2) text = insertItem(text, ["steps"], at, { id: `n-${turn}`, do: "note", say: "Read." }, [`id: n-${turn}`, "do: note", "say: Read."]);
    if (kind === 3 && count > 3) text = removeItem(text, ["steps"], at);
    if (kind === 4) text = setValue(text, ["steps", at, "tools"], ["socket_8", "hex_key_4"], ["id", "section", "do", "say", "tools"]);
    expect(readTree(text)).not.toBeNull();
  }
  expect(text).toContain("# INVENTED, like the whole library");
});
