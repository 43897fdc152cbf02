/**
 * Torque with no torque wrench: a known weight on a lever, an arm and a scale, flats and angle.
 * Knows statics; every result here scatters at least as tightening by feel and is checked with a wrench at home.
 */
import { ARITHMETIC, answer, note, source } from "./answer";
import { bounded, chosen, positive } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";
import { MOST_LEVER_MM, MOST_NM, cosine } from "./torque";

const GRAVITY = 9.80665;
const SOURCES = [source("published", "TM 9-254, page 4-4: 10 in × 6 lbf = 12 × 5 = 6 × 10 = 60 lbf·in"), ARITHMETIC];
const UNTIL = [note("weight_hangs_freely"), note("lever_square_to_fastener")];
const NOTES = [note("scatter_as_by_feel"), note("not_for_safety_joints"), note("check_at_home")];

type Bar = { below_level_deg?: number; bar_mass_kg?: number; bar_centre_mm?: number };

/** Torque of a weight hung on a lever, its own weight included: T = g·(m·L + mb·c)·cos a. */
export function torqueByWeight({ mass_kg, lever_mm, ...bar }: { mass_kg: number; lever_mm: number } & Bar) {
  const [barNm, levelShare] = barAlone(bar);
  const lever = positive(lever_mm, "lever length", "mm", MOST_LEVER_MM);
  const mass = bounded(mass_kg, "weight", "kg", 0, 300);
  const level_nm = (GRAVITY * mass * lever) / 1000 + barNm;
  const values = { torque_nm: level_nm * levelShare, bar_nm: barNm * levelShare, level_nm };
  const working = note("torque_by_weight", { ...values, mass_kg: mass, lever_mm: lever, below_level_deg: bar.below_level_deg ?? 0 });
  return answer(values, working, SOURCES, UNTIL, NOTES);
}

/** The weight to hang at a given place for a torque. Throws `bar_alone_exceeds`. */
export function weightForTorque({ target_nm, lever_mm, ...bar }: { target_nm: number; lever_mm: number } & Bar) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const lever = positive(lever_mm, "lever length", "mm", MOST_LEVER_MM);
  const [bar_nm, levelShare] = barAlone(bar);
  const mass_kg = remaining(target, bar_nm, levelShare) / ((GRAVITY * lever) / 1000);
  const values = { mass_kg, water_l: mass_kg / 0.9982 };
  const notes = mass_kg > 100 ? [...NOTES, note("lever_too_short_for_weight")] : NOTES;
  return answer(values, note("weight_for_torque", { ...values, target_nm: target, lever_mm: lever, bar_nm }), SOURCES, UNTIL, notes);
}

/** Where to hang a known weight for a torque. Throws `bar_alone_exceeds`, `lever_longer_than_sense`. */
export function leverForTorque({ target_nm, mass_kg, ...bar }: { target_nm: number; mass_kg: number } & Bar) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const mass = positive(mass_kg, "weight", "kg", 300);
  const [bar_nm, levelShare] = barAlone(bar);
  const lever_mm = (remaining(target, bar_nm, levelShare) / (GRAVITY * mass)) * 1000;
  if (lever_mm > MOST_LEVER_MM) throw new Refused("lever_longer_than_sense", { lever: withUnit(lever_mm, "mm") });
  const values = { lever_mm };
  return answer(values, note("lever_for_torque", { ...values, target_nm: target, mass_kg: mass, bar_nm }), SOURCES, UNTIL, NOTES);
}

/** What the bar alone gives when level, N·m, and the share that a tilted lever delivers. */
function barAlone({ below_level_deg = 0, bar_mass_kg = 0, bar_centre_mm = 0 }: Bar): [number, number] {
  const mass = bounded(bar_mass_kg, "weight of the bar", "kg", 0, 50);
  const centre = bounded(bar_centre_mm, "balance point", "mm", 0, 3000);
  return [(GRAVITY * mass * centre) / 1000, cosine(bounded(below_level_deg, "angle below level", "deg", -80, 80))];
}

function remaining(target: number, barNm: number, levelShare: number): number {
  const left = target / levelShare - barNm;
  if (left < 0) throw new Refused("bar_alone_exceeds", { bar: withUnit(barNm * levelShare, "N·m"), target: withUnit(target, "N·m") });
  return left;
}

/** What a luggage or fish scale must read at the end of an arm for a torque: F = T/(L·sin b). */
export function scaleForTorque({ target_nm, arm_mm, pull_angle_deg = 90 }: { target_nm: number; arm_mm: number; pull_angle_deg?: number }) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const arm = positive(arm_mm, "arm length", "mm", MOST_LEVER_MM);
  const angle = bounded(pull_angle_deg, "angle between arm and pull", "deg", 30, 150);
  const force_n = target / ((arm / 1000) * Math.sin((angle * Math.PI) / 180));
  const values = { scale_kg: force_n / GRAVITY, force_n };
  const working = note("scale_for_torque", { ...values, target_nm: target, arm_mm: arm, pull_angle_deg: angle });
  return answer(values, working, SOURCES, [note("lever_square_to_fastener"), note("read_while_moving")], NOTES);
}

/** How many flats to turn for a published angle, after snug. Throws `angle_not_published` without an angle. */
export function flatsForAngle({ angle_deg, fastener = "hexagon" }: { angle_deg: number | null; fastener?: string }) {
  if (angle_deg === null) throw new Refused("angle_not_published");
  const angle = positive(angle_deg, "angle", "deg", 720);
  const per_flat_deg = chosen({ hexagon: 60, square: 90 }, fastener, "fastener");
  const whole_flats = Math.floor(angle / per_flat_deg);
  const rest_deg = angle - whole_flats * per_flat_deg;
  const values = { flats: angle / per_flat_deg, whole_flats, rest_deg, spanner_turns: rest_deg / 15 };
  const from = source("published", "TM 55-2840-231-23, appendix H, page H-4: 60° a flat, 15° by an open-end spanner");
  const working = note("flats_for_angle", { ...values, angle_deg: angle, per_flat_deg });
  return answer(values, working, [from], [note("angle_only_where_published"), note("snug_defined_by_source")], [note("check_at_home")]);
}
