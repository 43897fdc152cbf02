/**
 * What a torque does to a bolt: preload as a band, by lubrication, short and long form, and how far it scatters.
 * Knows friction and its uncertainty; never offers a torque as a specification and never corrects a published one.
 */
import { PRACTICE, answer, note, source } from "./answer";
import { bounded, chosen, positive } from "./bounds";
import { Refused } from "./refused";
import { GEOMETRY_SOURCE, GRADE_SOURCE, gradeOf, threadNotes, threadOf } from "./threads";

// lubrication → nut factor from, to
const NUT_FACTORS: Readonly<Record<string, readonly [number, number]>> = {
  dry: [0.18, 0.27], oiled: [0.1, 0.26], zinc: [0.17, 0.35], cadmium: [0.15, 0.19], phosphate_oiled: [0.15, 0.22],
  stainless_dry: [0.3, 0.5],
};
const NO_SOURCE = ["threadlocker", "anti_seize", "grease"];
const FRICTION_SOURCE = source("restated", "nut-factor list of a fastener supplier; no single authority exists");
const SHORT_FORM = source("published", "Speck, Mechanical Fastening, Joining, and Assembly, page 85");
// outer diameter → bearing diameter of an ISO 4014 head, ISO 273 medium hole, mm
const HEADS: Readonly<Record<number, readonly [number, number]>> = {
  4: [5.9, 4.5], 5: [6.9, 5.5], 6: [8.9, 6.6], 8: [11.6, 9], 10: [14.6, 11], 12: [16.6, 13.5], 14: [19.6, 15.5], 16: [22.5, 17.5],
};
// method → preload scatter, ± %
const SCATTER: Readonly<Record<string, readonly [number, number]>> = {
  feel: [35, 35], weight_on_lever: [35, 35], torque_wrench: [25, 35], turn_of_nut: [15, 15], stretch: [3, 5],
};

type Bolt = { thread: string; grade: string };

/** Lowest and highest nut factor K of a lubrication. Throws `friction_no_source` where no source gives one. */
function nutFactors(lubrication: string): readonly [number, number] {
  if (NO_SOURCE.includes(lubrication)) throw new Refused("friction_no_source", { lubrication });
  return chosen(NUT_FACTORS, lubrication, "lubrication");
}

/** Preload that a torque gives, from the slipperiest to the roughest of its lubrication: F = T / (K·d). */
export function preloadBand({ torque_nm, thread, grade, lubrication }: Bolt & { torque_nm: number; lubrication: string }) {
  const torque = positive(torque_nm, "torque", "N·m", 2000);
  const size = threadOf(thread);
  const proof_n = size.stress_area_mm2 * gradeOf(grade, size).proof_mpa;
  const [k_low, k_high] = nutFactors(lubrication);
  const preload_low_n = (torque * 1000) / (k_high * size.diameter_mm);
  const preload_high_n = (torque * 1000) / (k_low * size.diameter_mm);
  const share_high_percent = (preload_high_n / proof_n) * 100;
  const values = { preload_low_n, preload_high_n, share_low_percent: (preload_low_n / proof_n) * 100, share_high_percent, k_low, k_high, proof_n };
  const passes = preload_high_n > proof_n ? [note("may_pass_proof", { share_percent: share_high_percent })] : [];
  const notes = [...threadNotes(size, grade), note("published_torque_stands"), ...passes];
  const working = note("preload_band", { ...values, torque_nm: torque, diameter_mm: size.diameter_mm });
  return answer(values, working, [SHORT_FORM, FRICTION_SOURCE, GRADE_SOURCE], [note("other_lubrication")], notes);
}

/** A torque to compare with, at 75 % of proof load: a check, never a specification. Throws `published_figure_stands`. */
export function checkTorque({ thread, grade, lubrication, published = false }: Bolt & { lubrication: string; published?: boolean }) {
  if (published) throw new Refused("published_figure_stands");
  const size = threadOf(thread);
  const proof_n = size.stress_area_mm2 * gradeOf(grade, size).proof_mpa;
  const torque = (k: number) => (k * size.diameter_mm * 0.75 * proof_n) / 1000;
  const [k_low, k_high] = nutFactors(lubrication);
  const values = { torque_low_nm: torque(k_low), torque_high_nm: torque(k_high), proof_n };
  const until = [note("maker_prints_figure"), note("soft_parent_or_gasket"), note("other_lubrication")];
  const notes = [note("check_not_specification"), ...threadNotes(size, grade)];
  return answer(values, note("check_torque", values), [SHORT_FORM, FRICTION_SOURCE, PRACTICE], until, notes);
}

