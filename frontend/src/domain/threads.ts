/** Metric threads and property classes: stress area and proof load. Knows geometry and strength; nothing of friction or torque. */
import { answer, note, source } from "./answer";
import type { Note } from "./answer";
import { asWritten, chosen } from "./bounds";
import { Refused } from "./refused";
import { numberText } from "./rounding";

export const PITCHES: Readonly<Record<number, readonly number[]>> = {
  3: [0.5], 4: [0.7], 5: [0.8], 6: [1], 7: [1], 8: [1.25, 1], 10: [1.5, 1.25, 1], 12: [1.75, 1.5, 1.25], 14: [2, 1.5],
  16: [2, 1.5], 18: [2.5, 2, 1.5], 20: [2.5, 2, 1.5], 22: [2.5, 2, 1.5], 24: [3, 2],
};
export const GEOMETRY_SOURCE = source("restated", "ISO 898-1 stress area, ISO 724 diameters");
export const GRADE_SOURCE = source("restated", "EN ISO 898-1:2013, table 3");

/** A metric thread, mm and mm², and whether ISO 262 lists the pair. */
export type Thread = {
  diameter_mm: number; pitch_mm: number; usual: boolean; pitch_diameter_mm: number; root_diameter_mm: number; stress_area_mm2: number;
};
/** A property class, MPa: proof stress, lower limit of yield, tensile strength. */
export type Grade = { proof_mpa: number; yield_mpa: number; tensile_mpa: number };

const grade = (proof_mpa: number, yield_mpa: number, tensile_mpa: number): Grade => ({ proof_mpa, yield_mpa, tensile_mpa });
const GRADES: Readonly<Record<string, Grade>> = {
  "4.6": grade(225, 240, 400), "5.8": grade(380, 420, 520), "8.8": grade(580, 640, 800), "10.9": grade(830, 940, 1040),
  "12.9": grade(970, 1100, 1220), unknown: grade(225, 240, 400),
};
const GRADE_8_8_ABOVE_M16 = grade(600, 660, 830);

/**
 * The thread written as `M6x1`, `M8 × 1.25`, `M10*1,5`; diameters M2 to M36.
 * Throws `thread_unreadable`, `pitch_missing` (a socket size or a bare M8 does not say the pitch), `pitch_impossible`.
 */
export function threadOf(text: unknown): Thread {
  const written = asWritten(text);
  const plain = written.replace(/[ \u00a0]/g, "").replaceAll(",", ".").toUpperCase();
  const match = /^M([0-9]{1,2}(?:\.[0-9])?)(?:[X×*-]([0-9](?:\.[0-9]{1,2})?))?$/.exec(plain);
  const diameter = Number(match?.[1]);
  if (!match || !(diameter >= 2 && diameter <= 36)) throw new Refused("thread_unreadable", { written });
  const pitches = PITCHES[diameter] ?? [];
  if (match[2] === undefined) {
    const candidates = pitches.map((pitch) => `M${match[1]}x${numberText(pitch)}`).join(" or ") || `M${match[1]}x…`;
    throw new Refused("pitch_missing", { written, candidates });
  }
  const pitch = Number(match[2]);
  if (!(pitch >= 0.2 && pitch <= diameter / 3)) throw new Refused("pitch_impossible", { written });
  return geometry(diameter, pitch, pitches.includes(pitch));
}

function geometry(diameter_mm: number, pitch_mm: number, usual: boolean): Thread {
  const pitch_diameter_mm = diameter_mm - ((0.75 * Math.sqrt(3)) / 2) * pitch_mm;
  const root_diameter_mm = diameter_mm - (17 / 24) * Math.sqrt(3) * pitch_mm;
  const stress_area_mm2 = (Math.PI / 4) * ((pitch_diameter_mm + root_diameter_mm) / 2) ** 2;
  return { diameter_mm, pitch_mm, usual, pitch_diameter_mm, root_diameter_mm, stress_area_mm2 };
}

/** Strengths of a property class for a thread; `unknown` counts as 4.6. Throws `choice_unknown`. */
export function gradeOf(name: unknown, thread: Thread): Grade {
  const found = chosen(GRADES, name, "property class");
  return name === "8.8" && thread.diameter_mm > 16 ? GRADE_8_8_ABOVE_M16 : found;
}

/** What to say of an unusual pitch and of an unmarked bolt. */
export function threadNotes(thread: Thread, name = ""): Note[] {
  return [...(thread.usual ? [] : [note("pitch_unusual")]), ...(name === "unknown" ? [note("grade_unknown")] : [])];
}

/** Stress area of a metric thread: As = π/4 · ((d2 + d3)/2)². */
export function stressArea({ thread }: { thread: string }) {
  const size = threadOf(thread);
  const { diameter_mm, pitch_mm, stress_area_mm2, pitch_diameter_mm, root_diameter_mm } = size;
  const values = { diameter_mm, pitch_mm, stress_area_mm2, pitch_diameter_mm, root_diameter_mm };
  return answer(values, note("stress_area", values), [GEOMETRY_SOURCE], [note("thread_worn")], threadNotes(size));
}

/** Proof load of a bolt, what it bears without staying longer: F = As · Sp. */
export function proofLoad(input: { thread: string; grade: string }) {
  const size = threadOf(input.thread);
  const strength = gradeOf(input.grade, size);
  const stress_area_mm2 = size.stress_area_mm2;
  const values = {
    proof_n: stress_area_mm2 * strength.proof_mpa, proof_mpa: strength.proof_mpa, yield_mpa: strength.yield_mpa,
    break_n: stress_area_mm2 * strength.tensile_mpa, stress_area_mm2,
  };
  const until = [note("bolt_not_marked_so"), note("thread_worn")];
  return answer(values, note("proof_load", values), [GRADE_SOURCE, GEOMETRY_SOURCE], until, threadNotes(size, input.grade));
}
