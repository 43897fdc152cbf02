/**
 * Whether a machine in the middle of a job can be left standing as it is, or pushed away, and what speaks against it.
 * Knows the bench state and the pack for one variant. What the pack does not say is unknown, and unknown is never safe.
 * Our own rules, from common practice, no published source; see vectors way-out.
 */
import type { Literal, ProcedurePack, Step } from "../generated/procedure-pack";
import { partsOf, poseFamily, startPose, type BenchState } from "./bench-state";
import { isTrue, poseNow } from "./conditions";
import { endItems } from "./end-items";

const MOVING = ["wheels", "brakes", "steering", "throttle", "lifting", "fuel"];
const BEARING = ["steering", "lifting", "fuel"];
export const HEAT = "heat";
const HEAVY_KG = 5;
export const FLEXIBLE = ["hose", "cable", "plug"];
const CHECKING = ["inspect", "measure", "adjust", "test", "run", "bleed", "level"];

/** One reason: its code and the id of what it is about, "" for the machine as a whole. */
export type Row = { code: string; object: string };
/** `against`: what work can settle; `unknown`: what nobody has said; `see_to`: what the person must see to. */
export type Standing = { against: Row[]; unknown: Row[]; see_to: Row[] };
/** What a journal leaves open: ids of steps that were skipped, ids of checks whose last reading was not within. */
export type Doubts = { skipped: string[]; outside: string[] };
export const NO_DOUBTS: Doubts = { skipped: [], outside: [] };

const row = (code: string, object = ""): Row => ({ code, object });
const has = (table: object, key: string): boolean => Object.hasOwn(table, key);

/** True when nothing speaks against it and nothing is unknown. */
export const holds = ({ against, unknown }: Standing): boolean => against.length === 0 && unknown.length === 0;

/** Whether the machine can stand alone for a night: steady, cold, nothing under load or loose, no fluid behind an open joint, no fuel that
 * can run, nothing heavy hung. `hot`: of `isHot`. Stops being true when someone moves it. */
export function mayBeLeft(pack: ProcedurePack, state: BenchState, hot: boolean | null, doubts: Doubts = NO_DOUBTS): Standing {
  const all: Standing = { ...poses(pack, state), see_to: [] };
  for (const [joint, how] of Object.entries(state.joints)) {
    const { code, good } = openJoint(pack, state, joint, how);
    if (code !== null) (good ? all.see_to : all.against).push(row(code, joint));
  }
  const [carried, covered] = [byAids(pack, state, "carries"), byAids(pack, state, "covers")];
  for (const part of taken(pack).filter((id) => isLoose(pack, state, id) && !carried.includes(id))) {
    if (pack.parts[part]!.hold) all.against.push(row("part_loose", part));
    else all.see_to.push(row("lies_loose", part));
  }
  for (const [part, place] of Object.entries(state.parts)) {
    if (place === "aside" && !carried.includes(part)) hung(pack, part, all);
    else if (place === "out" && pack.parts[part]!.leaves_open && !covered.includes(part)) all.see_to.push(row("open_port", part));
  }
  for (const [fluid, how] of Object.entries(state.fluids)) {
    const burns = pack.fluids[fluid]!.hazards.some((hazard) => hazard === "fuel" || hazard === "fire");
    if (how === "drained") all.see_to.push(row(burns ? "drained_fuel" : "drained", fluid));
  }
  if (hot) all.against.push(row("hot"));
  if (hot === null && Object.values(pack.poses).some(({ family }) => family === HEAT)) all.see_to.push(row("heat_not_said"));
  all.see_to.push(...settings(state));
  if (endItems(pack, state).length > 0) all.see_to.push(row("not_ready"));
  all.unknown.push(...skippedChecks(pack, doubts).filter((step) => isAboutStance(pack, step)).map(({ id }) => row("skipped", id)));
  return sorted(all);
}

/** Whether the machine rolls: wheels, axles, brakes, steering and controls as they were, their fluids full and their checks done, nothing
 * loose or hanging, no aid left on it. It says nothing of riding. */
