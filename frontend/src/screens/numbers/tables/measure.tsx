/** Measure and decide: shims, sag, springs, fork oil, wear, ring gap, compression, battery. */
import { LimitsBar } from "../../../drawings/limits-bar";
import { ForkLeg } from "../../../drawings/fork-leg";
import { RingGap } from "../../../drawings/ring-gap";
import { SagDrawing } from "../../../drawings/sag-drawing";
import { ScaleMarks } from "../../../drawings/scale-marks";
import { ShimStack } from "../../../drawings/shim-stack";
import { numberText, steppedText } from "../../../domain/rounding";
import { VERDICTS } from "../../../text/numbers-words";
import { amount } from "../amounts";
import type { Calculator, Said } from "../calculator";
import type { Field, Input } from "../fields";
import { by } from "./bench";
import { amountIn, length, percent, pressure } from "./shared";

const SHIM_LIST = { of: "length", unit: "mm", optional: true, hint: "with ; in between, as 2.60; 2.65" } as const;
const STEP = length("step_mm", "Shims on sale in steps of", { start: "0.05 mm" });
const LIMITS = [length("low_mm", "Lower limit"), length("high_mm", "Upper limit")];
const mm3 = (value: number): string => `${steppedText(value, 0.001)} mm`;
const verdictLine = (verdict: string): string => VERDICTS[verdict as keyof typeof VERDICTS] ?? verdict;
const SAG_WORDS: Record<string, string> = { within: "within its limits", too_little: "too little", too_much: "too much", unknown: "no limit given" };
const BATTERY: Record<string, string> = { full: "Full", three_quarters: "¾ full", half: "Half full", quarter: "¼ full", flat: "Flat", unknown: "Not known" };
const SPRING = { signal: "WARNING", hazard: "A loaded spring flies out.", consequence: "It can take an eye or a finger.", avoidance: "Unload it fully and use the maker's tool; else have it done." } as const;

type Swap = { name: string; from: string; shim_mm: number; gives_mm: number };
const swapLine = ({ name, from, shim_mm, gives_mm }: Swap): string => {
  const source = from === "keep" ? "keeps" : from === "buy" ? "needs a new one of" : from === "spare" ? "takes your spare of" : `takes that of ${from},`;
  return `${name} ${source} ${mm3(shim_mm)}: gap ${mm3(gives_mm)}.`;
};

const READINGS: Field[] = [
  { kind: "list", key: "readings", label: "Readings", of: "length", unit: "mm", hint: "at several places, with ; in between" }, length("at_least", "At least", { optional: true, hint: "the maker's limit" }),
  length("at_most", "At most", { optional: true, hint: "the maker's limit" }), length("most_spread", "Largest spread", { optional: true }),
];

/** Within its limits nothing need change, whatever shims there are. */
const shimStays = ({ ideal_mm }: { ideal_mm: number }, { clearance_mm, shim_mm }: Input): Said => ({
  hero: { about: "The clearance is within its limits", words: "Leave it" }, lines: [`In the very middle it would be with a shim of ${mm3(ideal_mm)}.`],
  drawing: <ShimStack valves={[{ name: "as it is", gapMm: clearance_mm, shimMm: shim_mm, within: true }]} />,
});

/** What follows from a verdict: both outcomes are said, the one that holds. */
const COMPRESSION_OUTCOME: Record<string, string> = { within: "The engine may run on.", outside: "Find the cause first: valves, rings or gasket (common practice, no source)." };
const SAG_OUTCOME: Record<string, string> = { too_much: "Too much static sag: more spring preload takes some away (common practice, no source).", too_little: "Too little static sag: less spring preload gives more (common practice, no source)." };
const LIMIT_OUTCOME: Record<string, string> = { within: "It may be used on.", outside: "Renew it, or adjust it where the maker says how." };

