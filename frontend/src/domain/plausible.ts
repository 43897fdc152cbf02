/**
 * Whether a typed torque can belong to a bolt, and which slip of unit or point would explain it.
 * Knows bands, not truths: it asks, it never replaces what a source prints.
 */
import { answer, note, source } from "./answer";
import { positive } from "./bounds";
import { GRADE_SOURCE, gradeOf, threadNotes, threadOf } from "./threads";
import { convert, unitKind } from "./units";

const UNITS = ["N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm"];
const BELOW = 0.5;
const ABOVE = 1.2;

type Verdict = "plausible" | "high" | "impossible" | "low" | "very_low";

/**
 * Where a torque lies against what the bolt bears, and what else the same digits could mean. Usual band = K·d·0.75·As·Sp
 * for K 0.12 to 0.20; ceiling K = 0.25 at proof load; floor K = 0.12 at a tenth of it.
 */
export function plausibleTorque({ value, unit, thread, grade = "8.8" }: { value: number; unit: string; thread: string; grade?: string }) {
  const size = threadOf(thread);
  unitKind(unit);
  const torque_nm = convert(positive(value, "torque", unit, 1e5), unit, "N·m");
  const proofArmNm = (size.stress_area_mm2 * gradeOf(grade, size).proof_mpa * size.diameter_mm) / 1000;
  const [usual_low_nm, usual_high_nm] = [0.12 * 0.75 * proofArmNm, 0.2 * 0.75 * proofArmNm];
  const [ceiling_nm, floor_nm] = [0.25 * proofArmNm, 0.12 * 0.1 * proofArmNm];
  const verdict = verdictOf(torque_nm, usual_low_nm, usual_high_nm, ceiling_nm, floor_nm);
  const candidates = verdict === "plausible" ? [] : candidatesOf(value, unit, usual_low_nm, usual_high_nm);
  const values = { torque_nm, usual_low_nm, usual_high_nm, ceiling_nm, floor_nm, verdict, candidates };
  const asks = verdict === "plausible" ? [] : [note(`torque_${verdict}`), note("magnitude_cannot_tell_which")];
  const sources = [source("arithmetic", "our own band"), GRADE_SOURCE];
  const until = [note("cover_or_drain_plug"), note("maker_prints_figure")];
  return answer(values, note("plausible_torque", values), sources, until, [...threadNotes(size, grade), ...asks]);
}

function verdictOf(torque: number, low: number, high: number, ceiling: number, floor: number): Verdict {
  if (torque > ceiling) return "impossible";
  if (torque > ABOVE * high) return "high";
  if (torque >= BELOW * low) return "plausible";
  return torque >= floor ? "low" : "very_low";
}

/** The same digits in another unit, or with the point one place over, where that lies in the plausible band. */
function candidatesOf(value: number, unit: string, low: number, high: number) {
  const others: [number, string][] = UNITS.filter((other) => other !== unit).map((other) => [value, other]);
  const readings: [number, string][] = [...others, [value / 10, unit], [value * 10, unit]];
  return readings
    .map(([number, other]) => ({ value: number, unit: other, torque_nm: convert(number, other, "N·m") }))
    .filter(({ torque_nm }) => BELOW * low <= torque_nm && torque_nm <= ABOVE * high);
}
