/**
 * The state of a machine on the bench while a procedure is done: what is off, loose, drained, aside, not yet renewed.
 * Knows what every action does to the state (shared/README.md §7). Must not know whether an action was wise: it never
 * refuses one; after an odd order the state is what the author meant, so that one fault gives one finding.
 */
import type { ModelPack } from "../generated/model-pack";
import type { Action, Literal, ProcedurePack, Step } from "../generated/procedure-pack";
import { guardHolds, type Guard } from "./guards";
import type { Variant } from "./variant";

export type PartPlace = "out" | "aside";
export type JointState = "undone" | "started" | "slack" | "staged";
export type FluidState = "drained" | "filled";

/** Only what differs from the start is listed; lists are sorted as ASCII. Order numbers count touches and checks. */
export type BenchState = {
  parts: Record<string, PartPlace>; joints: Record<string, JointState>; stages: Record<string, number>; fluids: Record<string, FluidState>;
  aids: string[]; poses: Record<string, string>; settings: Record<string, string>; renewed: string[]; disturbed: string[];
  treated: [supply: string, to: string][]; checks: Record<string, number>; touched: Record<string, number>;
};

type Table = Record<string, Record<string, unknown> & { when?: Guard }>;
type Tables = Record<string, Table>;
const GUARDED_TABLES = [
  "parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids", "cautions", "checks", "follow_ons", "isolations",
] as const;
const MEMBERSHIPS = { joints: ["joins", "holds"], units: ["parts"], follow_ons: ["needs"], aids: ["catches", "covers", "carries"] };
const CONDITIONS = { joints: ["reach"], parts: ["exit", "aside"], units: ["exit"], poses: ["needs"], checks: ["reach"], isolations: ["needs"] };

/**
 * The pack with everything guarded out removed, also from memberships, needs and conditions.
 * A literal about what is absent is true, so it is dropped. Takes a procedure pack or a model pack. With no variant
 * nothing is removed. Throws Refused("guard_unknown").
 */
export function forVariant<P extends ProcedurePack | ModelPack>(pack: P, variant: Variant | null): P {
  const given = pack as unknown as Tables;
  const tables = Object.fromEntries(GUARDED_TABLES.map((name): [string, Table] => [name, applying(given[name] ?? {}, variant)]));
  const absent = new Set(GUARDED_TABLES.flatMap((name) => Object.keys(given[name] ?? {}).filter((key) => !Object.hasOwn(tables[name]!, key))));
  const steps = "steps" in pack ? { steps: pack.steps.filter((step) => guardHolds(step.when, variant)), goal: present(pack.goal, absent) } : {};
  return { ...pack, ...without(tables, absent), ...steps };
}

function applying(table: Table, variant: Variant | null): Table {
  return Object.fromEntries(Object.entries(table).filter(([, entry]) => guardHolds(entry.when ?? null, variant)));
}

/** Takes what is absent out of memberships and conditions; texts and steps stay as they are. */
function without(tables: Tables, absent: ReadonlySet<string>): Tables {
  const kept = { ...tables };
  for (const [name, fields] of Object.entries(MEMBERSHIPS)) {
    kept[name] = changed(kept[name]!, fields, (members) => (members as string[]).filter((id) => !absent.has(id)));
  }
  for (const [name, fields] of Object.entries(CONDITIONS)) {
    kept[name] = changed(kept[name]!, fields, (reach) => (reach as Literal[][]).map((every) => present(every, absent)));
  }
  return kept;
}

function changed(table: Table, fields: readonly string[], change: (value: unknown) => unknown): Table {
  const entry = (old: Table[string]) => ({ ...old, ...Object.fromEntries(fields.filter((field) => old[field]).map((field) => [field, change(old[field])])) });
  return Object.fromEntries(Object.entries(table).map(([key, old]) => [key, entry(old)]));
}

function present(literals: readonly Literal[], absent: ReadonlySet<string>): Literal[] {
  return literals.filter((literal) => !absent.has(literal[1]));
}

/** The state before step 1: everything made, on and full, poses and settings as declared, nothing listed. */
export function startState(_pack: ProcedurePack): BenchState {
  return { parts: {}, joints: {}, stages: {}, fluids: {}, aids: [], poses: {}, settings: {}, renewed: [], disturbed: [], treated: [], checks: {}, touched: {} };
}

/** The state after the steps named, applied in the order of the pack whatever the order of the ids. */
export function applySteps(pack: ProcedurePack, stepIds: Iterable<string>): BenchState {
  const wanted = new Set(stepIds);
  return pack.steps.filter((step) => wanted.has(step.id)).reduce((state, step) => applyStep(pack, state, step), startState(pack));
}

/** The state after all actions of one step. */
export function applyStep(pack: ProcedurePack, state: BenchState, step: Step): BenchState {
  return step.do.reduce((now, action) => applyAction(pack, now, action), state);
}

