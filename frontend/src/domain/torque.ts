/**
 * Torque at the wrench: what to set when an adapter changes the lever, what a setting applies, stages, running torque.
 * Knows levers and shares; knows nothing of which wrench there is (`wrenches`) or what the bolt can bear (`fasteners`).
 */
import { ARITHMETIC, answer, note, source } from "./answer";
import { bounded, positive, several } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";

export const MOST_NM = 2000;
export const MOST_LEVER_MM = 3000;
export const ADAPTER_SOURCE = source("published", "TM 1-1500-204-23-9, figure 8-16; TM 55-1945-205-24-4, WP 0247");
export const STAGE_SOURCES = [source("published", "Fluid Sealing Association, June 2012"), source("restated", "pipe-flange practice page")];
const UNTIL_LEVER = [note("hand_off_grip_mark"), note("extension_along_drive_axis")];

type Lever = { lever_mm: number; adapter_mm?: number; adapter_angle_deg?: number };

/**
 * Setting for a torque wrench that carries an offset adapter: set = target · L / (L + E·cos a). Angle 0 is in line
 * outwards, 90 square, 180 back over the handle. Throws `adapter_cancels_lever`. Sources and limits: see Python.
 */
export function torqueAtWrench({ target_nm, lever_mm, adapter_mm = 0, adapter_angle_deg = 0 }: { target_nm: number } & Lever) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const [reach_mm, factor] = leverFactor(lever_mm, adapter_mm, adapter_angle_deg);
  const values = { target_nm: target, set_nm: target * factor, factor, reach_mm };
  const notes = reach_mm > 0.5 * lever_mm ? [] : [note("adapter_far_back")];
  const working = note("torque_at_wrench", { ...values, lever_mm, adapter_mm, adapter_angle_deg });
  return answer(values, working, [ADAPTER_SOURCE, ARITHMETIC], UNTIL_LEVER, notes);
}

/** What reaches the fastener at a given setting with an adapter: applied = set · (L + E·cos a) / L. */
export function torqueApplied({ set_nm, lever_mm, adapter_mm = 0, adapter_angle_deg = 0 }: { set_nm: number } & Lever) {
  const setting = positive(set_nm, "wrench setting", "N·m", MOST_NM);
  const [reach_mm, factor] = leverFactor(lever_mm, adapter_mm, adapter_angle_deg);
  const values = { set_nm: setting, applied_nm: setting / factor, factor, reach_mm };
  const working = note("torque_applied", { ...values, lever_mm, adapter_mm, adapter_angle_deg });
  return answer(values, working, [ADAPTER_SOURCE, ARITHMETIC], UNTIL_LEVER);
}

/** Effective reach L + E·cos a, and setting per target. */
function leverFactor(leverMm: number, adapterMm: number, angleDeg: number): [number, number] {
  const lever = positive(leverMm, "lever length", "mm", MOST_LEVER_MM);
  const adapter = bounded(adapterMm, "adapter length", "mm", 0, MOST_LEVER_MM);
  const angle = bounded(angleDeg, "adapter angle", "deg", -360, 360);
  const reach = lever + adapter * cosine(angle);
  if (reach <= 0.05 * lever) throw new Refused("adapter_cancels_lever", { lever: withUnit(lever, "mm"), adapter: withUnit(adapter, "mm") });
  return [reach, lever / reach];
}

/** Cosine of degrees, exactly 0 for a square angle. */
export function cosine(angleDeg: number): number {
  return Math.abs(angleDeg) % 180 === 90 ? 0 : Math.cos((angleDeg * Math.PI) / 180);
}

/** Torque to set for a self-locking nut: the published torque plus what it takes to run the nut down. */
export function runningTorque({ target_nm, running_nm }: { target_nm: number; running_nm: number }) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const running = bounded(running_nm, "running torque", "N·m", 0, MOST_NM);
  const values = { target_nm: target, running_nm: running, set_nm: target + running };
  const notes = running === 0 ? [note("nut_runs_free")] : running > target ? [note("nut_drags_hard")] : [];
  const from = source("published", "FAA AC 43.13-1B (9/8/98), paragraph 7-40");
  return answer(values, note("running_torque", values), [from], [note("figure_includes_drag")], notes);
}

/**
 * The torque of each stage, those below the wrench's lowest mark merged into the first that it can show.
 * Throws `shares_not_rising`, `target_below_wrench`.
 */
export function torqueStages({ target_nm, shares = [30, 60, 100], wrench_low_nm = 0 }: {
  target_nm: number; shares?: readonly number[]; wrench_low_nm?: number;
}) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const low = bounded(wrench_low_nm, "lowest mark of the wrench", "N·m", 0, MOST_NM);
  const rising = several(shares, "shares", 1, 10).map((share) => bounded(share, "share", "%", 1, 100));
  if (rising.at(-1) !== 100 || rising.some((share, n) => n > 0 && share <= (rising[n - 1] ?? 0))) throw new Refused("shares_not_rising");
  if (target < low) throw new Refused("target_below_wrench", { target: withUnit(target, "N·m"), limit: withUnit(low, "N·m") });
  const all = rising.map((share) => ({ share, torque_nm: (target * share) / 100 }));
  const stages = all.filter((stage) => stage.torque_nm >= low || stage.share === 100);
  const merged = all.length - stages.length;
  const notes = merged > 0 ? [note("stages_merged", { merged, wrench_low_nm: low })] : [];
  const sources = STAGE_SOURCES;
  const working = note("torque_stages", { target_nm: target, torques_nm: stages.map((stage) => stage.torque_nm) });
  return answer({ stages, merged }, working, sources, [note("maker_publishes_stages")], notes);
}
