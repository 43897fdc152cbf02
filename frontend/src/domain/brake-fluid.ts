/**
 * Whether a brake fluid may go into a system: families never mix, grades compare by boiling point.
 * Knows families and least boiling points; a system's own marking on its cap always decides.
 */
import { answer, note, source } from "./answer";
import { chosen } from "./bounds";
import { Refused } from "./refused";

type Fluid = { family: string; grade: number; dry_c: number | null; wet_c: number | null };

const FLUIDS: Readonly<Record<string, Fluid>> = {
  "DOT 3": { family: "glycol", grade: 3, dry_c: 205, wet_c: 140 },
  "DOT 4": { family: "glycol", grade: 4, dry_c: 230, wet_c: 155 },
  "DOT 5.1": { family: "glycol", grade: 5, dry_c: 260, wet_c: 180 },
  "DOT 5": { family: "silicone", grade: 5, dry_c: 260, wet_c: 180 },
  "mineral oil": { family: "mineral", grade: 0, dry_c: null, wet_c: null },
};
const SOURCES = [
  source("restated", "49 CFR 571.116 (FMVSS 116) S5.1.1, S5.1.2"),
  source("published", "NHTSA interpretation 12089.MLS, 24 July 1996: DOT 4 wet 155 °C"),
];

/** Whether `offered` may go where `asked` is marked. Throws `brake_fluid_other_family`, `choice_unknown`. */
export function brakeFluid({ asked, offered }: { asked: string; offered: string }) {
  const wants = chosen(FLUIDS, asked, "brake fluid");
  const has = chosen(FLUIDS, offered, "brake fluid");
  if (wants.family !== has.family) throw new Refused("brake_fluid_other_family", { asked, offered, family: wants.family, other: has.family });
  const verdict = wants.grade === has.grade ? "same" : has.grade < wants.grade ? "lower" : "higher";
  const { family, dry_c, wet_c } = has;
  const values = { verdict, family, dry_c, wet_c, asked_dry_c: wants.dry_c, asked_wet_c: wants.wet_c };
  const notes = [...(verdict === "lower" ? [note("brake_fluid_lower_grade")] : []), note("brakes_are_a_safety_system")];
  const until = [note("bottle_opened_before"), note("cap_marking_decides")];
  return answer(values, note("brake_fluid", { ...values, asked, offered }), SOURCES, until, notes);
}
