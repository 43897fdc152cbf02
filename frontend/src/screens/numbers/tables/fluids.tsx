/** Fluids: bottles and their marks, coolant, premix, brake fluid. */
import { BottleDrawing, type BottleDrawn } from "../../../drawings/bottle-drawing";
import { MixDrawing } from "../../../drawings/mix-drawing";
import { ShareColumns } from "../../../drawings/share-columns";
import { ScaleMarks } from "../../../drawings/scale-marks";
import { numberText, steppedText } from "../../../domain/rounding";
import { amount } from "../amounts";
import type { Calculator } from "../calculator";
import { by } from "./bench";
import { GLYCOL, amountIn, percent, temperature, volume } from "./shared";

type Pour = { opened: boolean; holds_ml: number; pour_ml: number; stop_at_ml: number };
const drawn = ({ holds_ml, pour_ml, stop_at_ml }: Pour): BottleDrawn => ({ holdsMl: holds_ml, pourMl: pour_ml, stopAtMl: stop_at_ml });
const ratio = (key: string, label: string) => amountIn(key, label, "ratio", ":1", { hint: "parts of fuel to one of oil, as 32 or 32:1" });
const HOT = { signal: "WARNING", hazard: "Hot coolant stands under pressure.", consequence: "It sprays out and scalds.", avoidance: "Open nothing until the engine is cold to the hand." } as const;
const BRAKES = { signal: "WARNING", hazard: "The wrong brake fluid ruins the seals.", consequence: "The brake can fail without warning.", avoidance: "Use what the cap of the reservoir says; when unsure, have it done." } as const;
const FUEL = { signal: "WARNING", hazard: "Fuel vapour catches fire from any spark.", consequence: "It burns people and buildings.", avoidance: "Mix outdoors, engine cold, no flame near." } as const;
const BRAKE_VERDICTS: Record<string, string> = { same: "Same grade", higher: "Higher grade", lower: "Lower grade" };
const BRAKE_FLUIDS = [["DOT 4", "DOT 4"], ["DOT 3", "DOT 3"], ["DOT 5.1", "DOT 5.1"], ["DOT 5", "DOT 5 (silicone)"], ["mineral oil", "Mineral oil"]] as const;

