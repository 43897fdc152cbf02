/**
 * Coolant: mixing, drain and refill, how cold it may get, the room it needs when hot.
 * Knows glycol by volume between 10 and 60 %; never extrapolates and never calls a mixture safe beyond that.
 */
import { ARITHMETIC, PRACTICE, answer, note, source } from "./answer";
import type { Note } from "./answer";
import { bounded, chosen, positive, whole } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";

const MOST_ML = 100_000;
// freezing point in °C at 10, 15 … 60 % by volume
const FREEZING: Readonly<Record<string, readonly number[]>> = {
  ethylene: [-3.62, -6.15, -8.98, -12.12, -15.7, -19.88, -24.8, -30.54, -37.11, -44.37, -52.02],
  propylene: [-3.43, -5.25, -7.38, -9.97, -13.11, -16.91, -21.51, -27.03, -33.66, -41.59, -51.06],
};
const STEP = 5;
const LEAST = 10;
const MOST = 60;
const MARGIN_K = 3;
// density in kg/m³ at 20, 40, 60, 80, 90, 100 °C and 3 bar
const DENSITY_AT_C = [20, 40, 60, 80, 90, 100];
const DENSITY: Readonly<Record<string, readonly number[]>> = {
  water: [998.3, 992.3, 983.28, 971.88, 965.4, 958.44],
  ethylene_30: [1045.25, 1036.78, 1026.37, 1014, 1007.09, 999.69],
  ethylene_40: [1059.69, 1050.62, 1039.6, 1026.64, 1019.44, 1011.74],
  ethylene_50: [1073.35, 1063.66, 1052.04, 1038.46, 1030.95, 1022.95],
  ethylene_60: [1086.27, 1075.95, 1063.69, 1049.48, 1041.65, 1033.33],
  propylene_30: [1028.35, 1018.42, 1006.45, 992.43, 984.65, 976.37],
  propylene_40: [1036.24, 1025.3, 1012.3, 997.25, 988.95, 980.14],
  propylene_50: [1042.87, 1030.98, 1017.04, 1001.05, 992.28, 983],
  propylene_60: [1048.25, 1035.47, 1020.65, 1003.81, 994.63, 984.94],
};
const FREEZE_SOURCE = source("library", "CoolProp 8.0.0, ASHRAE glycol by volume (AEG, APG)");
const INHIBITOR_SOURCE = source("published", "TM 5-3820-245-14&P: at least 30 %, at most 67 % by volume");
const UNTIL = [note("old_or_mixed_coolant"), note("basis_is_volume")];
const RECHECK = note("run_three_minutes_recheck");

/** Between the points of a table, by straight lines; `place` is the index as a fraction. */
function between(points: readonly number[], place: number): number {
  const low = Math.min(Math.floor(place), points.length - 2);
  const [a = NaN, b = NaN] = points.slice(low, low + 2);
  return a + (b - a) * (place - low);
}

function freezing(glycol: string, percent: number): number {
  return between(chosen(FREEZING, glycol, "glycol"), (percent - LEAST) / STEP);
}

function share(percent: number, what = "share of glycol"): number {
  return bounded(percent, what, "%", 0, 100);
}

function lowNotes(percent: number): Note[] {
  return percent < 30 ? [note("glycol_below_inhibitor", { percent })] : [];
}

function refuseOutside(percent: number): void {
  if (percent < LEAST || percent > MOST) throw new Refused("glycol_outside_table", { percent: withUnit(percent, "%") });
}

/** How cold a mixture may get: about where it freezes, and what to rely on (3 K above, rounded up). */
export function coolantFreeze({ glycol, percent }: { glycol: string; percent: number }) {
  const part = share(percent);
  chosen(FREEZING, glycol, "glycol");
  refuseOutside(part);
  const freezes_c = freezing(glycol, part);
  const values = { freezes_c, rely_on_c: Math.ceil(freezes_c + MARGIN_K) };
  const working = note("coolant_freeze", { ...values, percent: part, glycol });
  return answer(values, working, [FREEZE_SOURCE, INHIBITOR_SOURCE], UNTIL, lowNotes(part));
}

/** The least share of glycol for a lowest temperature, with 3 K to spare and never below 30 %. Throws `colder_than_table`. */
export function coolantForCold({ glycol, lowest_c }: { glycol: string; lowest_c: number }) {
  const lowest = bounded(lowest_c, "lowest temperature", "°C", -60, 10);
  const coldest = chosen(FREEZING, glycol, "glycol").at(-1) ?? NaN;
  const wanted = lowest - MARGIN_K;
  if (wanted < coldest) {
    throw new Refused("colder_than_table", { lowest: withUnit(lowest, "°C"), limit: withUnit(coldest + MARGIN_K, "°C") });
  }
  let least = LEAST;
  while (least < MOST && freezing(glycol, least) > wanted + 1e-9) least += 1;
  const percent = Math.max(least, 30);
  const values = { percent, freezes_c: freezing(glycol, percent) };
  return answer(values, note("coolant_for_cold", { ...values, lowest_c: lowest }), [FREEZE_SOURCE, INHIBITOR_SOURCE], UNTIL);
}