export const MEASURE: Calculator[] = [
  {
    name: "shim-to-fit", title: "Valve shim", line: "The shim that brings one clearance into its limits.", group: "measure",
    fields: [length("clearance_mm", "Clearance measured", { hint: "engine cold" }), length("shim_mm", "Shim fitted"), ...LIMITS, { kind: "list", key: "have_mm", label: "Shims at hand", ...SHIM_LIST }, STEP],
    work: by("shim_to_fit"),
    said: (values, input) => {
      if (values.within) return shimStays(values, input);
      const [shim, gives] = values.use_mm === null ? [values.buy_mm, values.buy_gives_mm] : [values.use_mm, values.use_gives_mm];
      return {
        hero: { about: values.use_mm === null ? "Shim to buy" : "Fit the shim you have", text: steppedText(shim, 0.001).replace(/0$/, ""), unit: "mm" },
        lines: [`Clearance then: ${mm3(gives)}. Ideal would be a shim of ${mm3(values.ideal_mm)}.`, values.use_mm === null || values.buy_mm === null ? "" : `Nearest on sale: ${mm3(values.buy_mm)}.`].filter(Boolean),
        drawing: <ShimStack valves={[{ name: "with that shim", gapMm: gives, shimMm: shim, within: true }]} />,
      };
    },
  },
  {
    name: "shim-swap", title: "Swap shims among valves", line: "Buys fewest, then moves fewest.", group: "measure",
    fields: [
      { kind: "rows", key: "valves", label: "Valves", row: "valve", least: 1, most: 12, columns: [{ kind: "text", key: "name", label: "Its name", hint: "as intake left" }, length("clearance_mm", "Clearance measured"), length("shim_mm", "Shim fitted")] },
      length("low_mm", "Lower limit"), length("high_mm", "Upper limit"), { kind: "list", key: "spare_mm", label: "Spare shims", ...SHIM_LIST }, STEP,
    ],
    work: ({ low_mm, high_mm, valves, ...input }: Input) => by("shim_swap")({ ...input, valves: valves.map((valve: Input) => ({ ...valve, low_mm, high_mm })) }),
    said: (values) => ({
      hero: { about: "Shims to buy", text: numberText(values.buy_count), unit: "" }, lines: [...(values.rows as Swap[]).map(swapLine), `Shims that change place: ${values.move_count}.`],
      drawing: <ShimStack valves={(values.rows as Swap[]).map(({ name, shim_mm, gives_mm }) => ({ name, gapMm: gives_mm, shimMm: shim_mm, within: true }))} />,
    }),
  },
  {
    name: "sag", title: "Suspension sag", line: "Static and with the rider.", group: "measure",
    fields: [
      length("free_mm", "Wheel hanging"), length("own_weight_mm", "Machine alone"), length("rider_mm", "Rider on", { optional: true, hint: "always between the same two marks" }), length("travel_mm", "Wheel travel", { optional: true }),
      length("static_low_mm", "Static sag, at least", { optional: true, hint: "the machine's own data" }), length("static_high_mm", "Static sag, at most", { optional: true }),
      length("rider_low_mm", "With the rider, at least", { optional: true }), length("rider_high_mm", "With the rider, at most", { optional: true }),
    ],
    work: by("sag"),
    said: (values, input) => ({
      hero: values.rider_sag_mm === null ? { about: "Static sag", amount: values.static_mm, unit: "mm" } : { about: "Sag with the rider", amount: values.rider_sag_mm, unit: "mm" },
      lines: [
        `Static: ${amount(values.static_mm, "mm")}${values.static_percent === null ? "" : `, ${steppedText(values.static_percent, 1)} % of the travel`}: ${SAG_WORDS[values.static_verdict]}.`,
        ...(values.rider_sag_mm === null ? [] : [`With the rider: ${amount(values.rider_sag_mm, "mm")}${values.rider_percent === null ? "" : `, ${steppedText(values.rider_percent, 1)} % of the travel`}: ${SAG_WORDS[values.rider_verdict]}.`]),
        ...(SAG_OUTCOME[values.static_verdict] ? [SAG_OUTCOME[values.static_verdict]!] : []),
      ],
      drawing: <SagDrawing freeMm={input["free_mm"]} ownMm={input["own_weight_mm"]} riderMm={input["rider_mm"] ?? null} />,
    }),
  },
  {
    name: "spring-rate", title: "Spring rate", line: "The rate that gives the wanted sag.", group: "measure", caution: SPRING,
    fields: [
      { kind: "number", key: "rate_n_mm", label: "Rate now", unit: "N/mm" }, length("static_mm", "Static sag now"), length("rider_sag_mm", "Sag with the rider now"), length("static_wanted_mm", "Static sag wanted"),
      length("rider_wanted_mm", "Sag with the rider wanted"), { kind: "number", key: "step_n_mm", label: "Springs on sale in steps of", unit: "N/mm", start: "2" },
    ],
    work: by("spring_rate"),
    said: (values, input) => ({
      hero: { about: "Nearest spring on sale", amount: values.buy_n_mm, unit: "N/mm" }, lines: [`Needed: ${steppedText(values.needed_n_mm, 0.1)} N/mm; ${numberText(values.steps)} steps from the present one.`],
      drawing: <ScaleMarks points={[{ at: input["rate_n_mm"], name: "now", text: `${numberText(input["rate_n_mm"])} N/mm` }, { at: values.needed_n_mm, name: "needed", text: `${steppedText(values.needed_n_mm, 0.1)} N/mm`, main: true }]} />,
    }),
  },
  {
    name: "fork-oil-by-air-gap", title: "Fork oil by air gap", line: "Oil to add or take for a wanted gap.", group: "measure",
    fields: [length("gap_mm", "Air gap now"), length("wanted_gap_mm", "Air gap wanted"), length("inner_diameter_mm", "Inner diameter of the tube"), length("rod_diameter_mm", "Diameter of the rod", { optional: true })],
    work: by("fork_oil_by_air_gap"),
    said: (values, input) => ({
      hero: { about: values.add_ml >= 0 ? "Oil to add to the leg" : "Oil to take from the leg", amount: Math.abs(values.add_ml), unit: "ml" },
      drawing: <ForkLeg gapMm={input["gap_mm"]} wantedMm={input["wanted_gap_mm"]} amount={amount(Math.abs(values.add_ml), "ml")} add={values.add_ml >= 0} />,
    }),
  },
  {
    name: "chain-wear", title: "Chain wear", line: "Stretch over a number of pitches.", group: "measure",
    fields: [
      length("measured_mm", "Length measured", { hint: "pin centre to pin centre, pulled tight" }), { kind: "number", key: "pitches", label: "Pitches in between" },
      { kind: "choice", key: "pitch_mm", label: "Chain size", start: "15.875", options: [["15.875", "520, 525, 530: 15.875 mm"], ["12.7", "415, 420, 428: 12.7 mm"], ["9.525", "⅜ inch: 9.525 mm"], ["19.05", "630: 19.05 mm"]] },
      percent("limit_percent", "The maker's limit", { optional: true }), { kind: "number", key: "sprocket_teeth", label: "Teeth of the larger sprocket", optional: true }, { kind: "yes", key: "fixed_centres", label: "Shafts that cannot be moved apart" },
    ],
    work: (input) => by("chain_wear")({ ...input, pitch_mm: Number(input["pitch_mm"]) }),
    said: (values, input) => ({
      hero: { about: `Stretched: ${verdictLine(values.verdict).toLowerCase()} the limit`, text: steppedText(values.stretch_percent, 0.1), unit: "%" },
      lines: [...(values.verdict === "within" ? [LIMIT_OUTCOME["within"]!] : []), `Limit ${steppedText(values.limit_percent, 0.1)} %: ${amount(values.at_limit_mm, "mm")} over these pitches.`],
      drawing: <LimitsBar low={null} high={Number(steppedText(values.at_limit_mm, 0.1))} reading={Number(steppedText(input["measured_mm"], 0.1))} unit="mm" />,
    }),
  },
  {
    name: "limit-check", title: "Disc, pad, ring gap: within the limit?", line: "Any length against a least or a most.", group: "measure",
    fields: READINGS, work: by("limit_check"),
    said: (values, input) => ({
      hero: { about: "All readings", words: verdictLine(values.verdict) },
      lines: [...(LIMIT_OUTCOME[values.verdict] ? [LIMIT_OUTCOME[values.verdict]!] : []), `From ${amount(values.least, "mm")} to ${amount(values.most, "mm")}, spread ${amount(values.spread, "mm")}.`, ...(values.left === null ? [] : [values.left >= 0 ? `Left before the nearest limit: ${amount(values.left, "mm")}.` : `Past the limit by ${amount(-values.left, "mm")}.`])],
      working: `${numberText(values.least)} to ${numberText(values.most)} mm against ${limitsText(input)}`,
      drawing: values.left === null ? null : <LimitsBar low={input["at_least"] ?? null} high={input["at_most"] ?? null} reading={worstOf(values, input)} unit="mm" />,
    }),
  },
  {
    name: "ring-gap-from-bore", title: "Ring gap in a worn bore", line: "The gap carried to where the ring runs.", group: "measure",
    fields: [length("gap_mm", "Gap measured"), length("measured_bore_mm", "Bore where measured"), length("ring_bore_mm", "Bore where the ring runs")],
    work: by("ring_gap_from_bore"), said: (values, input) => ({
      hero: { about: "Gap where the ring runs", amount: values.gap_mm, unit: "mm" },
      drawing: <RingGap places={[{ name: "measured here", bore: `bore ${mm3(input["measured_bore_mm"])}`, gap: mm3(input["gap_mm"]), mm: input["gap_mm"] }, { name: "runs here", bore: `bore ${mm3(input["ring_bore_mm"])}`, gap: mm3(values.gap_mm), mm: values.gap_mm }]} />,
    }),
  },
  {
    name: "compression-compare", title: "Compression", line: "Cylinders, or one cylinder over time, compared.", group: "measure",
    fields: [{ kind: "list", key: "readings_kpa", label: "Readings", of: "pressure", unit: "kPa", hint: "one after the other, with ; in between" }, percent("least_share_percent", "Lowest to highest, at least", { optional: true, hint: "the maker's limit" }), pressure("least_kpa", "Each at least", { optional: true })],
    work: by("compression_compare"),
    said: (values) => ({
      hero: { about: `Lowest to highest: ${verdictLine(values.verdict).toLowerCase()}`, amount: values.share_percent, unit: "%" }, lines: [...(COMPRESSION_OUTCOME[values.verdict] ? [COMPRESSION_OUTCOME[values.verdict]!] : []), `Lowest ${amount(values.lowest_kpa, "kPa")}, highest ${amount(values.highest_kpa, "kPa")}, mean ${amount(values.mean_kpa, "kPa")}.`],
      drawing: <ScaleMarks points={[{ at: values.lowest_kpa, name: "lowest", text: amount(values.lowest_kpa, "kPa"), main: true }, { at: values.highest_kpa, name: "highest", text: amount(values.highest_kpa, "kPa") }]} />,
    }),
  },
  {
    name: "battery-rest", title: "Battery at rest", line: "What a rest voltage tells.", group: "measure",
    fields: [
      amountIn("voltage_v", "Voltage at the poles", "voltage", "V", {}), { kind: "number", key: "rested_h", label: "At rest for", unit: "h", hint: "no charge, no load" },
      { kind: "choice", key: "battery", label: "Battery", options: [["lead_acid_12v", "12 V lead-acid"], ["lithium_12v", "12 V lithium"]] },
    ],
    work: by("battery_rest"),
    said: (values) => ({
      hero: { about: "The battery is about", words: BATTERY[values.state] ?? values.state }, working: `${steppedText(values.voltage_v, 0.01)} V against 12.6 full, 12.4 three quarters, 12.2 half, 12.0 a quarter`,
      drawing: <ScaleMarks points={[{ at: 12, name: "¼", text: "12.0 V" }, { at: 12.2, name: "½", text: "12.2 V" }, { at: 12.6, name: "full", text: "12.6 V" }, { at: values.voltage_v, name: "read", text: `${steppedText(values.voltage_v, 0.01)} V`, main: true }]} />,
    }),
  },
];

/** Of the lowest and the highest reading the one nearer to, or further past, its limit. */
function worstOf({ least, most }: { least: number; most: number }, input: Input): number {
  const [low, high] = [input["at_least"], input["at_most"]];
  if (low === undefined) return most;
  return high === undefined || least - low <= high - most ? least : most;
}

function limitsText(input: Input): string {
  const parts = [["at_least", "at least"], ["at_most", "at most"], ["most_spread", "a spread of at most"]].flatMap(([key = "", text]) => (input[key] === undefined ? [] : [`${text} ${numberText(input[key])} mm`]));
  return parts.length === 0 ? "no limit" : parts.join(", ");
}