/** The state after one action; `state` stays as it was. An action on what the pack does not hold changes nothing. */
export function applyAction(pack: ProcedurePack, state: BenchState, action: Action): BenchState {
  const next: BenchState = {
    parts: { ...state.parts }, joints: { ...state.joints }, stages: { ...state.stages }, fluids: { ...state.fluids }, aids: [...state.aids],
    poses: { ...state.poses }, settings: { ...state.settings }, renewed: [...state.renewed], disturbed: [...state.disturbed],
    treated: [...state.treated], checks: { ...state.checks }, touched: { ...state.touched },
  };
  const effect = Object.hasOwn(EFFECTS, action.verb) ? EFFECTS[action.verb] : undefined;
  effect?.(pack, next, action);
  return next;
}

/** The pose of a family before step 1; null when the procedure does not say. */
export function startPose(pack: ProcedurePack, family: string): string | null {
  const found = pack.start.find((literal) => literal[0] === "pose" && poseFamily(pack, literal[1]) === family);
  return found ? found[1] : null;
}

/** The family of a pose: of one family the machine is in one pose. Null for a pose that the pack does not hold. */
export function poseFamily(pack: ProcedurePack, pose: string): string | null {
  return has(pack.poses, pose) ? pack.poses[pose]!.family : null;
}

/** The value of a setting before step 1: as the procedure says, else as the map says. */
export function startSetting(pack: ProcedurePack, setting: string): string | null {
  const said = pack.start.find((literal) => literal[0] === "set" && literal[1] === setting);
  if (said) return said[2] ?? null;
  return has(pack.settings, setting) ? pack.settings[setting]!.start : null;
}

/** The parts that a part or unit stands for; empty for anything else. */
export function partsOf(pack: ProcedurePack, thing: string): string[] {
  if (has(pack.units, thing)) return pack.units[thing]!.parts.filter((part) => has(pack.parts, part));
  return has(pack.parts, thing) ? [thing] : [];
}

/** True for a part, or a joint's fasteners, that must be renewed once opened. */
export function isSingleUse(pack: ProcedurePack, thing: string): boolean {
  const entry = has(pack.parts, thing) ? pack.parts[thing] : has(pack.joints, thing) ? pack.joints[thing] : undefined;
  return entry?.renew === "always";
}

/** The order number of the next touch or check: one past the highest so far. */
export function nextOrder(state: BenchState): number {
  return 1 + Math.max(0, ...Object.values(state.touched), ...Object.values(state.checks));
}

const has = (table: object, key: string): boolean => Object.hasOwn(table, key);

function undo(pack: ProcedurePack, state: BenchState, { object: joint }: Action): void {
  if (!has(pack.joints, joint)) return;
  const wasTight = state.joints[joint] !== "undone" && state.joints[joint] !== "started";
  setJoint(state, joint, "undone");
  state.touched[`undone ${joint}`] = nextOrder(state);
  dropTreatment(state, [joint]);
  if (wasTight) disturb(pack, state, [joint, ...pack.joints[joint]!.joins]);
}

function slacken(pack: ProcedurePack, state: BenchState, { object: joint }: Action): void {
  if (!has(pack.joints, joint)) return;
  setJoint(state, joint, "slack");
  // what it held may have moved: a follow-on of undoing it is due as well
  state.touched[`undone ${joint}`] = nextOrder(state);
}

function start(pack: ProcedurePack, state: BenchState, { object: joint }: Action): void {
  if (has(pack.joints, joint)) setJoint(state, joint, "started");
}

function tighten(pack: ProcedurePack, state: BenchState, { object: joint, stage }: Action): void {
  if (!has(pack.joints, joint)) return;
  if (stage === undefined || stage >= pack.joints[joint]!.stages.length) return setJoint(state, joint, null);
  setJoint(state, joint, "staged");
  state.stages[joint] = stage;
}

function setJoint(state: BenchState, joint: string, value: JointState | null): void {
  delete state.stages[joint];
  delete state.joints[joint];
  if (value !== null) state.joints[joint] = value;
}

function remove(pack: ProcedurePack, state: BenchState, { object: thing }: Action): void {
  const parts = partsOf(pack, thing);
  const order = nextOrder(state);
  for (const part of parts) {
    // what is off already does not leave with the unit, and does not come back with it
    if (!has(pack.units, thing) || state.parts[part] !== "out") state.touched[`out ${part}`] = order;
    state.parts[part] = "out";
  }
  if (parts.length > 0) state.touched[`out ${thing}`] = order;
  if (has(pack.units, thing)) return disturb(pack, state, parts.filter((part) => onBoundary(pack, part, parts)));
  disturb(pack, state, parts);
  dropTreatment(state, parts);
}

