/**
 * What is not as it must be at the end of a job; the ledger of joints; the tray of what is off the machine.
 * Knows the bench state and the pack for one variant; must not know who asks: checker and close-out use the same lists.
 */
import type { Literal, ProcedurePack, Safety } from "../generated/procedure-pack";
import { poseFamily, startPose, startSetting, type BenchState, type JointState, type PartPlace } from "./bench-state";

const CODES = [
  "joint_not_made", "joint_not_final", "part_not_on", "fluid_not_filled", "level_not_checked", "aid_left", "pose_not_restored",
  "setting_not_restored", "single_use_reused", "follow_on_missing",
] as const;
export type EndItemCode = (typeof CODES)[number];
/** One thing that stands in the way of closing: `object` is its id, `severity` BLOCK (may injure) or ERROR. */
export type EndItem = { code: EndItemCode; object: string; safety: Safety; severity: "BLOCK" | "ERROR" };
export type LedgerRow = { joint: string; state: JointState | "final"; name: string; count: number; figure: string | null; safety: Safety };
export type TrayPart = { part: string; name: string; count: number; place: PartPlace; renew: boolean };
export type TrayFastener = { joint: string; name: string; count: number; lengths: { length_mm: number | null; count: number }[]; renew: boolean };
export type Tray = { parts: TrayPart[]; fasteners: TrayFastener[] };

/**
 * What is not as it must be at the end, BLOCK first, then by kind and id; empty when the job may be closed.
 * Severity is BLOCK for anything with a safety class, an unfilled or unchecked fluid, and an aid that locks a control.
 * Source: check group E of the project's planning model (our derivation, see vectors end-items).
 */
export function endItems(pack: ProcedurePack, state: BenchState): EndItem[] {
  const finders = [joints, parts, fluids, aids, poses, settings, reused, followOns];
  return finders.flatMap((find) => find(pack, state)).sort(worstFirst);
}

function worstFirst(a: EndItem, b: EndItem): number {
  if (a.severity !== b.severity) return a.severity === "BLOCK" ? -1 : 1;
  if (a.code !== b.code) return CODES.indexOf(a.code) - CODES.indexOf(b.code);
  return compared(a.object, b.object);
}

/** The joints touched, in the order of their last touch: state `final` or as in the bench state, name, fasteners. */
export function ledger(pack: ProcedurePack, state: BenchState): LedgerRow[] {
  const touched = Object.keys(state.touched).filter((key) => key.startsWith("undone ")).map((key) => key.slice("undone ".length));
  const order = (joint: string) => state.touched[`undone ${joint}`] ?? 0;
  return [...new Set([...touched, ...Object.keys(state.joints)])]
    .sort((a, b) => order(a) - order(b) || compared(a, b))
    .map((joint) => ledgerRow(pack, state, joint));
}

function ledgerRow(pack: ProcedurePack, state: BenchState, joint: string): LedgerRow {
  const { name, positions, figure, safety } = pack.joints[joint]!;
  return { joint, state: state.joints[joint] ?? "final", name, count: positions.length, figure, safety };
}

/** Parts that are out or aside and fasteners that are off, in the order they came off; `renew`: not to go back. */
export function tray(pack: ProcedurePack, state: BenchState): Tray {
  const since = (place: string, id: string) => state.touched[`${place} ${id}`] ?? 0;
  const off = Object.entries(state.parts).sort(([a, inA], [b, inB]) => since(inA, a) - since(inB, b) || compared(a, b));
  const undone = Object.keys(state.joints).filter((joint) => state.joints[joint] === "undone" && liesLoose(pack, state, joint));
  return {
    parts: off.map(([part]) => partRow(pack, state, part)),
    fasteners: undone.sort((a, b) => since("undone", a) - since("undone", b) || compared(a, b)).map((joint) => fastenerRow(pack, state, joint)),
  };
}

function partRow(pack: ProcedurePack, state: BenchState, part: string): TrayPart {
  const { name, count } = pack.parts[part]!;
  return { part, name, count, place: state.parts[part]!, renew: state.disturbed.includes(part) };
}

function fastenerRow(pack: ProcedurePack, state: BenchState, joint: string): TrayFastener {
  const { name, positions } = pack.joints[joint]!;
  const lengths = [...new Set(positions.map((position) => position.length_mm))].sort((a, b) => (a ?? Infinity) - (b ?? Infinity));
  const counted = lengths.map((mm) => ({ length_mm: mm, count: positions.filter((position) => position.length_mm === mm).length }));
  return { joint, name, count: positions.length, lengths: counted, renew: state.disturbed.includes(joint) };
}

/** True if the fasteners come off as pieces: screws and pins; a clip only while nothing that it joins is off. */
function liesLoose(pack: ProcedurePack, state: BenchState, joint: string): boolean {
  const { kind, joins } = pack.joints[joint]!;
  if (kind === "clip") return !joins.some((part) => Object.hasOwn(state.parts, part));
  return kind === "threaded" || kind === "pin";
}

