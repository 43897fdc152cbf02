/**
 * Which of one's own torque wrenches to take for a figure, and what to set on its scale.
 * Knows ranges, steps and check dates of hand torque tools; knows nothing of bolts.
 */
import { answer, note, source } from "./answer";
import { EDGE, bounded, chosen, positive, record, several } from "./bounds";
import { addMonths, isoDate } from "./dates";
import type { Day } from "./dates";
import { Refused } from "./refused";
import { roundHalfAway, snapped } from "./rounding";
import { MOST_NM } from "./torque";
import { convert } from "./units";

const SOURCES = [
  source("published", "TM 1-1500-204-23-9, chapter 8: ±4 % from 20 % of full scale, best 30 to 80 %, step to 10 %"),
  source("restated", "ISO 6789:2003: ±4 % above 10 N·m full scale, else ±6 %; ISO 6789-1:2017: from the lowest mark"),
  source("published", "FAA AC 43.13-1B, paragraph 7-40: checked each year and after a drop"),
];
const UNTIL = [note("wrench_dropped_or_overloaded"), note("pull_not_smooth")];
const SCALES = { "N·m": "N·m", "lbf·ft": "lbf·ft", "lbf·in": "lbf·in", "kgf·m": "kgf·m", "kgf·cm": "kgf·cm", "N·cm": "N·cm" };
const RANKS = ["good", "usable", "low_fifth", "step_too_coarse", "misses_tolerance", "below_range", "above_range"] as const;
const CHECKS = ["in_date", "unknown", "overdue", "dropped"] as const;

/** A wrench as its owner describes it; `low`, `high`, `step` in its own `unit`, `step` 0 when it has no steps. */
export type Wrench = {
  name: string; low: number; high: number; unit: string; step?: number | null; checked?: string | null; dropped?: boolean;
};
/** What is said of one wrench for one figure; `set` on its own scale. */
export type WrenchRow = {
  name: string; verdict: (typeof RANKS)[number]; usable: boolean; set: number; unit: string; applied_nm: number;
  off_percent: number; share_percent: number; error_percent: number; check: (typeof CHECKS)[number];
};
type Tool = { name: string; low: number; high: number; unit: string; step: number; checked: Day | null; dropped: boolean };

/**
 * The wrench to take, what to set on its scale, and what is said of each of the others, best first.
 * set = target · factor, rounded to the scale's step; applied = set / factor; `factor` from `torqueAtWrench`.
 */
export function chooseWrench({ target_nm, wrenches, factor = 1, low_nm = null, high_nm = null, today = null }: {
  target_nm: number; wrenches: readonly Wrench[]; factor?: number; low_nm?: number | null; high_nm?: number | null; today?: string | null;
}) {
  const target = positive(target_nm, "torque", "N·m", MOST_NM);
  const share = bounded(factor, "adapter factor", "", 0.05, 20);
  const least = low_nm === null ? null : bounded(low_nm, "lower limit", "N·m", 0, MOST_NM);
  const most = high_nm === null ? null : bounded(high_nm, "upper limit", "N·m", 0, MOST_NM);
  const day = today === null ? null : isoDate(today, "today");
  const tools = several(wrenches, "torque wrenches", 1, 40).map(toolOf);
  const rows = tools.map((tool) => rowOf(tool, target, share, least, most, day)).sort(byRank);
  const best = rows[0]?.usable ? rows[0] : null;
  const working = best ? note("choose_wrench", { target_nm: target, ...best }) : note("no_wrench", { target_nm: target });
  return answer({ best: best ? best.name : null, rows }, working, SOURCES, UNTIL, notesOf(best));
}

/** The wrench with its fields checked. */
function toolOf(wrench: Wrench): Tool {
  const given = record(wrench, "torque wrench");
  const unit = chosen(SCALES, given.unit, "unit of the wrench's scale");
  const high = positive(given.high, "highest mark of the wrench", unit, 20_000);
  const low = bounded(given.low, "lowest mark of the wrench", unit, 0, 20_000);
  const step = bounded(given.step || 0, "scale step", unit, 0, high);
  if (low >= high) throw new Refused("wrench_range_empty", { name: String(given.name ?? "None") });
  const checked = given.checked === undefined || given.checked === null ? null : isoDate(given.checked, "last check");
  return { name: given.name || "wrench", low, high, unit, step, checked, dropped: given.dropped === true };
}

function rowOf(tool: Tool, target: number, factor: number, low: number | null, high: number | null, today: Day | null): WrenchRow {
  const wanted = snapped(convert(target * factor, "N·m", tool.unit), 12);
  const set = tool.step > 0 ? roundHalfAway(wanted, tool.step) : wanted;
  const applied_nm = convert(set, tool.unit, "N·m") / factor;
  const where = verdictOf(tool, wanted, set);
  const misses = (low !== null && applied_nm < low - EDGE) || (high !== null && applied_nm > high + EDGE);
  const verdict = isUsable(where) && misses ? "misses_tolerance" : where;
  return {
    name: tool.name, verdict, usable: isUsable(verdict), set, unit: tool.unit, applied_nm,
    off_percent: ((applied_nm - target) / target) * 100, share_percent: (set / tool.high) * 100,
    error_percent: convert(tool.high, tool.unit, "N·m") > 10 ? 4 : 6, check: checkOf(tool, today),
  };
}

function isUsable(verdict: WrenchRow["verdict"]): boolean {
  return verdict === "good" || verdict === "usable" || verdict === "low_fifth";
}

/** Where the setting lies: outside the marks, too coarse a step, below a fifth, in the best part, else usable. */
function verdictOf(tool: Tool, wanted: number, set: number): WrenchRow["verdict"] {
  if (wanted < tool.low || set < tool.low) return "below_range";
  if (wanted > tool.high || set > tool.high) return "above_range";
  if (tool.step > 0.1 * wanted) return "step_too_coarse";
  const share = set / tool.high;
  return share < 0.2 ? "low_fifth" : share >= 0.3 && share <= 0.8 ? "good" : "usable";
}

function checkOf(tool: Tool, today: Day | null): WrenchRow["check"] {
  if (tool.dropped) return "dropped";
  if (tool.checked === null) return "unknown";
  return today !== null && today > addMonths(tool.checked, 12) ? "overdue" : "in_date";
}

/** Fit first, then the state of the check, then how far the step leaves the setting from the target. */
function byRank(a: WrenchRow, b: WrenchRow): number {
  const off = (row: WrenchRow) => roundHalfAway(Math.abs(row.off_percent), 1e-9);
  return RANKS.indexOf(a.verdict) - RANKS.indexOf(b.verdict) || CHECKS.indexOf(a.check) - CHECKS.indexOf(b.check) || off(a) - off(b);
}

function notesOf(best: WrenchRow | null) {
  if (best === null) return [note("no_wrench_fits")];
  const low = best.verdict === "low_fifth" ? [note("wrench_low_fifth")] : [];
  return best.check === "in_date" ? low : [...low, note(`wrench_check_${best.check}`)];
}
