// What a procedure can name: the objects of its map, or those that it declares itself. Knows tables, ids and names.
import type { Pack } from "./types";
import { valueAt, type Tree, type Value } from "./yaml-text";

export type Thing = { id: string; name: string; entry: { [key: string]: unknown } };
export type Things = Record<string, Thing[]>;

export const TABLES = ["parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids", "cautions", "checks", "follow_ons", "isolations", "services"] as const;

const nameOf = (id: string, entry: { [key: string]: unknown }): string => String(entry["name"] ?? entry["hazard"] ?? entry["as_published"] ?? entry["reason"] ?? id) || id;

export function thingsOfPack(pack: Pack): Things {
  const tables = pack as unknown as Record<string, Record<string, { [key: string]: unknown }>>;
  const found: Things = Object.fromEntries(TABLES.map((table) => [table, Object.entries(tables[table] ?? {}).map(([id, entry]) => ({ id, name: nameOf(id, entry), entry }))]));
  if ("options" in pack) found["options"] = pack.options.map((option) => ({ id: option.id, name: option.name, entry: { ...option } }));
  return found;
}

export function thingsOfText(tree: Tree): Things {
  const found: Things = {};
  for (const table of TABLES) {
    const entries = valueAt(tree.data, [table]);
    const rows = entries && typeof entries === "object" && !Array.isArray(entries) ? Object.entries(entries) : [];
    found[table] = rows.map(([id, value]) => {
      const entry = value && typeof value === "object" && !Array.isArray(value) ? (value as { [key: string]: Value }) : {};
      return { id, name: nameOf(id, entry), entry };
    });
  }
  return found;
}

/** Things of several tables in one list, by name. */
export function listed(things: Things, tables: readonly string[]): Thing[] {
  return tables.flatMap((table) => things[table] ?? []).sort((a, b) => a.name.localeCompare(b.name, "en") || a.id.localeCompare(b.id));
}

export function nameIn(things: Things, id: string): string {
  for (const table of TABLES) {
    const found = things[table]?.find((thing) => thing.id === id);
    if (found) return found.name;
  }
  return id.replaceAll("_", " ");
}

/** An id made of words, that nothing in `taken` has: `pump cover` → pump_cover (or pump-cover). */
export function freeId(words: string, taken: ReadonlySet<string>, joint: "_" | "-" = "_", front = "no"): string {
  const plain = words
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, joint)
    .slice(0, 60)
    .replace(new RegExp(`^[${joint}]+|${joint}+$`, "g"), "");
  // an id of a map begins with a letter
  const start = joint === "_" && /^\d/.test(plain) ? `${front}_${plain}` : plain || "item";
  let made = start;
  for (let number = 2; taken.has(made); number += 1) made = `${start}${joint}${number}`;
  return made;
}
