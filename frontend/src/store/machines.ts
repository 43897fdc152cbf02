/** The person's own machines. A job carries its machine's facts itself, so changing or removing one here changes no job. */
import { announce } from "./changes";
import { wellFormed } from "./well-formed";
import { read, writeStrict } from "./database";
import { refused } from "./refusal";
import { machines } from "./signals";
import type { Machine, MachineFacts } from "./types";
import { uuidV7, wallText } from "./uuid";

const MOST_HOURS = 100_000;

export async function showMachines(): Promise<void> {
  const rows = await read(["machines"], (tx) => tx.objectStore("machines").getAll());
  machines.value = rows.sort((a, b) => (a.id < b.id ? -1 : 1));
}

/** `id`: the one under which the dealer's register knows it, when a link brought it. */
export async function addMachine(facts: MachineFacts, id?: string): Promise<Machine> {
  const nowMs = Date.now();
  return write({ ...checked(facts), id: id ?? uuidV7(nowMs), addedWall: wallText(nowMs) });
}

export async function changeMachine(id: string, changes: Partial<MachineFacts>): Promise<Machine> {
  const now = machines.peek().find((machine) => machine.id === id);
  if (!now) throw refused("machine_unknown");
  return write({ ...now, ...checked({ ...now, ...changes }), id, addedWall: now.addedWall });
}

export async function removeMachine(id: string): Promise<void> {
  await writeStrict(["machines"], (tx) => tx.objectStore("machines").delete(id));
  await told();
}

async function write(machine: Machine): Promise<Machine> {
  await writeStrict(["machines"], (tx) => tx.objectStore("machines").put(machine));
  await told();
  return machine;
}

async function told(): Promise<void> {
  await showMachines();
  announce({ type: "changed", part: "machines" });
}

/** Options sorted, as a variant wants them (shared/README.md §2). Refused("machine_name"), ("machine_year"), ("hours_range"). */
function checked(facts: MachineFacts): MachineFacts {
  const { model, modelName, year, options, hours } = facts;
  const name = wellFormed(facts.name.trim());
  const serial = facts.serial === null ? null : wellFormed(facts.serial.trim()) || null;
  if (name === "") throw refused("machine_name");
  if (!Number.isInteger(year) || year < 1900 || year > 2200) throw refused("machine_year", { year });
  checkHours(hours);
  return { name, model, modelName, year, options: [...new Set(options)].sort(), hours, serial };
}

/** Hours of use: 0 to 100 000, or null when unknown. Refused("hours_range"). */
export function checkHours(hours: number | null): void {
  if (hours !== null && !(Number.isFinite(hours) && hours >= 0 && hours <= MOST_HOURS)) throw refused("hours_range", { hours, limit: MOST_HOURS });
}
