/**
 * Measured against a limit: chain, disc, pad, ring gap, anything with a least or a most.
 * Knows limits as the machine's own data; without one nothing is called good.
 */
import { ARITHMETIC, answer, note, source } from "./answer";
import { EDGE, bounded, positive, several, whole } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";

const LIMIT_FROM_MAKER = note("limit_from_maker");

/** Whether all readings lie within the published limits, and what is left before the nearest one. Throws `limits_swapped`. */
export function limitCheck({ readings, at_least = null, at_most = null, most_spread = null, unit = "mm" }: {
  readings: readonly number[]; at_least?: number | null; at_most?: number | null; most_spread?: number | null; unit?: string;
}) {
  const taken = several(readings, "readings", 1, 40).map((value) => bounded(value, "reading", unit, -1000, 1e5));
  const low = at_least === null ? null : bounded(at_least, "lower limit", unit, -1000, 1e5);
  const high = at_most === null ? null : bounded(at_most, "upper limit", unit, -1000, 1e5);
  const spreadLimit = most_spread === null ? null : bounded(most_spread, "largest spread", unit, 0, 1e5);
  if (low !== null && high !== null && low > high) {
    throw new Refused("limits_swapped", { low: withUnit(low, unit), high: withUnit(high, unit) });
  }
  const [least, most] = [Math.min(...taken), Math.max(...taken)];
  const spread = most - least;
  const rooms = [low === null ? null : least - low, high === null ? null : high - most, spreadLimit === null ? null : spreadLimit - spread]
    .filter((room) => room !== null);
  const left = rooms.length > 0 ? Math.min(...rooms) : null;
  const verdict = left === null ? "unknown" : left >= -EDGE ? "within" : "outside";
  const values = { verdict, least, most, spread, left };
  const working = note("limit_check", { ...values, unit, at_least: low, at_most: high });
  const notes = verdict === "unknown" ? [note("limit_missing")] : [];
  return answer(values, working, [ARITHMETIC], [note("worst_place_measured"), LIMIT_FROM_MAKER], notes);
}

/** How far a chain has stretched, against the limit and the two usual lines: measured/(n·P) − 1. Throws `chain_miscounted`. */
export function chainWear({ measured_mm, pitches, pitch_mm, limit_percent = null, sprocket_teeth = null, fixed_centres = false }: {
  measured_mm: number; pitches: number; pitch_mm: number; limit_percent?: number | null; sprocket_teeth?: number | null; fixed_centres?: boolean;
}) {
  const count = whole(pitches, "number of pitches", 5, 200);
  const pitch = bounded(pitch_mm, "chain pitch", "mm", 4, 40);
  const measured = positive(measured_mm, "measured length", "mm", 10_000);
  const fresh = count * pitch;
  const stretch_percent = (measured / fresh - 1) * 100;
  if (stretch_percent < -0.5 || stretch_percent > 8) {
    throw new Refused("chain_miscounted", { measured: withUnit(measured, "mm"), new: withUnit(fresh, "mm") });
  }
  const limit = chainLimit(limit_percent, sprocket_teeth, fixed_centres);
  const verdict = stretch_percent <= limit + EDGE ? "within" : "outside";
  const values = {
    stretch_percent, limit_percent: limit, verdict, at_limit_mm: fresh * (1 + limit / 100), line_1_5_mm: fresh * 1.015, line_3_mm: fresh * 1.03,
  };
  const working = note("chain_wear", { ...values, measured_mm: measured, pitches: count, pitch_mm: pitch });
  const from = source("restated", "ANSI/ASME B29.1 as a chain maker cites it: 3 %, above 66 teeth 200/N %, fixed 1.5 %");
  const notes = verdict === "within" ? [] : [note("renew_sprockets_too")];
  return answer(values, working, [from], [note("chain_pulled_tight"), LIMIT_FROM_MAKER], notes);
}

function chainLimit(given: number | null, teeth: number | null, fixed: boolean): number {
  if (given !== null) return bounded(given, "limit of the maker", "%", 0.1, 10);
  const general = fixed ? 1.5 : 3;
  return teeth === null ? general : Math.min(general, 200 / whole(teeth, "sprocket teeth", 8, 200));
}

/** What a ring end gap measured in a worn part of the bore would be where the ring runs: gap + π·(D' − D). Throws `gap_below_nothing`. */
export function ringGapFromBore({ gap_mm, measured_bore_mm, ring_bore_mm }: { gap_mm: number; measured_bore_mm: number; ring_bore_mm: number }) {
  const gap = bounded(gap_mm, "ring end gap", "mm", 0, 10);
  const here = bounded(measured_bore_mm, "bore where measured", "mm", 20, 200);
  const there = bounded(ring_bore_mm, "bore where the ring runs", "mm", 20, 200);
  const corrected = gap + Math.PI * (there - here);
  if (corrected < 0) throw new Refused("gap_below_nothing", { gap: withUnit(corrected, "mm") });
  const values = { gap_mm: corrected, per_hundredth_mm: Math.PI / 100 };
  const working = note("ring_gap_from_bore", { ...values, measured_mm: gap, here_mm: here, there_mm: there });
  return answer(values, working, [ARITHMETIC], [note("ring_square_in_bore"), LIMIT_FROM_MAKER]);
}
