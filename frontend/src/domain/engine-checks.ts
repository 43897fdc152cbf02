/**
 * Battery at rest and compression: readings that compare, not diagnose.
 * Knows common practice for batteries and plain ratios between cylinders; limits for a verdict are the maker's.
 */
import { ARITHMETIC, PRACTICE, answer, note } from "./answer";
import { EDGE, bounded, chosen, positive, several } from "./bounds";
import { Refused } from "./refused";

// least rest voltage of a 12 V lead-acid battery → word
const REST_VOLTS = [[12.6, "full"], [12.4, "three_quarters"], [12.2, "half"], [12, "quarter"], [0, "flat"]] as const;
const LEAST_REST_H = 2;

/** What the rest voltage of a lead-acid 12 V battery tells, as common practice has it. Throws `battery_table_missing`. */
export function batteryRest({ voltage_v, rested_h, battery = "lead_acid_12v" }: { voltage_v: number; rested_h: number; battery?: string }) {
  const volts = bounded(voltage_v, "rest voltage", "V", 0, 16);
  const rested = bounded(rested_h, "hours at rest", "h", 0, 10_000);
  chosen({ lead_acid_12v: 1, lithium_12v: 1 }, battery, "battery");
  if (battery === "lithium_12v") throw new Refused("battery_table_missing");
  const known = rested >= LEAST_REST_H && volts <= 13.2;
  const state = known ? (REST_VOLTS.find(([least]) => volts >= least)?.[1] ?? "unknown") : "unknown";
  const values = { state, voltage_v: volts };
  const notes = !known ? [note("battery_not_rested")] : state === "flat" ? [note("battery_flat")] : [];
  const until = [note("battery_cold_or_old"), note("load_test_decides")];
  return answer(values, note("battery_rest", { ...values, rested_h: rested }), [PRACTICE], until, notes);
}

/** How the compression readings of the cylinders, or of one cylinder over time, compare: share = lowest / highest. */
export function compressionCompare({ readings_kpa, least_share_percent = null, least_kpa = null }: {
  readings_kpa: readonly number[]; least_share_percent?: number | null; least_kpa?: number | null;
}) {
  const taken = several(readings_kpa, "readings", 1, 12).map((value) => positive(value, "compression reading", "kPa", 5000));
  const [lowest_kpa, highest_kpa] = [Math.min(...taken), Math.max(...taken)];
  const share_percent = (lowest_kpa / highest_kpa) * 100;
  const fails: boolean[] = [];
  if (least_share_percent !== null) fails.push(share_percent < bounded(least_share_percent, "least share", "%", 1, 100) - EDGE);
  if (least_kpa !== null) fails.push(lowest_kpa < positive(least_kpa, "least compression", "kPa", 5000));
  const verdict = fails.length === 0 ? "unknown" : fails.includes(true) ? "outside" : "within";
  const mean_kpa = taken.reduce((sum, value) => sum + value, 0) / taken.length;
  const values = { share_percent, lowest_kpa, highest_kpa, mean_kpa, verdict };
  const notes = verdict === "unknown" ? [note("limit_missing")] : [];
  const until = [note("throttle_open_engine_warm"), note("decompressor_shut")];
  return answer(values, note("compression_compare", values), [ARITHMETIC], until, notes);
}
