/** Fastener sense: what a bolt bears, what a torque does to it, whether a typed torque can belong to it. All of it checks, no specification. */
import { amount, span } from "../amounts";
import type { Calculator } from "../calculator";
import type { Input } from "../fields";
import { SocketHead } from "../../../drawings/flats";
import { ScaleMarks } from "../../../drawings/scale-marks";
import { numberText, shown, steppedText } from "../../../domain/rounding";
import type { Answer } from "../../../domain/answer";
import { Refused } from "../../../domain/refused";
import { parseQuantity } from "../../../domain/units";
import { by } from "./bench";
import { GRADE, LUBRICATION, THREAD, length, percent, torque } from "./shared";

const FITS: Record<string, string> = { plausible: "Plausible", high: "High", impossible: "Too much", low: "Low", very_low: "Very low" };
type Candidate = { diameter_mm: number; heads: string[]; pitches_mm: number[] };
const kn = (n: number): string => `${steppedText(n / 1000, 0.1)} kN`;

/** The digits and the unit as they stand in the source: a slip of either is what is looked for. */
function asPrinted({ typed, ...input }: Input): Answer {
  const { written_value, written_unit } = parseQuantity(String(typed), "torque");
  if (written_value === null) throw new Refused("calc_single_number", { what: "torque", written: String(typed) });
  return by("plausible_torque")({ ...input, value: written_value, unit: written_unit });
}

/** The preload meant beside what the bolt bears. */
function longDrawn({ preload_n }: { preload_n: number }, { thread, grade }: Input) {
  const { proof_n } = by("proof_load")({ thread, grade }).values as { proof_n: number };
  return <ScaleMarks points={[{ at: 0, name: "", text: "0" }, { at: preload_n, name: "preload", text: kn(preload_n), main: true }, { at: proof_n, name: "proof load", text: kn(proof_n) }]} />;
}