export const FLUIDS: Calculator[] = [
  {
    name: "bottle-mark", title: "Stop-at mark on a bottle", line: "Pour from a full bottle down to this mark.", group: "fluids",
    fields: [volume("bottle_ml", "Full bottle holds", { hint: "as 1 l or 1000 ml" }), volume("pour_ml", "To pour in")],
    work: by("bottle_mark"),
    said: (values) => ({ hero: { about: "Stop at the mark", amount: values.stop_at_ml, unit: "ml" }, drawing: <BottleDrawing bottles={[{ holdsMl: values.bottle_ml, pourMl: values.pour_ml, stopAtMl: values.stop_at_ml }]} /> }),
  },
  {
    name: "bottle-plan", title: "Which bottles to buy", line: "Least left over; opened bottles first.", group: "fluids",
    fields: [volume("need_ml", "Amount needed"), { kind: "list", key: "sizes_ml", label: "Sizes on sale", of: "volume", unit: "ml", hint: "with ; in between, as 500; 1000" }, { kind: "list", key: "opened_ml", label: "Left in opened bottles", of: "volume", unit: "ml", optional: true, hint: "with ; in between" }],
    work: by("bottle_plan"),
    said: (values) => ({
      hero: values.buy.length === 0 ? { about: "To buy", words: "Nothing" } : { about: "To buy", each: values.buy.map(({ count, size_ml }: { count: number; size_ml: number }) => ({ text: `${count} × ${numberText(size_ml)}`, unit: "ml" })) },
      lines: [...(values.pours as Pour[]).map((pour) => `${pour.opened ? "Opened" : "New"} bottle with ${amount(pour.holds_ml, "ml")}: pour ${amount(pour.pour_ml, "ml")}, stop at ${numberText(Math.round(pour.stop_at_ml))} ml.`), `Left over: ${amount(values.left_ml, "ml")}.`],
      drawing: <BottleDrawing bottles={(values.pours as Pour[]).map(drawn)} />,
    }),
  },
  {
    name: "coolant-mix", title: "Mix coolant", line: "Concentrate and water for an amount.", group: "fluids", caution: HOT,
    fields: [volume("total_ml", "Coolant wanted"), percent("percent", "Share of glycol", { start: "50" }), { kind: "choice", key: "product", label: "What you have", options: [["concentrate", "Concentrate"], ["premix", "Ready mix"]] }],
    work: by("coolant_mix"),
    said: (values) => ({
      hero: { about: "Concentrate", amount: values.concentrate_ml, unit: "ml" }, lines: [`Water: ${amount(values.water_ml, "ml")}.`],
      drawing: <MixDrawing layers={[{ name: "concentrate", amount: amount(values.concentrate_ml, "ml"), ml: values.concentrate_ml, fresh: false }, { name: "water", amount: amount(values.water_ml, "ml"), ml: values.water_ml, fresh: true }]} />,
    }),
  },
  {
    name: "coolant-freeze", title: "How cold may it get?", line: "Freeze protection of a mixture, by volume.", group: "fluids",
    fields: [GLYCOL, percent("percent", "Share of glycol by volume")], work: by("coolant_freeze"),
    said: (values) => ({
      hero: { about: "Rely on it down to", amount: values.rely_on_c, unit: "°C" }, lines: [`Freezes at about ${amount(values.freezes_c, "°C")}.`],
      drawing: <ScaleMarks points={[{ at: values.freezes_c, name: "freezes", text: amount(values.freezes_c, "°C") }, { at: values.rely_on_c, name: "rely on", text: amount(values.rely_on_c, "°C"), main: true }, { at: 0, name: "water freezes", text: "0 °C" }]} />,
    }),
  },
  {
    name: "coolant-for-cold", title: "Glycol for a winter", line: "The least share for a lowest temperature.", group: "fluids",
    fields: [GLYCOL, temperature("lowest_c", "Lowest temperature", { hint: "as -25" })], work: by("coolant_for_cold"),
    said: (values, input) => ({
      hero: { about: "At least this share by volume", amount: values.percent, unit: "%" }, lines: [`That freezes at about ${amount(values.freezes_c, "°C")}.`],
      drawing: <ScaleMarks points={[{ at: values.freezes_c, name: "freezes", text: amount(values.freezes_c, "°C") }, { at: input["lowest_c"], name: "lowest", text: amount(input["lowest_c"], "°C"), main: true }, { at: 0, name: "water freezes", text: "0 °C" }]} />,
    }),
  },
  {
    name: "drain-and-refill", title: "Drain and refill", line: "What the system holds after part is replaced.", group: "fluids", caution: HOT,
    fields: [volume("system_ml", "Whole system"), volume("drained_ml", "Comes out each time"), percent("old_percent", "Share before"), percent("new_percent", "Share of what goes in"), { kind: "number", key: "times", label: "How many times", start: "1" }],
    work: by("drain_and_refill"),
    said: (values, input) => ({
      hero: { about: "Share afterwards", amount: values.percent, unit: "%" }, lines: [`After each time: ${(values.each as number[]).map((share) => `${steppedText(share, 0.1)} %`).join(", ")}. Old fluid left: ${steppedText(values.old_left_percent, 0.1)} %.`],
      drawing: <ShareColumns columns={[input["old_percent"] as number, ...(values.each as number[])].map((share, n) => ({ name: n === 0 ? "before" : `after ${n}`, text: `${steppedText(share, 1)} %`, percent: share }))} />,
    }),
  },
  {
    name: "drain-for-target", title: "Bring coolant to a share", line: "How much to drain and replace.", group: "fluids", caution: HOT,
    fields: [volume("system_ml", "Whole system"), percent("now_percent", "Share now"), percent("target_percent", "Share wanted"), percent("refill_percent", "Share of what goes in", { start: "100" })],
    work: by("drain_for_target"),
    said: (values, input) => ({
      hero: { about: "Drain and replace", amount: values.drain_ml, unit: "ml" },
      drawing: <MixDrawing layers={[{ name: "stays in", amount: amount(input["system_ml"] - values.drain_ml, "ml"), ml: input["system_ml"] - values.drain_ml, fresh: false }, { name: "goes in", amount: amount(values.refill_ml, "ml"), ml: values.refill_ml, fresh: true }]} />,
    }),
  },
  {
    name: "expansion-room", title: "Room for hot coolant", line: "How much a filling grows when it warms up.", group: "fluids",
    fields: [volume("system_ml", "Whole system"), {
      kind: "choice", key: "fluid", label: "Filled with", start: "ethylene_50",
      options: [["ethylene_50", "50 % ethylene glycol"], ["ethylene_30", "30 % ethylene glycol"], ["ethylene_40", "40 % ethylene glycol"], ["ethylene_60", "60 % ethylene glycol"], ["propylene_50", "50 % propylene glycol"], ["propylene_30", "30 % propylene glycol"], ["propylene_40", "40 % propylene glycol"], ["propylene_60", "60 % propylene glycol"], ["water", "Water"]],
    }, temperature("from_c", "Cold", { start: "20" }), temperature("to_c", "Hot", { start: "90" })],
    work: by("expansion_room"),
    said: (values, input) => ({
      hero: { about: "Room to leave", amount: values.room_ml, unit: "ml" }, lines: [`${steppedText(values.per_litre_ml, 0.1)} ml for each litre.`],
      drawing: <MixDrawing layers={[{ name: "cold", amount: amount(input["system_ml"], "ml"), ml: input["system_ml"], fresh: false }, { name: "more when hot", amount: amount(values.room_ml, "ml"), ml: values.room_ml, fresh: true }]} />,
    }),
  },
  {
    name: "premix-oil", title: "Two-stroke premix", line: "Oil for the fuel that is in the can.", group: "fluids", caution: FUEL,
    fields: [volume("fuel_ml", "Fuel in the can", { hint: "as 5 l" }), ratio("ratio", "Fuel to oil"), { kind: "yes", key: "oil_injection", label: "This engine pumps its own oil" }],
    work: by("premix_oil"),
    said: (values, input) => ({
      hero: { about: "Oil to add", amount: values.oil_ml, unit: "ml" }, lines: [`Mix in the can then: ${amount(values.mix_ml, "ml")}.`],
      drawing: <MixDrawing layers={[{ name: "fuel", amount: amount(input["fuel_ml"], "ml"), ml: input["fuel_ml"], fresh: false }, { name: "oil", amount: amount(values.oil_ml, "ml"), ml: values.oil_ml, fresh: true }]} />,
    }),
  },
  {
    name: "premix-correct", title: "Wrong premix", line: "What to add to bring it right.", group: "fluids", caution: FUEL,
    fields: [volume("mix_ml", "Mix in the can"), ratio("ratio_now", "Mixed as"), ratio("ratio_wanted", "Wanted"), volume("can_ml", "The can holds", { optional: true })],
    work: by("premix_correct"),
    said: (values, input) => ({
      hero: values.add_oil_ml > 0 ? { about: "Oil to add", amount: values.add_oil_ml, unit: "ml" } : { about: "Fuel to add", amount: values.add_fuel_ml, unit: "ml" }, lines: [`Mix then: ${amount(values.mix_ml, "ml")}.`],
      drawing: <MixDrawing layers={[{ name: "mix", amount: amount(input["mix_ml"], "ml"), ml: input["mix_ml"], fresh: false }, { name: values.add_oil_ml > 0 ? "oil" : "fuel", amount: amount(values.add_oil_ml + values.add_fuel_ml, "ml"), ml: values.add_oil_ml + values.add_fuel_ml, fresh: true }]} />,
    }),
  },
  {
    name: "premix-top-up", title: "Top up premix", line: "Oil to add with fresh fuel to a part-used can.", group: "fluids", caution: FUEL,
    fields: [volume("mix_ml", "Mix left in the can"), ratio("ratio_now", "Mixed as"), volume("add_fuel_ml", "Fresh fuel"), ratio("ratio_wanted", "Wanted")],
    work: by("premix_top_up"),
    said: (values, input) => ({
      hero: { about: "Oil to add", amount: values.add_oil_ml, unit: "ml" }, lines: [`Mix then: ${amount(values.mix_ml, "ml")}.`],
      drawing: <MixDrawing layers={[{ name: "mix", amount: amount(input["mix_ml"], "ml"), ml: input["mix_ml"], fresh: false }, { name: "fuel", amount: amount(input["add_fuel_ml"], "ml"), ml: input["add_fuel_ml"], fresh: true }, { name: "oil", amount: amount(values.add_oil_ml, "ml"), ml: values.add_oil_ml, fresh: true }]} />,
    }),
  },
  {
    name: "brake-fluid", title: "May this brake fluid go in?", line: "Families never mix; grades by boiling point.", group: "fluids", caution: BRAKES,
    fields: [{ kind: "choice", key: "asked", label: "Marked on the cap", options: BRAKE_FLUIDS }, { kind: "choice", key: "offered", label: "In the bottle", options: BRAKE_FLUIDS }],
    work: by("brake_fluid"),
    said: (values, input) => ({
      hero: { about: "Of the same family", words: BRAKE_VERDICTS[values.verdict] ?? values.verdict },
      working: `${input["offered"]} offered, ${input["asked"]} asked for: compared by family, then by boiling point`,
      lines: values.dry_c === null ? [] : [`Boils at least at ${amount(values.dry_c, "°C")} dry, ${amount(values.wet_c, "°C")} wet.`],
      drawing: values.dry_c === null ? null : <ScaleMarks band={[values.wet_c, values.dry_c]} points={[{ at: values.wet_c, name: "wet", text: amount(values.wet_c, "°C"), main: true }, { at: values.dry_c, name: "dry", text: amount(values.dry_c, "°C") }, { at: 100, name: "water boils", text: "100 °C" }]} />,
    }),
  },
];