export function mayBePushed(pack: ProcedurePack, state: BenchState, doubts: Doubts = NO_DOUBTS): Standing {
  const { against } = poses(pack, state);
  for (const joint of Object.keys(state.joints)) {
    const { safety, joins } = pack.joints[joint]!;
    if (MOVING.includes(safety)) against.push(row("joint_not_final", joint));
    else if (!joins.some((part) => has(state.parts, part))) against.push(row("joint_loose", joint));
  }
  for (const [part, place] of Object.entries(state.parts)) {
    if (place === "aside") against.push(row("part_aside", part));
    else if (MOVING.includes(pack.parts[part]!.safety)) against.push(row("part_off", part));
  }
  const left = endItems(pack, state);
  const kept: Record<string, string> = { fluid_not_filled: "fluid_not_full", level_not_checked: "fluid_not_full", single_use_reused: "single_use" };
  for (const { code, object, safety } of left) {
    if (safety === "normal") continue;
    if (kept[code]) against.push(row(kept[code], object));
    if (code === "follow_on_missing" && isDueBeforePushing(pack, state, object)) against.push(row("check_due", object));
  }
  against.push(...state.aids.map((aid) => row("aid_on", aid)));
  const unknown = [...new Set(doubts.outside)].map((check) => row("reading", check));
  unknown.push(...skippedChecks(pack, doubts).map(({ id }) => row("skipped", id)));
  const stands = families(pack, false).flatMap((family) => poseNow(pack, state, family) ?? []);
  const see_to = stands.length > 0 ? stands.map((pose) => row("standing", pose)) : [row("standing_not_said")];
  if (left.length > 0) see_to.push(row("engine_off"));
  return sorted({ against, unknown, see_to: [...see_to, ...settings(state)] });
}

/** True if one of its checks is due that is no run: a run is for whoever rides. */
function isDueBeforePushing(pack: ProcedurePack, state: BenchState, followOn: string): boolean {
  const since = lastTouch(pack, state, followOn);
  return pack.follow_ons[followOn]!.needs.some((check) => has(pack.checks, check) && pack.checks[check]!.kind !== "run" && (state.checks[check] ?? 0) < since);
}

/** The order number of what a follow-on follows from last; 0 for never. */
export function lastTouch(pack: ProcedurePack, state: BenchState, followOn: string): number {
  const times = pack.follow_ons[followOn]!.after.map(([word, key]) => (word === "done" ? state.checks[key] : state.touched[`${word} ${key}`]) ?? 0);
  return Math.max(0, ...times);
}

/** Whether engine or brakes may be hot after these steps; null when neither start nor steps say it. A run makes hot; only a pose of the
 * family `heat` that is steady says that it is cold again. */
export function isHot(pack: ProcedurePack, steps: readonly Step[]): boolean | null {
  const before = startPose(pack, HEAT);
  return steps.reduce((hot: boolean | null, step) => heatAfter(pack, hot, step), before === null ? null : pack.poses[before]!.steady !== true);
}

/** Whether it may be hot after a step, from whether it was before. */
export function heatAfter(pack: ProcedurePack, before: boolean | null, step: Step): boolean | null {
  let hot = before;
  for (const { verb, object } of step.do) {
    if (verb === "run") hot = true;
    else if (verb === "pose" && poseFamily(pack, object) === HEAT) hot = pack.poses[object]!.steady !== true;
  }
  return hot;
}

/** The families of poses but for heat; of those that the map calls steady or not, when `said`: they say how the machine stands. */
const families = (pack: ProcedurePack, said: boolean): string[] => {
  const poses = Object.values(pack.poses).filter(({ steady }) => !said || (steady ?? null) !== null);
  return [...new Set(poses.map(({ family }) => family))].filter((family) => family !== HEAT).sort();
};

/** How it stands: only a pose that the map calls steady will do. */
function poses(pack: ProcedurePack, state: BenchState): { against: Row[]; unknown: Row[] } {
  const [against, unknown]: [Row[], Row[]] = [[], []];
  for (const family of families(pack, true)) {
    const pose = poseNow(pack, state, family);
    const steady = pose === null ? null : (pack.poses[pose]!.steady ?? null);
    if (pose === null) unknown.push(row("pose_not_said", family));
    else if (steady === null) unknown.push(row("pose_not_known", pose));
    else if (!steady) against.push(row("pose_not_steady", pose));
  }
  return { against, unknown: families(pack, true).length > 0 ? unknown : [row("pose_not_said")] };
}