export const FASTENERS: Calculator[] = [
  {
    name: "plausible-torque", title: "Can this torque be right?", line: "A typed figure against what the bolt bears; wrong units found.", group: "fasteners", check: true,
    fields: [{ kind: "text", key: "typed", label: "Torque as printed", hint: "with the unit of the source, as 10 lbf·ft" }, THREAD, { ...GRADE, start: "8.8" } as typeof GRADE],
    work: asPrinted,
    said: (values) => ({
      hero: { about: "For this bolt the torque is", words: FITS[values.verdict] ?? values.verdict },
      lines: [
        `Typed: ${amount(values.torque_nm, "N·m")}. Usual: ${span(values.usual_low_nm, values.usual_high_nm, "N·m")}.`,
        ...(values.candidates as { value: number; unit: string; torque_nm: number }[]).map(({ value, unit, torque_nm }) => `${numberText(value)} ${unit}${unit === "N·m" ? "" : `, which is ${shown(torque_nm, "N·m")} N·m,`} would be plausible.`),
      ],
      drawing: <ScaleMarks band={[values.usual_low_nm, values.usual_high_nm]} points={[{ at: values.torque_nm, name: "typed", text: amount(values.torque_nm, "N·m"), main: true }, { at: values.ceiling_nm, name: "ceiling", text: amount(values.ceiling_nm, "N·m") }]} />,
    }),
  },
  {
    name: "threads-for-socket", title: "Which thread has this socket?", line: "A size across flats can belong to several threads.", group: "fasteners",
    fields: [length("socket_mm", "Socket size")], work: by("threads_for_socket"),
    said: (values, input) => ({
      hero: { about: "Threads with such a head", words: (values.candidates as Candidate[]).map(({ diameter_mm }) => `M${numberText(diameter_mm)}`).join(", ") },
      lines: (values.candidates as Candidate[]).map(({ diameter_mm, heads, pitches_mm }) => `M${numberText(diameter_mm)}, pitch ${pitches_mm.map(numberText).join(" or ")} mm: ${heads.join("; ")}.`),
      drawing: <SocketHead socketMm={input["socket_mm"]} diametersMm={(values.candidates as Candidate[]).map(({ diameter_mm }) => diameter_mm)} />,
    }),
  },
  {
    name: "preload-band", title: "What a torque does to a bolt", line: "Preload as a band, by lubrication.", group: "fasteners", check: true,
    fields: [torque("torque_nm", "Torque"), THREAD, GRADE, LUBRICATION],
    work: by("preload_band"),
    said: (values) => ({
      hero: { about: "Preload, from roughest to slipperiest", text: `${kn(values.preload_low_n).replace(" kN", "")} – ${kn(values.preload_high_n).replace(" kN", "")}`, unit: "kN" },
      lines: [`${steppedText(values.share_low_percent, 1)} to ${steppedText(values.share_high_percent, 1)} % of proof load, which is ${kn(values.proof_n)}.`],
      drawing: <ScaleMarks band={[values.preload_low_n, values.preload_high_n]} points={[{ at: values.proof_n, name: "proof load", text: kn(values.proof_n), main: true }, { at: 0, name: "", text: "0" }]} />,
    }),
  },
  {
    name: "check-torque", title: "A torque to compare with", line: "Only where nothing is printed, at 75 % of proof load.", group: "fasteners", check: true,
    fields: [THREAD, GRADE, LUBRICATION, { kind: "yes", key: "published", label: "A source prints a torque for this joint" }],
    work: by("check_torque"),
    said: (values) => ({
      hero: { about: "To compare with, not to tighten to", text: steppedText(values.torque_low_nm, 1) + " – " + steppedText(values.torque_high_nm, 1), unit: "N·m", other: span(values.torque_low_nm, values.torque_high_nm, "N·m") },
      drawing: <ScaleMarks band={[values.torque_low_nm, values.torque_high_nm]} points={[{ at: values.torque_low_nm, name: "roughest", text: amount(values.torque_low_nm, "N·m") }, { at: values.torque_high_nm, name: "slipperiest", text: amount(values.torque_high_nm, "N·m") }]} />,
    }),
  },
  {
    name: "proof-load", title: "What a bolt bears", line: "Proof load, breaking load and stress area.", group: "fasteners", check: true,
    fields: [THREAD, GRADE], work: by("proof_load"),
    said: (values) => ({
      hero: { about: "Bears without staying longer", text: steppedText(values.proof_n / 1000, 0.1), unit: "kN", other: amount(values.proof_n, "N") },
      lines: [`Breaks at ${kn(values.break_n)} or more. Stress area ${steppedText(values.stress_area_mm2, 0.1)} mm².`],
      drawing: <ScaleMarks points={[{ at: 0, name: "", text: "0" }, { at: values.proof_n, name: "proof load", text: kn(values.proof_n), main: true }, { at: values.break_n, name: "breaks", text: kn(values.break_n) }]} />,
    }),
  },
  {
    name: "thread-strip", title: "Will the thread strip?", line: "Bolt or hole first, and how much thread it needs.", group: "fasteners", check: true,
    fields: [
      THREAD, GRADE, length("engaged_mm", "Engaged length", { hint: "full threads only" }), { kind: "number", key: "shear_mpa", label: "Shear strength of the part", unit: "MPa", hint: "from its data sheet" },
      { kind: "choice", key: "parent", label: "The hole is in", options: [["aluminium", "Aluminium"], ["other", "Another metal"]] },
    ],
    work: by("thread_strip"),
    said: (values) => ({
      hero: { about: "Gives way first", words: values.first === "hole" ? "The thread" : "The bolt" },
      lines: [`Hole strips at ${kn(values.strip_n)}, bolt breaks at ${kn(values.break_n)}.`, `Equal at an engaged length of ${amount(values.needed_mm, "mm")}; here it is ${steppedText(values.engaged_diameters, 0.1)} diameters.`],
      drawing: <ScaleMarks points={[{ at: 0, name: "", text: "0" }, { at: values.strip_n, name: "hole strips", text: kn(values.strip_n), main: values.first === "hole" }, { at: values.break_n, name: "bolt breaks", text: kn(values.break_n), main: values.first === "bolt" }]} />,
    }),
  },
  {
    name: "preload-long", title: "Preload from friction", line: "The long form, with friction in thread and head.", group: "fasteners", check: true,
    fields: [
      THREAD, GRADE, { kind: "number", key: "friction_thread", label: "Friction in the thread", hint: "as 0.12" }, { kind: "number", key: "friction_head", label: "Friction under the head", hint: "as 0.12" },
      percent("share_percent", "Share of yield", { start: "75" }), length("head_mm", "Bearing diameter of the head", { optional: true }), length("hole_mm", "Diameter of the hole", { optional: true }),
    ],
    work: by("preload_long"),
    said: (values, input) => ({ hero: { about: "Preload", text: steppedText(values.preload_n / 1000, 0.1), unit: "kN" }, lines: [`Torque for it, to compare with: ${amount(values.torque_nm, "N·m")}; nut factor ${steppedText(values.k, 0.001)}.`], drawing: longDrawn(values, input) }),
  },
  {
    name: "preload-scatter", title: "How far preload scatters", line: "By way of tightening; the tool's error is apart from it.", group: "fasteners", check: true,
    fields: [
      { kind: "number", key: "preload_n", label: "Preload meant", unit: "N" },
      { kind: "choice", key: "method", label: "Tightened by", options: [["torque_wrench", "Torque wrench"], ["feel", "Feel"], ["weight_on_lever", "Weight on a lever"], ["turn_of_nut", "Angle"], ["stretch", "Measured stretch"]] },
      percent("tool_error_percent", "Error of the tool", { start: "4" }), { kind: "yes", key: "lubricated", label: "Thread oiled" },
    ],
    work: (input: Input) => by("preload_scatter")(input),
    said: (values) => ({
      hero: { about: "Preload scatters by", text: `±${numberText(values.scatter_percent)}`, unit: "%" }, lines: [`From ${kn(values.low_n)} to ${kn(values.high_n)}.`],
      drawing: <ScaleMarks band={[values.low_n, values.high_n]} points={[{ at: values.low_n, name: "lowest", text: kn(values.low_n) }, { at: values.high_n, name: "highest", text: kn(values.high_n) }]} />,
    }),
  },
];
