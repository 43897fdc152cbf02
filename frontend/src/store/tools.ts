/** The person's own torque wrenches and the tools they carry. Knows how they are kept; nothing of which one fits a figure. */
import { signal, type ReadonlySignal, type Signal } from "@preact/signals";
import { announce } from "./changes";
import { readMeta, writeStrict } from "./database";
import { refused } from "./refusal";
import { uuidV7 } from "./uuid";
import { wellFormed } from "./well-formed";

/** A torque wrench as read off it: marks and step in its own `unit`; `lever_mm` drive centre to grip, null when not measured. */
export type TorqueWrench = {
  id: string; name: string; low: number; high: number; unit: string; step: number; kind: string;
  checked: string | null; dropped: boolean; lever_mm: number | null;
};
/** A carried tool by kind, with its size or range as far as it has one; `tool` is its id where it was taken over from a procedure. */
export type CarriedTool = { name: string; kind: string; size_mm: number | null; low_nm: number | null; high_nm: number | null; tool?: string };

const MOST_TOOLS = 40;
const MOST_CARRIED = 100;

const tools: Signal<TorqueWrench[]> = signal([]);
const carried: Signal<CarriedTool[]> = signal([]);
export const myTools: ReadonlySignal<TorqueWrench[]> = tools;
export const kit: ReadonlySignal<CarriedTool[]> = carried;

export async function showTools(): Promise<void> {
  tools.value = (await readMeta("tools")) ?? [];
  carried.value = (await readMeta("kit")) ?? [];
}

/** Keeps a wrench, a new one with `id` empty. Refused("tool_name"), ("tool_range"), ("tools_too_many"). */
export async function saveTool(tool: TorqueWrench): Promise<TorqueWrench> {
  const kept = checkedTool(tool);
  await writeStrict(["meta"], async (tx) => {
    const now = ((await tx.objectStore("meta").get("tools")) as TorqueWrench[] | undefined) ?? [];
    const next = now.some(({ id }) => id === kept.id) ? now.map((each) => (each.id === kept.id ? kept : each)) : [...now, kept];
    if (next.length > MOST_TOOLS) throw refused("tools_too_many", { limit: MOST_TOOLS });
    await tx.objectStore("meta").put(next, "tools");
  });
  await told();
  return kept;
}

export async function removeTool(id: string): Promise<void> {
  await writeStrict(["meta"], async (tx) => {
    const now = ((await tx.objectStore("meta").get("tools")) as TorqueWrench[] | undefined) ?? [];
    await tx.objectStore("meta").put(now.filter((each) => each.id !== id), "tools");
  });
  await told();
}

/** Keeps the carried kit as a whole. Refused("tool_name"), ("tools_too_many"). */
export async function setKit(items: CarriedTool[]): Promise<void> {
  if (items.length > MOST_CARRIED) throw refused("tools_too_many", { limit: MOST_CARRIED });
  const kept = items.map((item) => ({ ...item, name: named(item.name) }));
  await writeStrict(["meta"], (tx) => tx.objectStore("meta").put(kept, "kit"));
  await told();
}

async function told(): Promise<void> {
  await showTools();
  announce({ type: "changed", part: "tools" });
}

function named(text: string): string {
  const name = wellFormed(text.trim());
  if (name === "") throw refused("tool_name");
  return name;
}

/** Every number finite, the lowest mark below the highest: what is kept must be fit to be computed with. */
function checkedTool(tool: TorqueWrench): TorqueWrench {
  const { low, high, step, lever_mm } = tool;
  const lever = lever_mm === null || (Number.isFinite(lever_mm) && lever_mm > 0);
  if (![low, high, step].every(Number.isFinite) || low < 0 || step < 0 || low >= high || step > high || !lever) throw refused("tool_range");
  return { ...tool, id: tool.id || uuidV7(Date.now()), name: named(tool.name) };
}
