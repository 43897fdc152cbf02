import { describe, expect, it } from "vitest";
import { withReason } from "./accepting";
import { mendOf } from "./mends";
import { stepsIn } from "./steps";
import { thingsOfText } from "./things";
import type { Finding } from "./types";
import { readTree } from "./yaml-text";

const TEXT = `safety: [normal]
prepare: {tools: [], supplies: none}
joints: {plug: {name: drain plug}}
aids: {tray: {name: oil tray}}
settings: {valve: {name: fuel valve, values: [on, off], start: on}}
checks: {oil_level: {name: oil level, kind: level, fluid: oil}}
fluids: {oil: {name: engine oil}}
steps:
  - id: open
    do: undo plug
    say: Undo the drain plug.
  # by hand first
  - id: turn
    do: start plug
    say: Turn the drain plug in.
  - id: end
    do: note
    say: Read this.
`;
const tree = readTree(TEXT)!;
const things = thingsOfText(tree);

function mended(code: string, values: Finding["values"], step: string | null = null): { acts: string[]; text: string } {
  const finding = { code, values, step, line: 1, severity: "error", check: "E1", variants: null, message: { happened: "", means: "", do: "" } } as Finding;
  const text = mendOf(finding, tree, things)!.make(TEXT);
  return { acts: stepsIn(readTree(text)!).map((one) => String(one["do"])), text };
}

describe("a mend", () => {
  it("puts a missing step where it belongs", () => {
    expect(mended("left_joint_not_final", { object: "“drain plug” (plug)" }).acts).toEqual(["undo plug", "start plug", "tighten plug", "note"]);
    expect(mended("single_use_again", { object: "“drain plug” (plug)" }, "turn").acts).toEqual(["undo plug", "renew plug", "start plug", "note"]);
    expect(mended("left_aid_left", { object: "“oil tray” (tray)" }).acts.at(-1)).toBe("aid off tray");
    expect(mended("left_setting_not_restored", { object: "“fuel valve” (valve)" }).acts.at(-1)).toBe("set valve on");
    expect(mended("left_level_not_checked", { object: "“engine oil” (oil)" }).acts.at(-1)).toBe("level oil_level");
    expect(mended("follow_on_left_out", { object: "“oil level” (oil_level)" }).acts.at(-1)).toBe("level oil_level");
  });

  it("leaves every other line as it was", () => {
    const { text } = mended("left_joint_not_final", { object: "“drain plug” (plug)" });
    const added = text.split("\n").filter((line) => !TEXT.split("\n").includes(line));
    expect(added).toEqual(["  - id: tighten-the-drain-plug", "    do: tighten plug", "    say: Tighten the drain plug."]);
  });

  it("changes what the finding names", () => {
    expect(mended("caution_missing", { caution: "hot_oil" }, "open").text).toContain("    say: Undo the drain plug.\n    caution: hot_oil\n");
    expect(mended("safety_not_named", { safety: "brakes" }).text).toContain("safety: [brakes]\n");
    expect(mended("empty_not_none", { key: "tools" }).text).toContain("prepare: {tools: none, supplies: none}");
  });

  it("takes out what nothing needs", () => {
    const text = `${TEXT}accepted:\n  - {check: D19, step: open, reason: The cloth is wet.}\n  - {check: D9, step: turn, reason: It has no side.}\n`;
    const at = { step: null, check: "S3", severity: "note", variants: null, message: { happened: "", means: "", do: "" } };
    const press = (code: string, values: Finding["values"], line = 1, step: string | null = null) =>
      mendOf({ ...at, code, values, line, step } as Finding, readTree(text)!, things)!.make(text);
    const second = text.split("\n").findIndex((row) => row.includes("D9")) + 1;
    expect(press("accepted_unused", {}, second)).toBe(text.replace("  - {check: D9, step: turn, reason: It has no side.}\n", ""));
    expect(press("declared_unused", { id: "tray" })).toBe(text.replace("aids: {tray: {name: oil tray}}", "aids: {}"));
    expect(stepsIn(readTree(press("changes_nothing", { object: "“drain plug” (plug)", verb: "start" }, 1, "turn"))!).map((step) => step["id"])).toEqual(["open", "end"]);
  });

  it("moves the one step that comes too late, and adds none", () => {
    const late = TEXT.replace("joints:", "parts: {cover: {name: cover}}\njoints:").replace("    do: note\n    say: Read this.\n", "    do: fit cover\n    say: Fit the cover.\n");
    const tree = readTree(late)!;
    const finding = { code: "member_missing", values: { object: "“drain plug” (plug)", part: "“cover” (cover)" }, step: "turn", line: 1 } as unknown as Finding;
    expect(stepsIn(readTree(mendOf(finding, tree, thingsOfText(tree))!.make(late))!).map((step) => step["id"])).toEqual(["open", "end", "turn"]);
  });

  it("keeps a warning's reason where the text keeps them", () => {
    const warning = { code: "look_for_missing", check: "D9", values: { object: "“cover” (cover)" }, step: "turn" } as unknown as Finding;
    const once = withReason(TEXT, warning, "It has no side.");
    expect(once).toBe(`${TEXT}accepted: [{check: D9, step: turn, reason: It has no side.}]\n`);
    expect(readTree(withReason(once, { ...warning, step: null }, "Nor here: none."))!.data).toMatchObject({ accepted: [{ step: "turn" }, { object: "cover", reason: "Nor here: none." }] });
  });

  it("is offered only where it is certain", () => {
    const finding = { code: "vague_word", values: {}, step: "open", line: 1 } as unknown as Finding;
    expect(mendOf(finding, tree, things)).toBeNull();
  });
});
