/**
 * What can be done of a procedure with the tools one carries, what replaces what, and whether to ride home after it.
 * Knows kinds and sizes of tools and which joints are safety joints; a substitute never decides a safety joint.
 */
import type { ProcedurePack, Step } from "../generated/procedure-pack";
import { PRACTICE, answer, note } from "./answer";
import { bounded, chosen, record, several } from "./bounds";

const VERDICTS = ["own", "substitute", "refused", "missing"] as const;
const JOINT_VERBS = ["undo", "slacken", "start", "tighten"];
// needed kind, carried kind → the substitute's code, whether sizes must agree
const SUBSTITUTES: Readonly<Record<string, readonly [code: string, sized: boolean]>> = {
  "socket spanner": ["spanner_for_socket", true], "spanner socket": ["socket_for_spanner", true],
  "socket adjustable": ["adjustable_spanner", false], "spanner adjustable": ["adjustable_spanner", false],
  "pliers multi_tool": ["multi_tool", false], "screwdriver multi_tool": ["multi_tool", false],
  "pliers pliers": ["same_kind", false], "screwdriver screwdriver": ["same_kind", false],
  "torque_wrench weight": ["torque_by_lever", false], "torque_wrench scale": ["torque_by_lever", false],
};
const NEVER_ON_SAFETY = ["adjustable_spanner", "torque_by_lever", "multi_tool"];
// only a plain tool is told by its kind and size: an adapter, a plug socket, a long socket is the tool itself or none
const PLAIN = /^([0-9]+(?:[.,][0-9]+)?) ?mm (?:(?:ring|open|flat) )?(?:socket|spanner|hex bit|hex key|screwdriver)$/;
const TORQUE = "torque wrench";
const SLOW_STATES = ["by_lever", "not_final", "single_use_reused"];
const CONCERNS = { by_lever: 1, not_final: 1, single_use_reused: 1, undone: 1, fluid_low: 1 };
const SAFETY = { normal: 1, brakes: 1, steering: 1, fuel: 1, wheels: 1, throttle: 1, lifting: 1 };
const RIDE = ["ride", "slow", "do_not_ride"] as const;

type Verdict = (typeof VERDICTS)[number];
/** A carried tool: an id of the pack, or a kind with its size or range. */
export type KitItem = { tool?: string | null; kind?: string | null; size_mm?: number | null; low_nm?: number | null; high_nm?: number | null };
/** How one needed tool is met; `by` names the substitute. */
export type Need = { tool: string; joint: string | null; verdict: Verdict; by: string | null };
export type KitRow = { step: string; verdict: Verdict; needs: Need[] };
export type Concern = { name: string; safety: string; state: string };
type Item = { tool: string | null; kind: string | null; size: number | null; low: number; high: number };
type Pack = Pick<ProcedurePack, "steps" | "joints" | "figures" | "tools">;
type Wanted = { tool: string; safety: string; verb: string; torque: number | null; joint: string | null };

/**
 * For every step of a procedure: done with one's own tools, with a substitute, refused, or tools missing. A joint needs one
 * of its tools, a step all of its own, a final torque a wrench that covers it; only a plain tool is told by kind and size.
 * `pack` is already filtered to the variant.
 */
export function kitCheck({ pack, kit }: { pack: Pack; kit: readonly KitItem[] }) {
  const items = several(kit, "carried tools", 0, 100).map(itemOf);
  const rows = pack.steps.map((step) => stepRow(pack, step, items));
  const needs = rows.flatMap((row) => row.needs);
  const missing = unique(needs.filter((need) => need.verdict === "missing" || need.verdict === "refused").map((need) => need.tool));
  const byLever = needs.filter((need) => need.by === "torque_by_lever" && need.verdict === "substitute");
  const check_at_home = unique(byLever.map((need) => need.joint ?? ""));
  const able = rows.filter((row) => row.verdict === "own" || row.verdict === "substitute").length;
  const values = { can_do: able === rows.length, rows, missing, check_at_home };
  const notes = check_at_home.length > 0 ? [note("check_at_home_joints", { joints: check_at_home })] : [];
  return answer(values, note("kit_check", { steps: rows.length, able }), [PRACTICE], [note("fastener_seized"), note("tool_must_reach")], notes);
}

function unique(names: readonly string[]): string[] {
  return [...new Set(names)].sort();
}

function itemOf(entry: KitItem): Item {
  const given = record(entry, "carried tool");
  const number = (value: number | null | undefined, unit: string) =>
    value === undefined || value === null ? null : bounded(value, "size of a carried tool", unit, 0, 20_000);
  return {
    tool: given.tool ?? null, kind: given.kind ?? null, size: number(given.size_mm, "mm"), low: number(given.low_nm, "N·m") ?? 0,
    high: number(given.high_nm, "N·m") ?? 0,
  };
}

function worstOf(verdicts: readonly Verdict[]): Verdict {
  return VERDICTS[Math.max(0, ...verdicts.map((verdict) => VERDICTS.indexOf(verdict)))] ?? "own";
}