/**
 * Preload and torque at a share of yield, from the friction in the thread and under the head:
 * F = As·ν·Rp / √(1 + 3·[(3/2)·(d2/d0)·(P/(π·d2) + 1.155·µt)]²), T = F·(P/2π + 0.57735·d2·µt + ½·Db·µh).
 */
export function preloadLong({ thread, grade, friction_thread, friction_head, share_percent = 90, head_mm = null, hole_mm = null }: Bolt & {
  friction_thread: number; friction_head: number; share_percent?: number; head_mm?: number | null; hole_mm?: number | null;
}) {
  const size = threadOf(thread);
  const strength = gradeOf(grade, size);
  const inThread = bounded(friction_thread, "friction in the thread", "", 0.02, 0.6);
  const underHead = bounded(friction_head, "friction under the head", "", 0.02, 0.6);
  const share = bounded(share_percent, "share of yield", "%", 1, 100) / 100;
  const [head, hole] = bearing(size.diameter_mm, head_mm, hole_mm);
  const { pitch_diameter_mm: d2, pitch_mm: pitch } = size;
  const twist = ((1.5 * d2) / ((d2 + size.root_diameter_mm) / 2)) * (pitch / (Math.PI * d2) + (2 / Math.sqrt(3)) * inThread);
  const preload_n = (size.stress_area_mm2 * share * strength.yield_mpa) / Math.sqrt(1 + 3 * twist ** 2);
  const armMm = pitch / (2 * Math.PI) + (d2 * inThread) / Math.sqrt(3) + ((head + hole) / 4) * underHead;
  const values = { preload_n, torque_nm: (preload_n * armMm) / 1000, k: armMm / size.diameter_mm };
  const sources = [source("memory", "VDI 2230, ISO 16047"), GRADE_SOURCE, GEOMETRY_SOURCE];
  const notes = [note("check_not_specification"), ...threadNotes(size, grade)];
  const working = note("preload_long", { ...values, share_percent: share * 100, friction_thread: inThread });
  return answer(values, working, sources, [note("friction_not_measured"), note("maker_prints_figure")], notes);
}

/** Bearing diameter and hole, given or from the tables. */
function bearing(diameterMm: number, headMm: number | null, holeMm: number | null): [number, number] {
  const known = HEADS[diameterMm];
  const head = headMm ?? known?.[0];
  const hole = holeMm ?? known?.[1];
  if (head === undefined || hole === undefined) throw new Refused("head_unknown");
  const checked = bounded(hole, "hole diameter", "mm", diameterMm, 4 * diameterMm);
  return [bounded(head, "head bearing diameter", "mm", checked, 8 * diameterMm), checked];
}

/** How far the preload scatters, kept apart from the error of the tool: low, high = F·(1 ∓ s). */
export function preloadScatter({ preload_n, method, tool_error_percent = 4, lubricated = true }: {
  preload_n: number; method: string; tool_error_percent?: number; lubricated?: boolean;
}) {
  const preload = positive(preload_n, "preload", "N", 1e7);
  const tool = bounded(tool_error_percent, "tool error", "%", 0, 50);
  const [best, rough] = chosen(SCATTER, method, "method of tightening");
  const scatter_percent = lubricated && method !== "stretch" ? best : rough;
  const [low_n, high_n] = [preload * (1 - scatter_percent / 100), preload * (1 + scatter_percent / 100)];
  const values = { scatter_percent, low_n, high_n, ratio: high_n / low_n, tool_error_percent: tool };
  const sources = [
    source("restated", "Machinery's Handbook, accuracy of preload methods"),
    source("published", "J. Failure Analysis and Prevention 2019, doi 10.1007/s11668-019-00693-z"),
  ];
  const notes = [note("tool_error_is_not_scatter", { tool_error_percent: tool, scatter_percent })];
  return answer(values, note("preload_scatter", { ...values, preload_n: preload }), sources, [note("joint_tested")], notes);
}
