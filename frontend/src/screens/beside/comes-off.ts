/** What a job takes off, in layers from the outside in, and where each of it is now. Knows a pack for one variant and the bench state;
 * nothing of the drawing. Joints belong to what they free; a joint that frees nothing is a block of its own. */
import { partsOf, type BenchState } from "../../domain/bench-state";
import type { Literal, ProcedurePack } from "../../store/bench";
import { nameIn } from "../job/names";

export type BlockKind = "part" | "unit" | "aside" | "fluid" | "joint";
export type BlockState = "on" | "off" | "aside" | "loose" | "back" | "drained" | "unchecked";
export type Block = {
  id: string;
  kind: BlockKind;
  name: string;
  /** Names of the parts that leave as one with it. */
  inside: string[];
  /** Joints that are undone for it. */
  joints: string[];
  layer: number;
  restsOn: number[];
};

type Draft = { id: string; kind: BlockKind; parts: string[]; joints: string[] };

/** The blocks in the order in which the steps take them off; `restsOn` holds their numbers, from 0. */
export function blocksOf(pack: ProcedurePack): Block[] {
  const drafts = draftsOf(pack);
  const layers: number[] = [];
  return drafts.map((draft, at) => {
    const restsOn = nearest(pack, drafts, layers, draft, at);
    layers.push(1 + Math.max(0, ...restsOn.map((other) => layers[other]!)));
    const inside = draft.kind === "unit" ? draft.parts.map((part) => nameIn(pack, part)) : [];
    return { id: draft.id, kind: draft.kind, name: nameIn(pack, draft.id), inside, joints: draft.joints, layer: layers[at]!, restsOn };
  });
}

function draftsOf(pack: ProcedurePack): Draft[] {
  const found: Draft[] = [];
  const pending: string[] = [];
  const known = (id: string) => found.some((draft) => draft.id === id || draft.joints.includes(id)) || pending.includes(id);
  const take = (fits: (joint: string) => boolean) => {
    const mine = pending.filter(fits);
    for (const joint of mine) pending.splice(pending.indexOf(joint), 1);
    return mine;
  };
  for (const { verb, object } of pack.steps.flatMap((step) => step.do)) {
    if (known(object)) continue;
    const parts = partsOf(pack, object);
    if (verb === "undo" && pack.joints[object]) pending.push(object);
    else if ((verb === "remove" || verb === "hang") && parts.length > 0) {
      const joints = take((joint) => pack.joints[joint]!.joins.some((part) => parts.includes(part)));
      found.push({ id: object, kind: verb === "hang" ? "aside" : pack.units[object] ? "unit" : "part", parts, joints });
    } else if (verb === "drain" && pack.fluids[object]) {
      const { drain, fill } = pack.fluids[object];
      found.push({ id: object, kind: "fluid", parts: [], joints: take((joint) => joint === drain || joint === fill) });
    }
  }
  return [...found, ...pending.map((joint): Draft => ({ id: joint, kind: "joint", parts: [], joints: [joint] }))];
}

/** What a block rests on: of each condition of access the way whose last layer is the least deep, and the joints that others undid for it. */
function nearest(pack: ProcedurePack, drafts: Draft[], layers: number[], draft: Draft, at: number): number[] {
  const before = drafts.slice(0, at);
  const numberOf = (literal: Literal): number | null => {
    const [word, key] = literal;
    if (word === "out" || word === "aside") {
      const wanted = partsOf(pack, key);
      return index(before, (one) => one.id === key || (wanted.length > 0 && wanted.every((part) => one.parts.includes(part))));
    }
    if (word === "undone") return index(before, (one) => one.joints.includes(key));
    return word === "drained" ? index(before, (one) => one.kind === "fluid" && one.id === key) : null;
  };
  const conditions = [...exitsOf(pack, draft), ...draft.joints.map((joint) => pack.joints[joint]!.reach)];
  const chosen = conditions.flatMap((ways) => {
    const met = ways.map((every) => every.map(numberOf).filter((number) => number !== null));
    return met.length === 0 ? [] : met.reduce((a, b) => (depth(layers, b) < depth(layers, a) ? b : a));
  });
  const shared = before.flatMap((one, number) => (one.joints.some((joint) => joinsAny(pack, joint, draft.parts)) ? [number] : []));
  // what is taken out of a unit comes after the unit has left
  const units = before.flatMap((one, number) => (one.parts.some((part) => draft.parts.includes(part)) ? [number] : []));
  const drained = draft.joints.flatMap((joint) => pack.joints[joint]!.holds.map((fluid) => numberOf(["drained", fluid])).filter((n) => n !== null));
  return [...new Set([...chosen, ...shared, ...units, ...drained])].sort((a, b) => a - b);
}

const joinsAny = (pack: ProcedurePack, joint: string, parts: string[]): boolean => pack.joints[joint]!.joins.some((part) => parts.includes(part));
const depth = (layers: number[], numbers: number[]): number => Math.max(0, ...numbers.map((number) => layers[number]!));
const index = (drafts: Draft[], fits: (draft: Draft) => boolean): number | null => {
  const found = drafts.findIndex(fits);
  return found < 0 ? null : found;
};

/** The conditions by which a part or unit leaves; a unit without its own takes those of its parts, its own parts aside. */
function exitsOf(pack: ProcedurePack, { id, kind, parts }: Draft): Literal[][][] {
  if (kind === "aside") return [pack.parts[id]?.aside ?? []];
  const own = pack.units[id]?.exit;
  if (own) return [own];
  return parts.map((part) => pack.parts[part]!.exit.map((every) => every.filter(([, key]) => !parts.includes(key))));
}

/** Where a block is now. `back`: it was off and is made fast again. */
export function stateOf(pack: ProcedurePack, state: BenchState, block: Block): BlockState {
  const open = block.joints.some((joint) => Object.hasOwn(state.joints, joint));
  if (block.kind === "fluid") {
    const how = state.fluids[block.id];
    if (how) return how === "drained" ? "drained" : "unchecked";
    return Object.hasOwn(state.touched, `drained ${block.id}`) ? (open ? "loose" : "back") : open ? "loose" : "on";
  }
  const places = partsOf(pack, block.id).map((part) => state.parts[part]);
  if (places.includes("out")) return "off";
  if (places.includes("aside")) return "aside";
  if (open) return "loose";
  const touched = [`out ${block.id}`, `aside ${block.id}`, ...block.joints.map((joint) => `undone ${joint}`)];
  return touched.some((key) => Object.hasOwn(state.touched, key)) ? "back" : "on";
}
