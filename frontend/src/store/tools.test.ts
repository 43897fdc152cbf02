import { beforeEach, expect, test } from "vitest";
import { addMessages, isMessage } from "../text/messages";
import messages from "../../../shared/messages/numbers.en.json";
import { freshPhone } from "./testing";
import { kit, myTools, removeTool, saveTool, setKit, showTools, type TorqueWrench } from "./tools";

const WRENCH: TorqueWrench = { id: "", name: " small ", low: 2, high: 25, unit: "N·m", step: 0.5, kind: "click", checked: null, dropped: false, lever_mm: null };

if (!isMessage("tool_name")) addMessages(messages);
beforeEach(async () => {
  await freshPhone();
  await showTools();
});

test("a wrench is kept, changed and removed, and is there after a restart", async () => {
  const kept = await saveTool(WRENCH);
  expect(kept.name).toBe("small");
  await saveTool({ ...kept, dropped: true });
  await showTools();
  expect(myTools.value).toEqual([{ ...kept, dropped: true }]);
  await removeTool(kept.id);
  expect(myTools.value).toEqual([]);
});

test("the kit is kept as a whole", async () => {
  await setKit([{ name: "Socket 8 mm", kind: "socket", size_mm: 8, low_nm: null, high_nm: null }]);
  await showTools();
  expect(kit.value.map(({ name }) => name)).toEqual(["Socket 8 mm"]);
});

test.each([
  ["no name", { name: "  " }, "tool_name"], ["no range", { low: 25 }, "tool_range"], ["no number", { high: NaN }, "tool_range"], ["a step below nothing", { step: -1 }, "tool_range"],
  ["a lever of zero", { lever_mm: 0 }, "tool_range"],
])("a wrench with %s is refused and nothing is kept", async (_, change, code) => {
  await expect(saveTool({ ...WRENCH, ...change })).rejects.toMatchObject({ code });
  expect(myTools.value).toEqual([]);
});

test("no more than forty wrenches are kept, and the fortieth stays", async () => {
  for (let n = 0; n < 40; n += 1) await saveTool({ ...WRENCH, name: `w${n}` });
  await expect(saveTool(WRENCH)).rejects.toMatchObject({ code: "tools_too_many" });
  expect(myTools.value).toHaveLength(40);
});