function stepRow(pack: Pack, step: Step, items: readonly Item[]): KitRow {
  const joints = step.do.filter((action) => JOINT_VERBS.includes(action.verb) && pack.joints[action.object])
    .flatMap((action) => jointNeeds(pack, step, action.verb, action.object, items));
  // a torque wrench that the step names beside a figure: the figure asks for it already
  const asked = joints.some(({ tool }) => tool === TORQUE);
  const own = step.tools.filter((tool) => !(asked && kindAndSize(pack, tool)[0] === "torque_wrench"))
    .map((tool) => needOf(pack, { tool, safety: "normal", verb: "undo", torque: null, joint: null }, items));
  const needs = [...own, ...joints];
  return { step: step.id, verdict: worstOf(needs.map((need) => need.verdict)), needs };
}

/** The turning tool of a joint, best of those that fit, and the torque wrench of a figure. */
function jointNeeds(pack: Pack, step: Step, verb: string, name: string, items: readonly Item[]): Need[] {
  const joint = pack.joints[name];
  if (!joint) return [];
  const wanted = { safety: joint.safety, verb, joint: name };
  const options = joint.tools.map((tool) => needOf(pack, { ...wanted, tool, torque: null }, items));
  const best = options.length > 0 ? [options.reduce((a, b) => (VERDICTS.indexOf(b.verdict) < VERDICTS.indexOf(a.verdict) ? b : a))] : [];
  const figure = verb === "tighten" ? pack.figures[step.figure ?? joint.figure ?? ""] : undefined;
  const torques = figure?.kind === "torque" ? [figure.value, figure.low, figure.high].filter((value) => value !== null) : [];
  return torques.length > 0 ? [...best, needOf(pack, { ...wanted, tool: TORQUE, torque: Math.max(...torques) }, items)] : best;
}

/** How one needed tool is met: by itself, by a substitute, by one that is refused here, or not at all. */
function needOf(pack: Pack, { tool, safety, verb, torque, joint }: Wanted, items: readonly Item[]): Need {
  const [kind, size] = torque !== null ? ["torque_wrench", null] as const : kindAndSize(pack, tool);
  if (kind === "none" || items.some((item) => isOwn(item, tool, kind, size, torque))) return { tool, joint, verdict: "own", by: null };
  // without a torque to reach there is nothing that a lever could be set to
  const replacing = kind === "torque_wrench" && torque === null ? [] : items;
  const found = replacing.map((item) => substitute(kind, size, item)).filter((code) => code !== null);
  const onSafety = verb === "tighten" && safety !== "normal";
  const [allowed = null] = found.filter((code) => !(onSafety && NEVER_ON_SAFETY.includes(code)));
  if (allowed !== null) return { tool, joint, verdict: "substitute", by: allowed };
  const [refused = null] = found;
  return { tool, joint, verdict: refused === null ? "missing" : "refused", by: refused };
}

function kindAndSize(pack: Pack, tool: string): readonly [string, number | null] {
  const entry = pack.tools[tool];
  if (!entry) return ["unknown", null];
  const size = PLAIN.exec(entry.name)?.[1];
  return [entry.kind ?? "unknown", size === undefined ? null : Number(size.replace(",", "."))];
}

function isOwn(item: Item, tool: string, kind: string, size: number | null, torque: number | null): boolean {
  if (torque !== null) return item.kind === "torque_wrench" && item.low <= torque && torque <= item.high;
  return item.tool === tool || (item.kind === kind && size !== null && item.size === size);
}

function substitute(kind: string, size: number | null, item: Item): string | null {
  const [code, sized] = SUBSTITUTES[`${kind} ${item.kind ?? ""}`] ?? [null, false];
  return !sized || (size !== null && item.size === size) ? code : null;
}

/** Whether to ride home after a repair on the trail: ride, slow with checks, or not at all, and why. */
export function rideHome({ concerns }: { concerns: readonly Concern[] }) {
  const rows = several(concerns, "concerns", 0, 100).map((concern) => {
    const { name, safety, state } = record(concern, "concern");
    chosen(SAFETY, safety, "safety class");
    chosen(CONCERNS, state, "state");
    const verdict: (typeof RIDE)[number] = safety === "normal" && SLOW_STATES.includes(state) ? "slow" : "do_not_ride";
    return { name, safety, state, verdict };
  });
  const verdict = RIDE[Math.max(0, ...rows.map((row) => RIDE.indexOf(row.verdict)))] ?? "ride";
  const reasons = rows.filter((row) => row.verdict === verdict).map(({ name, safety, state }) => ({ name, safety, state }));
  const notes = verdict === "slow" ? [note("stop_soon_and_check")] : verdict === "ride" ? [] : [note("get_it_carried")];
  const working = note("ride_home", { verdict, count: reasons.length });
  return answer({ verdict, reasons }, working, [PRACTICE], [note("only_what_is_listed")], notes);
}
