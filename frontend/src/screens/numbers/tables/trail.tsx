/** Tyres and trail-side: pressure elsewhere, torque without a torque wrench. */
import { FlatsTurned } from "../../../drawings/flats";
import { LeverDrawing } from "../../../drawings/lever-drawing";
import { ScaleMarks } from "../../../drawings/scale-marks";
import { numberText, steppedText } from "../../../domain/rounding";
import { amount } from "../amounts";
import type { Calculator } from "../calculator";
import type { Input } from "../fields";
import { by } from "./bench";
import { amountIn, angle, length, mass, pressure, temperature, torque } from "./shared";

const altitude = (key: string, label: string) => amountIn(key, label, "length", "m", { start: "0 m" });
const PLACES = [temperature("from_c", "Temperature here"), temperature("to_c", "Temperature there"), altitude("from_altitude_m", "Altitude here"), altitude("to_altitude_m", "Altitude there")];
const BAR = [angle("below_level_deg", "Bar below level", { start: "0", hint: "minus when above" }), mass("bar_mass_kg", "Weight of the bar itself", { optional: true }), length("bar_centre_mm", "Its balance point from the bolt", { optional: true })];
const LEVER = length("lever_mm", "Bolt to where the weight hangs");
const WANTED = torque("target_nm", "Torque wanted", { hint: "as the maker prints it" });
const FALL = { signal: "CAUTION", hazard: "A hung weight drops when the bar slips.", consequence: "It crushes a foot or a hand.", avoidance: "Keep feet and hands from under it; hang it low." } as const;

const tyres = (here: number, there: number) => (
  <ScaleMarks points={[{ at: here, name: "here", text: amount(here, "kPa"), main: true }, { at: there, name: "there", text: amount(there, "kPa") }]} />
);

const flatsDrawn = ({ whole_flats, rest_deg }: { whole_flats: number; rest_deg: number }, { angle_deg, fastener }: Input) => (
  <FlatsTurned angleDeg={angle_deg} sides={fastener === "square" ? 4 : 6} text={`${numberText(whole_flats)} ${whole_flats === 1 ? "flat" : "flats"}${rest_deg > 0 ? ` and ${numberText(rest_deg)}°` : ""}`} />
);

export const TYRES: Calculator[] = [
  {
    name: "tyre-set-here", title: "Set here for there", line: "What to set now for a pressure at the trail.", group: "tyres",
    fields: [pressure("wanted_kpa", "Wanted there", { hint: "as 0,9 bar or 13 psi" }), ...PLACES], work: by("tyre_set_here"),
    said: (values, input) => ({ hero: { about: "Set here", amount: values.set_kpa, unit: "kPa" }, drawing: tyres(values.set_kpa, input["wanted_kpa"]) }),
  },
  {
    name: "tyre-reads", title: "What it will read there", line: "Colder, warmer or higher up, nothing let out.", group: "tyres",
    fields: [pressure("pressure_kpa", "Set here", { hint: "as 0,9 bar or 13 psi" }), ...PLACES], work: by("tyre_reads"),
    said: (values, input) => ({ hero: { about: "Reads there", amount: values.reads_kpa, unit: "kPa" }, lines: [`Changes by ${values.change_kpa < 0 ? "−" : "+"}${amount(Math.abs(values.change_kpa), "kPa")}.`], drawing: tyres(input["pressure_kpa"], values.reads_kpa) }),
  },
];

export const TRAIL: Calculator[] = [
  {
    name: "weight-for-torque", title: "Weight to hang on a lever", line: "For a torque, with no torque wrench.", group: "trail", caution: FALL,
    fields: [WANTED, LEVER, ...BAR], work: by("weight_for_torque"),
    said: (values, input) => ({
      hero: { about: "Hang on it", amount: values.mass_kg, unit: "kg" }, lines: [`That is about ${steppedText(values.water_l, 0.1)} l of water.`],
      drawing: <LeverDrawing leverMm={input["lever_mm"]} hung={amount(values.mass_kg, "kg")} belowLevelDeg={input["below_level_deg"] ?? 0} />,
    }),
  },
  {
    name: "lever-for-torque", title: "Where to hang a weight", line: "With a weight you know.", group: "trail", caution: FALL,
    fields: [WANTED, mass("mass_kg", "Weight"), ...BAR], work: by("lever_for_torque"),
    said: (values, input) => ({
      hero: { about: "Hang it from the bolt at", amount: values.lever_mm, unit: "mm" },
      drawing: <LeverDrawing leverMm={Number(steppedText(values.lever_mm, 1))} hung={amount(input["mass_kg"], "kg")} belowLevelDeg={input["below_level_deg"] ?? 0} />,
    }),
  },
  {
    name: "torque-by-weight", title: "Torque of a hung weight", line: "What a weight on a bar gives, the bar included.", group: "trail", caution: FALL,
    fields: [mass("mass_kg", "Weight"), LEVER, ...BAR], work: by("torque_by_weight"),
    said: (values, input) => ({
      hero: { about: "Torque", amount: values.torque_nm, unit: "N·m" }, lines: values.bar_nm > 0 ? [`Of it the bar alone: ${amount(values.bar_nm, "N·m")}.`] : [],
      drawing: <LeverDrawing leverMm={input["lever_mm"]} hung={amount(input["mass_kg"], "kg")} belowLevelDeg={input["below_level_deg"] ?? 0} />,
    }),
  },
  {
    name: "scale-for-torque", title: "Arm and hand scale", line: "What the scale must read at the end of an arm.", group: "trail",
    fields: [WANTED, length("arm_mm", "Bolt to the hook"), angle("pull_angle_deg", "Angle between arm and pull", { start: "90" })], work: by("scale_for_torque"),
    said: (values, input) => ({
      hero: { about: "Pull until it reads", amount: values.scale_kg, unit: "kg" }, lines: [`That is ${amount(values.force_n, "N")}.`],
      drawing: <LeverDrawing leverMm={input["arm_mm"]} hung={amount(values.scale_kg, "kg")} pull />,
    }),
  },
  {
    name: "flats-for-angle", title: "Angle in flats", line: "Only where the source prints an angle.", group: "trail",
    fields: [angle("angle_deg", "Angle as published", { optional: true }), { kind: "choice", key: "fastener", label: "Head", options: [["hexagon", "Six flats"], ["square", "Four flats"]] }],
    work: (input) => by("flats_for_angle")({ angle_deg: null, ...input }),
    said: (values, input) => ({ drawing: flatsDrawn(values, input), hero: { about: "Turn on from snug", text: numberText(values.whole_flats), unit: values.whole_flats === 1 ? "flat" : "flats" }, lines: values.rest_deg > 0 ? [`And ${numberText(values.rest_deg)}° more.`] : [] }),
  },
];
