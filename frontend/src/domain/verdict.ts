/**
 * Whether a reading is within its limits.
 * Knows limits and figures of a pack; must not know what is done about it. A figure that is not known never makes a reading "within".
 */
import type { Verdict } from "../generated/event";
import type { Limits, ProcedurePack, Step } from "../generated/procedure-pack";

/**
 * Lowest and highest value that is in order, in the canonical unit; null is no limit on that side.
 * `known` is false when a limit is named whose figure or number is missing.
 */
export type ReadingLimits = { low: number | null; high: number | null; known: boolean };

// a value typed in another unit carries the noise of its conversion; no gauge shows one part in 10^9
const NOISE = 1e-9;

/**
 * `within`, `outside` or `unknown`, for `value` in the canonical unit of the step's limits; limits are included.
 * `unknown` when the value is no number, or the step, its limits, a limit's figure or its number is missing; but a
 * value beyond a limit that is known is `outside`. Source: our derivation, see vectors verdict.
 */
export function verdict(pack: ProcedurePack, step: string, value: number): Verdict {
  const limits = readingLimits(pack, step);
  if (limits === null || !Number.isFinite(value)) return "unknown";
  const { low, high, known } = limits;
  if (low !== null && value < low - Math.abs(low) * NOISE) return "outside";
  if (high !== null && value > high + Math.abs(high) * NOISE) return "outside";
  return known ? "within" : "unknown";
}

/**
 * The limits by which a step's reading is judged; null when there are none.
 * They are the step's own, else the figure of the check that it measures, if that figure is a range.
 */
export function readingLimits(pack: ProcedurePack, step: string): ReadingLimits | null {
  const found = pack.steps.find((entry) => entry.id === step);
  if (!found) return null;
  return found.limits ? stated(pack, found.limits) : ofCheck(pack, found);
}

function stated(pack: ProcedurePack, limits: Limits): ReadingLimits {
  const low = end(pack, limits, "low");
  const high = end(pack, limits, "high");
  const missing = (limits.low !== null && low === null) || (limits.high !== null && high === null);
  return { low, high, known: !missing && (limits.low !== null || limits.high !== null) };
}

/** The figure's end on that side, else its value; null when it has neither, or another unit. */
function end(pack: ProcedurePack, limits: Limits, side: "low" | "high"): number | null {
  const id = limits[side];
  const figure = id !== null && Object.hasOwn(pack.figures, id) ? pack.figures[id] : undefined;
  if (!figure || figure.unit !== limits.unit) return null;
  return figure[side] ?? figure.value;
}

function ofCheck(pack: ProcedurePack, step: Step): ReadingLimits | null {
  const measured = step.do.filter((action) => action.verb === "measure").map((action) => pack.checks[action.object]?.figure);
  const id = measured.find((figure) => figure !== null && figure !== undefined);
  const figure = id ? pack.figures[id] : undefined;
  if (!figure || figure.low === null || figure.high === null) return null;
  return { low: figure.low, high: figure.high, known: true };
}
