/**
 * Sag, spring rate, fork oil: what a tape measure tells about the suspension.
 * Knows lengths and weights; the wanted sag is the machine's own data and is never assumed.
 */
import { ARITHMETIC, answer, note, source } from "./answer";
import { EDGE, bounded, positive } from "./bounds";
import { Refused } from "./refused";
import { roundHalfAway, withUnit } from "./rounding";

const UNTIL = [note("measured_on_level_ground"), note("friction_not_averaged")];
type Verdict = "within" | "too_little" | "too_much" | "unknown";
type Given = number | null;

/** Static sag and sag with the rider, against the machine's own limits. Throws `sag_backwards`. */
export function sag({
  free_mm, own_weight_mm, rider_mm = null, travel_mm = null, static_low_mm = null, static_high_mm = null, rider_low_mm = null,
  rider_high_mm = null,
}: {
  free_mm: number; own_weight_mm: number; rider_mm?: Given; travel_mm?: Given; static_low_mm?: Given; static_high_mm?: Given;
  rider_low_mm?: Given; rider_high_mm?: Given;
}) {
  const free = bounded(free_mm, "length with the wheel hanging", "mm", 10, 3000);
  const own = bounded(own_weight_mm, "length under its own weight", "mm", 10, 3000);
  const rider = rider_mm === null ? null : bounded(rider_mm, "length with the rider", "mm", 10, 3000);
  const travel = travel_mm === null ? null : positive(travel_mm, "wheel travel", "mm", 1000);
  if (own > free || (rider !== null && rider > own)) throw new Refused("sag_backwards");
  const static_mm = free - own;
  const rider_sag_mm = rider === null ? null : free - rider;
  const values = {
    static_mm, rider_sag_mm, static_percent: travel === null ? null : (static_mm / travel) * 100,
    rider_percent: travel === null || rider_sag_mm === null ? null : (rider_sag_mm / travel) * 100,
    static_verdict: verdictOf(static_mm, static_low_mm, static_high_mm), rider_verdict: verdictOf(rider_sag_mm, rider_low_mm, rider_high_mm),
  };
  const working = note("sag", { ...values, free_mm: free, own_weight_mm: own, rider_mm: rider });
  return answer(values, working, [ARITHMETIC], UNTIL, springHint(values.static_verdict, values.rider_verdict));
}

function verdictOf(value: Given, low: Given, high: Given): Verdict {
  if (value === null || (low === null && high === null)) return "unknown";
  const least = low === null ? 0 : bounded(low, "lower limit of the sag", "mm", 0, 1000);
  const most = high === null ? 1000 : bounded(high, "upper limit of the sag", "mm", least, 1000);
  return value < least - EDGE ? "too_little" : value > most + EDGE ? "too_much" : "within";
}

/** With the rider's sag right, static sag tells whether the spring is too soft or too hard. */
function springHint(unladen: Verdict, ridden: Verdict) {
  if (ridden !== "within") return [];
  return unladen === "too_little" ? [note("spring_too_soft")] : unladen === "too_much" ? [note("spring_too_hard")] : [];
}

/** The spring rate at which the rider's weight gives the wanted difference of sag. Throws `sag_difference_missing`. */
export function springRate({ rate_n_mm, static_mm, rider_sag_mm, static_wanted_mm, rider_wanted_mm, step_n_mm = 2 }: {
  rate_n_mm: number; static_mm: number; rider_sag_mm: number; static_wanted_mm: number; rider_wanted_mm: number; step_n_mm?: number;
}) {
  const rate = positive(rate_n_mm, "spring rate", "N/mm", 500);
  const now = bounded(static_mm, "static sag", "mm", 0, 1000);
  const ridden = bounded(rider_sag_mm, "sag with the rider", "mm", 0, 1000);
  const nowWanted = bounded(static_wanted_mm, "wanted static sag", "mm", 0, 1000);
  const riddenWanted = bounded(rider_wanted_mm, "wanted sag with the rider", "mm", 0, 1000);
  const step = bounded(step_n_mm, "step of springs on sale", "N/mm", 0.1, 50);
  if (ridden <= now || riddenWanted <= nowWanted) throw new Refused("sag_difference_missing");
  const needed_n_mm = (rate * (ridden - now)) / (riddenWanted - nowWanted);
  const buy_n_mm = Math.max(roundHalfAway(needed_n_mm, step), step);
  const values = { needed_n_mm, buy_n_mm, steps: (buy_n_mm - rate) / step };
  const working = note("spring_rate", {
    ...values, rate_n_mm: rate, static_mm: now, rider_sag_mm: ridden, static_wanted_mm: nowWanted, rider_wanted_mm: riddenWanted,
  });
  const until = [note("spring_not_linear"), note("maker_offers_rates")];
  return answer(values, working, [source("arithmetic", "our derivation for a linear spring")], until);
}

/** Oil to add to (or, negative, take from) a fork leg for a wanted air gap. Throws `rod_fills_tube`. */
export function forkOilByAirGap({ gap_mm, wanted_gap_mm, inner_diameter_mm, rod_diameter_mm = 0 }: {
  gap_mm: number; wanted_gap_mm: number; inner_diameter_mm: number; rod_diameter_mm?: number;
}) {
  const gap = bounded(gap_mm, "air gap", "mm", 0, 500);
  const wanted = bounded(wanted_gap_mm, "wanted air gap", "mm", 0, 500);
  const tube = bounded(inner_diameter_mm, "inner diameter of the tube", "mm", 10, 100);
  const rod = bounded(rod_diameter_mm, "diameter of the rod", "mm", 0, 100);
  if (rod >= tube) throw new Refused("rod_fills_tube", { rod: withUnit(rod, "mm"), tube: withUnit(tube, "mm") });
  const values = { add_ml: ((Math.PI / 4) * (tube ** 2 - rod ** 2) * (gap - wanted)) / 1000 };
  const working = note("fork_oil_by_air_gap", { ...values, gap_mm: gap, wanted_gap_mm: wanted, tube_mm: tube });
  return answer(values, working, [ARITHMETIC], [note("fork_in_spring_out"), note("air_in_damper")]);
}
