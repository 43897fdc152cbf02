/**
 * What a step is about, and whether it finds it as the procedure has it there when earlier steps were left out.
 * Knows the pack for one variant and the bench; what is safe is not asked here. Our own rules, see vectors way-out.
 */
import type { Action, Literal, ProcedurePack, Step } from "../generated/procedure-pack";
import { applySteps, partsOf, poseFamily, startSetting, type BenchState } from "./bench-state";
import { poseNow } from "./conditions";
import { OPENING, type Bench } from "./making-good";
import type { Doubts } from "./standing";

type Thing = [table: string, key: string];

/** True if the step can be done next. What it is about must stand as it does when nothing was left out; what is open instead is made good
 * first, on the bench. With no step skipped it always can. */
export function makeReady(pack: ProcedurePack, bench: Bench, step: Step, done: readonly string[], doubts: Doubts): boolean {
  if (doubts.skipped.length === 0) return true;
  const before = pack.steps.slice(0, pack.steps.indexOf(step)).map(({ id }) => id);
  const wanted = applySteps(pack, [...before, ...done]);
  bench.stepsFollow = true;
  for (const [table, key] of differing(pack, bench.state, wanted, step)) {
    if (stands(pack, wanted, [table, key]) !== null) continue;
    if (table === "parts") bench.putOn(key);
    else if (table === "joints") bench.make(key);
    else if (table === "fluids") bench.fill(key);
  }
  return differing(pack, bench.state, wanted, step).length === 0;
}

function differing(pack: ProcedurePack, state: BenchState, wanted: BenchState, step: Step): Thing[] {
  const objects = step.do.map(({ object }) => object);
  const own = new Set([...objects, ...objects.flatMap((thing) => partsOf(pack, thing))]);
  const things = new Map(step.do.flatMap((action) => about(pack, action)).filter(([, key]) => !own.has(key)).map((thing) => [thing.join(" "), thing]));
  return [...things.keys()].sort().map((name) => things.get(name)!)
    .filter((thing) => stands(pack, wanted, thing) !== stands(pack, state, thing));
}

/** How a thing stands; null for a part that is on, a joint that is final, a fluid that is full and checked. */
function stands(pack: ProcedurePack, state: BenchState, [table, key]: Thing): string | null {
  if (table === "parts" || table === "joints" || table === "fluids") return (state[table] as Record<string, string>)[key] ?? null;
  if (table === "settings") return state.settings[key] ?? startSetting(pack, key);
  if (table === "aids") return state.aids.includes(key) ? "on" : null;
  return poseNow(pack, state, key);
}

/** What an action rests on: the parts of a joint, the joints of a part, the joints under a fluid, what its access asks for, and what it
 * shuts in. */
function about(pack: ProcedurePack, { verb, object: key }: Action): Thing[] {
  const parts = partsOf(pack, key);
  const shut = ["fit", "start", "tighten"].includes(verb) ? shutIn(pack, [key, ...parts]) : [];
  return [...restingOn(pack, verb, key, parts), ...waysTo(pack, key, parts).flat().flatMap((literal) => asked(pack, literal)), ...shut];
}

function restingOn(pack: ProcedurePack, verb: string, key: string, parts: string[]): Thing[] {
  const { joints, fluids, checks } = pack;
  const jointsWhere = (of: (id: string) => boolean): Thing[] => Object.keys(joints).filter(of).map((id) => ["joints", id]);
  if (Object.hasOwn(joints, key)) return joints[key]!.joins.filter((part) => Object.hasOwn(pack.parts, part)).map((part) => ["parts", part]);
  if (parts.length > 0) return verb === "remove" || verb === "hang" ? jointsWhere((id) => joints[id]!.joins.some((part) => parts.includes(part))) : [];
  if (Object.hasOwn(fluids, key)) {
    const { fill, drain } = fluids[key]!;
    return jointsWhere((id) => (joints[id]!.holds.includes(key) && id !== fill) || (verb === "drain" && id === drain));
  }
  const fluid = Object.hasOwn(checks, key) ? checks[key]!.fluid : null;
  return fluid && Object.hasOwn(fluids, fluid) ? [["fluids", fluid]] : [];
}

function waysTo(pack: ProcedurePack, key: string, parts: string[]): Literal[][] {
  if (Object.hasOwn(pack.joints, key)) return pack.joints[key]!.reach;
  if (parts.length > 0) return parts.flatMap((part) => pack.parts[part]!.exit);
  if (Object.hasOwn(pack.checks, key)) return pack.checks[key]!.reach;
  return Object.hasOwn(pack.poses, key) ? (pack.poses[key]!.needs ?? []) : [];
}

function asked(pack: ProcedurePack, [word, key]: Literal): Thing[] {
  if (word === "out" || word === "aside") return partsOf(pack, key).map((part) => ["parts", part]);
  if (word === "pose") {
    const family = poseFamily(pack, key);
    return family === null ? [] : [["poses", family]];
  }
  const table = { undone: "joints", drained: "fluids", set: "settings", aid: "aids" }[word as string] as "joints" | undefined;
  return table && Object.hasOwn(pack[table], key) ? [[table, key]] : [];
}

/** Parts and joints that may need one of these off or open to be got at. */
function shutIn(pack: ProcedurePack, things: string[]): Thing[] {
  const byThem = (ways: Literal[][]) => ways.flat().some(([word, key]) => OPENING.includes(word) && things.includes(key));
  const parts = Object.keys(pack.parts).filter((part) => !things.includes(part) && byThem(pack.parts[part]!.exit));
  const joints = Object.keys(pack.joints).filter((joint) => !things.includes(joint) && byThem(pack.joints[joint]!.reach));
  return [...parts.map((part): Thing => ["parts", part]), ...joints.map((joint): Thing => ["joints", joint])];
}