/** True if a joint holds the part to something outside the unit; what is held inside leaves undisturbed. */
function onBoundary(pack: ProcedurePack, part: string, unit: readonly string[]): boolean {
  return Object.values(pack.joints).some(({ joins }) => joins.includes(part) && !joins.every((member) => unit.includes(member)));
}

function hang(pack: ProcedurePack, state: BenchState, { object: thing }: Action): void {
  const order = nextOrder(state);
  for (const part of partsOf(pack, thing)) {
    state.parts[part] = "aside";
    state.touched[`aside ${part}`] = order;
  }
}

function fit(pack: ProcedurePack, state: BenchState, { object: thing }: Action): void {
  const parts = partsOf(pack, thing);
  const missing = has(pack.units, thing) ? takenOutOf(state, thing, parts) : [];
  for (const part of parts) if (!missing.includes(part)) delete state.parts[part];
}

/** Parts that are off but did not leave with the unit that is off as one: each must be fitted itself. */
function takenOutOf(state: BenchState, unit: string, parts: readonly string[]): string[] {
  const left = state.touched[`out ${unit}`];
  const since = (part: string) => state.touched[`out ${part}`] ?? 0;
  const out = parts.filter((part) => state.parts[part] === "out");
  if (left === undefined || !out.some((part) => since(part) === left)) return [];
  return out.filter((part) => since(part) !== left);
}

function renew(pack: ProcedurePack, state: BenchState, { object: thing }: Action): void {
  if (!has(pack.parts, thing) && !has(pack.joints, thing)) return;
  state.renewed = sorted([...state.renewed, thing]);
  state.disturbed = state.disturbed.filter((item) => item !== thing);
  state.touched[`renewed ${thing}`] = nextOrder(state);
  dropTreatment(state, [thing]);
}

function clean(_pack: ProcedurePack, state: BenchState, { object: thing }: Action): void {
  dropTreatment(state, [thing]);
}

function apply(pack: ProcedurePack, state: BenchState, { object: supply, to = "" }: Action): void {
  if (!has(pack.parts, to) && !has(pack.joints, to)) return;
  const others = state.treated.filter((pair) => pair[0] !== supply || pair[1] !== to);
  state.treated = [...others, [supply, to] as [string, string]].sort(byPair);
}

function drain(pack: ProcedurePack, state: BenchState, { object: fluid }: Action): void {
  if (!has(pack.fluids, fluid)) return;
  state.fluids[fluid] = "drained";
  state.touched[`drained ${fluid}`] = nextOrder(state);
}

function fill(pack: ProcedurePack, state: BenchState, { object: fluid }: Action): void {
  if (has(pack.fluids, fluid)) state.fluids[fluid] = "filled";
}

function check(pack: ProcedurePack, state: BenchState, { verb, object }: Action): void {
  if (!has(pack.checks, object)) return;
  state.checks[object] = nextOrder(state);
  const fluid = pack.checks[object]!.fluid;
  if (verb === "level" && fluid && state.fluids[fluid] === "filled") delete state.fluids[fluid];
}

function set(pack: ProcedurePack, state: BenchState, { object: setting, value }: Action): void {
  if (has(pack.settings, setting) && value !== undefined) differing(state.settings, setting, value, startSetting(pack, setting));
}

function pose(pack: ProcedurePack, state: BenchState, { object }: Action): void {
  const family = poseFamily(pack, object);
  if (family !== null) differing(state.poses, family, object, startPose(pack, family));
}

function differing(table: Record<string, string>, key: string, value: string, before: string | null): void {
  if (value === before) delete table[key];
  else table[key] = value;
}

function aidOn(pack: ProcedurePack, state: BenchState, { object: aid }: Action): void {
  if (has(pack.aids, aid)) state.aids = sorted([...state.aids, aid]);
}

function aidOff(_pack: ProcedurePack, state: BenchState, { object: aid }: Action): void {
  state.aids = state.aids.filter((item) => item !== aid);
}

function disturb(pack: ProcedurePack, state: BenchState, things: readonly string[]): void {
  state.disturbed = sorted([...state.disturbed, ...things.filter((thing) => isSingleUse(pack, thing))]);
}

function dropTreatment(state: BenchState, things: readonly string[]): void {
  state.treated = state.treated.filter((pair) => !things.includes(pair[1]));
}

const sorted = (ids: readonly string[]): string[] => [...new Set(ids)].sort();
const byPair = (a: [string, string], b: [string, string]): number => (a.join(" ") < b.join(" ") ? -1 : 1);

// verbs that change nothing are missing here: inspect, wait, photograph, note
const EFFECTS: Record<string, (pack: ProcedurePack, state: BenchState, action: Action) => void> = {
  undo, slacken, start, tighten, remove, hang, fit, renew, clean, apply, drain, fill, set, pose, aid_on: aidOn, aid_off: aidOff,
  measure: check, adjust: check, test: check, run: check, bleed: check, level: check,
};
