/**
 * Which gives way first, the bolt or the thread it sits in, and how much engaged thread it needs.
 * Knows shear areas of coarse metric threads; never calls a repaired or corroded thread safe.
 */
import { answer, note, source } from "./answer";
import { bounded, positive } from "./bounds";
import { Refused } from "./refused";
import { gradeOf, threadNotes, threadOf } from "./threads";

// thread → least outer diameter of the bolt, its least pitch diameter, largest inner and pitch diameter of the hole, mm
const LIMITS: Readonly<Record<string, readonly [number, number, number, number]>> = {
  "4x0.7": [3.838, 3.433, 3.422, 3.663], "5x0.8": [4.826, 4.361, 4.334, 4.605], "6x1": [5.794, 5.212, 5.153, 5.5],
  "8x1.25": [7.76, 7.042, 6.912, 7.348], "10x1.5": [9.732, 8.862, 8.676, 9.206], "12x1.75": [11.701, 10.679, 10.441, 11.063],
  "14x2": [13.682, 12.503, 12.21, 12.913], "16x2": [15.682, 14.503, 14.21, 14.913],
};
const SOURCES = [source("memory", "FED-STD-H28/2 shear areas, ISO 965 limits 6g/6H; M6 to M10 agree with a restated table")];

/** Shear area in mm² per mm of engagement, of the hole's thread and the bolt's. Throws `thread_limits_missing`. */
export function shearAreas(thread: string): [number, number] {
  const size = threadOf(thread);
  const limits = LIMITS[`${size.diameter_mm}x${size.pitch_mm}`];
  if (!limits) throw new Refused("thread_limits_missing", { written: thread });
  const [outer, boltPitch, inner, holePitch] = limits;
  return [shearAreaPerMm(outer, size.pitch_mm, outer - holePitch), shearAreaPerMm(inner, size.pitch_mm, boltPitch - inner)];
}

/** Shear area of a 60° thread at a diameter, in mm² per mm: π/P · d · (P/2 + overlap/√3). */
function shearAreaPerMm(diameterMm: number, pitchMm: number, overlapMm: number): number {
  return (Math.PI / pitchMm) * diameterMm * (pitchMm / 2 + overlapMm / Math.sqrt(3));
}

/** Whether the bolt breaks or its hole strips, and the engagement at which both are equal. */
export function threadStrip({ thread, grade, engaged_mm, shear_mpa, load_n = null, parent = "aluminium" }: {
  thread: string; grade: string; engaged_mm: number; shear_mpa: number; load_n?: number | null; parent?: string;
}) {
  const size = threadOf(thread);
  const engaged = positive(engaged_mm, "engaged length", "mm", 100);
  const shear = bounded(shear_mpa, "shear strength of the parent", "MPa", 10, 1000);
  const [perMmHole, perMmBolt] = shearAreas(thread);
  const break_n = size.stress_area_mm2 * gradeOf(grade, size).tensile_mpa;
  const load = load_n === null ? break_n : positive(load_n, "load", "N", 1e7);
  const strip_n = shear * perMmHole * engaged;
  const values = {
    strip_n, break_n, first: strip_n < break_n ? "hole" : "bolt", needed_mm: load / (shear * perMmHole),
    engaged_diameters: engaged / size.diameter_mm, hole_area_mm2: perMmHole * engaged, bolt_area_mm2: perMmBolt * engaged,
  };
  const short = parent === "aluminium" && engaged < 1.5 * size.diameter_mm;
  const notes = [...threadNotes(size, grade), ...(short ? [note("short_in_aluminium", { diameters: engaged / size.diameter_mm })] : [])];
  const until = [note("thread_repaired_or_corroded"), note("incomplete_threads_counted")];
  return answer(values, note("thread_strip", { ...values, engaged_mm: engaged, shear_mpa: shear }), SOURCES, until, notes);
}