/** The reason that a joint which is not final gives, and whether it is only to be seen to. */
function openJoint(pack: ProcedurePack, state: BenchState, joint: string, how: string): { code: string | null; good: boolean } {
  const { safety, joins, kind, reach } = pack.joints[joint]!;
  const fluids = fluidsBehind(pack, joint);
  if (fluids.some((fluid) => state.fluids[fluid] !== "drained")) return { code: "fluid_behind", good: false };
  // no fuel can run to it: all that it holds is drained, or a valve that it asks for is set
  const shut = fluids.length > 0 || reach.flat().some((literal) => literal[0] === "set" && isTrue(pack, state, literal));
  if (safety === "fuel" && !joins.includes("frame") && !shut) return { code: "fuel_open", good: false };
  if (kind === "spring" && how !== "undone") return { code: "spring_held", good: false };
  if (BEARING.includes(safety) && !joins.some((part) => has(state.parts, part))) return { code: "joint_loose", good: false };
  const parts = joins.filter((part) => has(pack.parts, part));
  const inside = parts.some((part) => pack.parts[part]!.inside);
  // the part says what stands open, or an aid closes it
  const told = (part: string) => has(state.parts, part) && (pack.parts[part]!.leaves_open || byAids(pack, state, "covers").includes(part));
  if (parts.some(told)) return { code: null, good: true };
  const open = how === "undone" && (fluids.length > 0 || inside || kind === "hose" || kind === "plug");
  return { code: open ? "cover" : null, good: true };
}

/** The fluids that a joint keeps in: those it holds, and those that go in or out by it. */
const fluidsBehind = (pack: ProcedurePack, joint: string): string[] =>
  Object.entries(pack.fluids).flatMap(([key, { fill, drain }]) => (pack.joints[joint]!.holds.includes(key) || fill === joint || drain === joint ? [key] : []));

/** The parts that an aid which is on covers or carries. */
const byAids = (pack: ProcedurePack, state: BenchState, how: "covers" | "carries"): string[] =>
  state.aids.flatMap((aid) => (pack.aids[aid]![how] ?? []).flatMap((thing) => partsOf(pack, thing)));

/** The parts that steps take off: of these the pack holds every joint. */
function taken(pack: ProcedurePack): string[] {
  const acts = pack.steps.flatMap((step) => step.do).filter(({ verb }) => verb === "remove" || verb === "hang");
  return [...new Set(acts.flatMap(({ object }) => partsOf(pack, object)))].sort();
}

/** True if a part is on the machine and nothing firm holds it: every joint but hoses, cables and plugs is undone, or all is undone that the
 * map asks for before it is hung aside. */
function isLoose(pack: ProcedurePack, state: BenchState, part: string): boolean {
  if (has(state.parts, part)) return false;
  const joints = Object.keys(pack.joints).filter((id) => pack.joints[id]!.joins.includes(part) && !FLEXIBLE.includes(pack.joints[id]!.kind));
  if (joints.length > 0 && joints.every((joint) => state.joints[joint] === "undone")) return true;
  const freed = (literal: Literal) =>
    literal[0] === "undone" && has(pack.joints, literal[1]) ? state.joints[literal[1]] === "undone" : isTrue(pack, state, literal);
  return (pack.parts[part]!.aside ?? []).some((every) => every.some(([word]) => word === "undone") && every.every(freed));
}

function hung(pack: ProcedurePack, part: string, all: Standing): void {
  const { mass_kg: mass, hold } = pack.parts[part]!;
  if (mass !== null && mass > HEAVY_KG) all.against.push(row("hung_heavy", part));
  else if (mass === null && hold) all.unknown.push(row("mass_not_known", part));
  else all.see_to.push(row("hung", part));
}

const settings = (state: BenchState): Row[] => Object.keys(state.settings).map((setting) => row("setting", setting));

/** The skipped steps that would have found something out. */
const skippedChecks = (pack: ProcedurePack, doubts: Doubts): Step[] =>
  pack.steps.filter((step) => doubts.skipped.includes(step.id) && step.do.some(({ verb }) => CHECKING.includes(verb)));

/** True for a check that is made in a pose, such as a push at the machine on its stand. */
const isAboutStance = (pack: ProcedurePack, step: Step): boolean =>
  step.do.some(({ object }) => has(pack.checks, object) && pack.checks[object]!.reach.flat().some((literal) => literal[0] === "pose"));

function sorted({ against, unknown, see_to }: Standing): Standing {
  const inOrder = (rows: Row[]) => rows.sort((a, b) => compared(a.code, b.code) || compared(a.object, b.object));
  return { against: inOrder(against), unknown: inOrder(unknown), see_to: inOrder(see_to) };
}

export const compared = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