function item(code: EndItemCode, object: string, safety: Safety = "normal", block = false): EndItem {
  return { code, object, safety, severity: block || safety !== "normal" ? "BLOCK" : "ERROR" };
}

function joints(pack: ProcedurePack, state: BenchState): EndItem[] {
  return Object.entries(state.joints).map(([joint, value]) =>
    item(value === "undone" ? "joint_not_made" : "joint_not_final", joint, pack.joints[joint]!.safety));
}

function parts(pack: ProcedurePack, state: BenchState): EndItem[] {
  return Object.keys(state.parts).map((part) => item("part_not_on", part, pack.parts[part]!.safety));
}

function fluids(pack: ProcedurePack, state: BenchState): EndItem[] {
  return Object.entries(state.fluids).map(([fluid, value]) =>
    item(value === "drained" ? "fluid_not_filled" : "level_not_checked", fluid, fluidSafety(pack, fluid), true));
}

/** The safety class of a fluid: that of the joints by which it is drained and filled. */
export function fluidSafety(pack: ProcedurePack, fluid: string): Safety {
  const ways = [pack.fluids[fluid]!.drain, pack.fluids[fluid]!.fill];
  const classes = ways.flatMap((joint) => (joint !== null && Object.hasOwn(pack.joints, joint) ? [pack.joints[joint]!.safety] : []));
  return classes.find((safety) => safety !== "normal") ?? "normal";
}

function aids(pack: ProcedurePack, state: BenchState): EndItem[] {
  return state.aids.map((aid) => item("aid_left", aid, "normal", pack.aids[aid]!.control === true));
}

/** The pose of each family must be one that `ends` names, else that of the start; `object` is the pose wanted. */
function poses(pack: ProcedurePack, state: BenchState): EndItem[] {
  const wanted = pack.ends.filter((literal) => literal[0] === "pose").map((literal) => literal[1]);
  const families = new Set([...wanted.map((pose) => poseFamily(pack, pose)), ...Object.keys(state.poses)]);
  return [...families].flatMap((family) => (family === null ? [] : poseItem(pack, state, family, wanted)));
}

function poseItem(pack: ProcedurePack, state: BenchState, family: string, wanted: readonly string[]): EndItem[] {
  const before = startPose(pack, family);
  const ends = wanted.filter((pose) => poseFamily(pack, pose) === family);
  const allowed = ends.length > 0 || before === null ? ends : [before];
  const now = state.poses[family] ?? before;
  return allowed.length > 0 && (now === null || !allowed.includes(now)) ? [item("pose_not_restored", allowed[0]!)] : [];
}

function settings(pack: ProcedurePack, state: BenchState): EndItem[] {
  const ends = new Map(pack.ends.filter((literal) => literal[0] === "set").map((literal) => [literal[1], literal[2] ?? null]));
  const concerned = new Set([...Object.keys(state.settings), ...[...ends.keys()].filter((key) => Object.hasOwn(pack.settings, key))]);
  const restored = (setting: string) => {
    const before = startSetting(pack, setting);
    return (state.settings[setting] ?? before) === (ends.has(setting) ? ends.get(setting) : before);
  };
  return [...concerned].filter((setting) => !restored(setting)).map((setting) => item("setting_not_restored", setting));
}

/** Single-use items opened, not renewed, and in use again; while they are off or open another item says so. */
function reused(pack: ProcedurePack, state: BenchState): EndItem[] {
  return state.disturbed.filter((thing) => inUse(pack, state, thing)).map((thing) => item("single_use_reused", thing, (pack.joints[thing] ?? pack.parts[thing])!.safety));
}

function inUse(pack: ProcedurePack, state: BenchState, thing: string): boolean {
  if (Object.hasOwn(pack.joints, thing)) return state.joints[thing] !== "undone";
  const opened = Object.entries(state.joints).some(([joint, value]) => value === "undone" && pack.joints[joint]!.joins.includes(thing));
  return !Object.hasOwn(state.parts, thing) && !opened;
}

function followOns(pack: ProcedurePack, state: BenchState): EndItem[] {
  return Object.entries(pack.follow_ons).flatMap(([key, rule]) => {
    const last = Math.max(0, ...rule.after.map((literal) => lastTime(state, literal)));
    const missing = last > 0 && rule.needs.some((check) => (state.checks[check] ?? 0) < last);
    return missing ? [item("follow_on_missing", key, rule.safety)] : [];
  });
}

/** The order number of the last time the literal came about; 0 for never. Slackening counts as undoing. */
function lastTime(state: BenchState, literal: Literal): number {
  return (literal[0] === "done" ? state.checks[literal[1]] : state.touched[`${literal[0]} ${literal[1]}`]) ?? 0;
}

const compared = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