/** Concentrate and water for an amount of coolant. Throws `premix_not_diluted`, `glycol_outside_table`. */
export function coolantMix({ total_ml, percent, product = "concentrate" }: { total_ml: number; percent: number; product?: string }) {
  const total = positive(total_ml, "amount of coolant", "ml", MOST_ML);
  const part = share(percent);
  chosen({ concentrate: 1, premix: 1 }, product, "product");
  if (product === "premix") throw new Refused("premix_not_diluted");
  refuseOutside(part);
  const values = { concentrate_ml: (total * part) / 100, water_ml: (total * (100 - part)) / 100 };
  const notes = [...lowNotes(part), note("use_soft_water")];
  const working = note("coolant_mix", { ...values, total_ml: total, percent: part });
  return answer(values, working, [ARITHMETIC, INHIBITOR_SOURCE], [note("old_coolant_left")], notes);
}

/** What the system holds after draining part of it and refilling, once or several times. Throws `drained_exceeds_system`. */
export function drainAndRefill({ system_ml, drained_ml, old_percent, new_percent, times = 1 }: {
  system_ml: number; drained_ml: number; old_percent: number; new_percent: number; times?: number;
}) {
  const system = positive(system_ml, "whole system", "ml", MOST_ML);
  const drained = bounded(drained_ml, "amount drained", "ml", 0, MOST_ML);
  if (drained > system) throw new Refused("drained_exceeds_system", { drained: withUnit(drained, "ml"), system: withUnit(system, "ml") });
  let percent = share(old_percent, "share before");
  const fresh = share(new_percent, "share of the new fluid");
  const each = Array.from({ length: whole(times, "number of times", 1, 20) }, () => {
    percent = (percent * (system - drained) + fresh * drained) / system;
    return percent;
  });
  const values = { percent, each, old_left_percent: (1 - drained / system) ** each.length * 100 };
  const working = note("drain_and_refill", { ...values, system_ml: system, drained_ml: drained });
  return answer(values, working, [ARITHMETIC, PRACTICE], [note("not_mixed_between")], [RECHECK]);
}

/** How much to drain and replace to bring a system to a share: x = V·(target − now) / (refill − now). Throws `target_not_between`. */
export function drainForTarget({ system_ml, now_percent, target_percent, refill_percent = 100 }: {
  system_ml: number; now_percent: number; target_percent: number; refill_percent?: number;
}) {
  const system = positive(system_ml, "whole system", "ml", MOST_ML);
  const now = share(now_percent, "share now");
  const target = share(target_percent, "share wanted");
  const refill = share(refill_percent, "share of the refill");
  const reachable = target === now || (now < target && target <= refill) || (refill <= target && target < now);
  if (!reachable) {
    throw new Refused("target_not_between", { target: withUnit(target, "%"), now: withUnit(now, "%"), refill: withUnit(refill, "%") });
  }
  const drain_ml = target === now ? 0 : (system * (target - now)) / (refill - now);
  const values = { drain_ml, refill_ml: drain_ml };
  const working = note("drain_for_target", { ...values, system_ml: system, now_percent: now, target_percent: target, refill_percent: refill });
  return answer(values, working, [ARITHMETIC, PRACTICE], [note("not_mixed_between")], [RECHECK]);
}

/** How much more room a filling needs when hot: V·(ρ(from)/ρ(to) − 1). Throws `temperatures_not_rising`. */
export function expansionRoom({ system_ml, fluid, from_c = 20, to_c = 90 }: { system_ml: number; fluid: string; from_c?: number; to_c?: number }) {
  const system = positive(system_ml, "whole system", "ml", MOST_ML);
  const cold = bounded(from_c, "cold temperature", "°C", 20, 100);
  const hot = bounded(to_c, "hot temperature", "°C", 20, 100);
  if (hot < cold) throw new Refused("temperatures_not_rising", { low: withUnit(cold, "°C"), high: withUnit(hot, "°C") });
  const points = chosen(DENSITY, fluid, "fluid");
  const per_litre_ml = 1000 * (densityAt(points, cold) / densityAt(points, hot) - 1);
  const values = { room_ml: (system * per_litre_ml) / 1000, per_litre_ml };
  const working = note("expansion_room", { ...values, system_ml: system, from_c: cold, to_c: hot });
  return answer(values, working, [source("library", "CoolProp 8.0.0, densities at 3 bar")], [note("air_in_system")]);
}

function densityAt(points: readonly number[], atC: number): number {
  const low = DENSITY_AT_C.slice(0, -1).findLastIndex((t) => t <= atC);
  const [from = NaN, to = NaN] = DENSITY_AT_C.slice(low, low + 2);
  return between(points, low + (atC - from) / (to - from));
}
