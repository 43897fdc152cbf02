/** Torque tools: which wrench, what to set, adapters, stages, self-locking nuts, units. */
import { answer, type Answer } from "../../../domain/answer";
import { Refused } from "../../../domain/refused";
import { shown, steppedText } from "../../../domain/rounding";
import { convert } from "../../../domain/units";
import type { WrenchRow } from "../../../domain/wrenches";
import { AdapterDrawing } from "../../../drawings/adapter-drawing";
import { PartBar } from "../../../drawings/part-bar";
import { ScaleMarks } from "../../../drawings/scale-marks";
import { UnitRules } from "../../../drawings/unit-rules";
import { WrenchScale } from "../../../drawings/wrench-scale";
import { toolWords, wrenchVerdicts } from "../../../text/numbers-words";
import { amount } from "../amounts";
import type { Calculator } from "../calculator";
import type { Around, Input } from "../fields";
import { by } from "./bench";
import { LEVER, SHARES, angle, length, sharesOf, torque } from "./shared";

const ADAPTER = length("adapter_mm", "Adapter: drive centre to bolt centre", { optional: true, hint: "leave empty without one" });
const TURN = angle("adapter_angle_deg", "Angle of the adapter", { start: "0", hint: "0 straight on, 90 square, 180 back over the handle" });

/** Target, drag of a self-locking nut, adapter, stages and the choice among one's own wrenches, as one answer. */
function withMyWrench(input: Input, { tools, today }: Around): Answer {
  if (tools.length === 0) throw new Refused("no_wrench_on_file");
  const run = (name: string, values: Input): Answer => by(name)(values);
  const nut = input["running_nm"] ? run("running_torque", { target_nm: input["target_nm"], running_nm: input["running_nm"] }) : null;
  const target = nut ? (nut.values["set_nm"] as number) : input["target_nm"];
  const lever = input["adapter_mm"] ? run("torque_at_wrench", { ...input, target_nm: target }) : null;
  const factor = lever ? (lever.values["factor"] as number) : 1;
  const chosen = run("choose_wrench", { target_nm: target, wrenches: tools, factor, low_nm: input["low_nm"] ?? null, high_nm: input["high_nm"] ?? null, today });
  const rows = chosen.values["rows"] as unknown as WrenchRow[];
  const [row] = rows;
  const tool = tools.find(({ name }) => name === chosen.values["best"]);
  const lowest = tool ? convert(tool.low, tool.unit, "N·m") / factor : 0;
  const staged = row?.usable ? run("torque_stages", { target_nm: target, shares: sharesOf(input), wrench_low_nm: lowest }) : null;
  const others = [nut, lever].filter((each) => each !== null);
  const stages = ((staged?.values["stages"] ?? []) as { share: number; torque_nm: number }[]).map(({ share, torque_nm }) => ({ share, torque_nm, set: convert(torque_nm * factor, "N·m", row?.unit ?? "N·m") }));
  return answer(
    { ...chosen.values, target_nm: target, factor, stages }, chosen.working, [...chosen.sources, ...others.flatMap(({ sources }) => sources)],
    [...others.flatMap(({ until }) => until), ...chosen.until], [...others.flatMap(({ notes }) => notes), ...chosen.notes, ...(staged?.notes ?? [])],
  );
}

type Stage = { share: number; torque_nm: number };
const setText = (row: Pick<WrenchRow, "set" | "unit">): string => `${shown(row.set, row.unit)} ${row.unit}`;

const saidOfRow = (row: WrenchRow): string => `${row.name}: ${wrenchVerdicts[row.verdict] ?? row.verdict}${row.usable ? `, set ${setText(row)}` : ""}; ${toolWords.check[row.check]}.`;

function saidOfWrench(values: any, input: Input, { tools }: Around): ReturnType<Calculator["said"]> {
  const rows = values.rows as WrenchRow[];
  const [row] = rows;
  const tool = tools.find(({ name }) => name === row?.name);
  if (!row || !tool || !row.usable) return { hero: { about: "Of your wrenches", words: "None fits" }, lines: rows.map(saidOfRow) };
  const stages = values.stages as { share: number; torque_nm: number; set: number }[];
  return {
    hero: { about: `Set on your ${row.name}`, text: shown(row.set, row.unit), unit: row.unit, other: `applies ${shown(row.applied_nm, "N·m")} N·m` },
    lines: [
      `Wanted at the fastener: ${amount(values.target_nm, "N·m")}; off by ${steppedText(row.off_percent, 0.1)} %, the wrench itself by up to ±${row.error_percent} %.`,
      saidOfRow(row),
      ...(stages.length > 1 ? [`Stages on its scale: ${stages.map(({ share, set }) => `${shown(set, row.unit)} ${row.unit} (${share} %)`).join(", ")}.`] : []),
      ...rows.slice(1).map(saidOfRow),
    ],
    drawing: (
      <>
        <WrenchScale name={row.name} lowNm={tool.low} highNm={tool.high} targetNm={row.set} unit={row.unit} />
        {input["adapter_mm"] > 0 && <AdapterDrawing leverMm={input["lever_mm"]} adapterMm={input["adapter_mm"]} angleDeg={input["adapter_angle_deg"] ?? 0} />}
      </>
    ),
  };
}

export const TORQUE_TOOLS: Calculator[] = [
  {
    name: "with-my-wrench", title: "With my wrench", line: "Which of my wrenches to take, what to set on its scale.", group: "wrench",
    fields: [
      torque("target_nm", "Torque wanted", { hint: "as the maker prints it" }),
      torque("low_nm", "Lowest allowed", { optional: true }), torque("high_nm", "Highest allowed", { optional: true }), SHARES, ADAPTER, TURN,
      { ...LEVER, optional: true, hint: "only with an adapter" }, torque("running_nm", "Drag of a self-locking nut", { optional: true, hint: "torque it takes to run it down" }),
    ],
    work: withMyWrench, said: saidOfWrench,
  },
  {
    name: "torque-at-wrench", title: "Adapter: what to set", line: "The setting when an adapter changes the lever.", group: "wrench",
    fields: [torque("target_nm", "Torque wanted at the bolt"), LEVER, { ...ADAPTER, optional: false, hint: "measured centre to centre" }, TURN],
    work: by("torque_at_wrench"),
    said: (values, input) => ({
      hero: { about: "Set on the wrench", amount: values.set_nm, unit: "N·m" }, lines: [`At the bolt: ${amount(values.target_nm, "N·m")}. Lever in effect: ${amount(values.reach_mm, "mm")}.`],
      drawing: <AdapterDrawing leverMm={input["lever_mm"]} adapterMm={input["adapter_mm"] ?? 0} angleDeg={input["adapter_angle_deg"] ?? 0} />,
    }),
  },
  {
    name: "torque-applied", title: "Adapter: what it applies", line: "What reaches the bolt at a setting.", group: "wrench",
    fields: [torque("set_nm", "Set on the wrench"), LEVER, { ...ADAPTER, optional: false, hint: "measured centre to centre" }, TURN],
    work: by("torque_applied"),
    said: (values, input) => ({
      hero: { about: "Reaches the bolt", amount: values.applied_nm, unit: "N·m" }, lines: [`Set on the wrench: ${amount(values.set_nm, "N·m")}.`],
      drawing: <AdapterDrawing leverMm={input["lever_mm"]} adapterMm={input["adapter_mm"] ?? 0} angleDeg={input["adapter_angle_deg"] ?? 0} />,
    }),
  },
  {
    name: "torque-stages", title: "Stages", line: "The torque of each stage up to the full one.", group: "wrench",
    fields: [torque("target_nm", "Full torque"), { ...SHARES, start: "30,60,100" } as typeof SHARES, torque("wrench_low_nm", "Lowest mark of the wrench", { optional: true })],
    work: (input) => by("torque_stages")({ ...input, shares: sharesOf(input) }),
    said: ({ stages }) => ({
      hero: { about: stages.length > 1 ? "First stage" : "Full torque", amount: stages[0].torque_nm, unit: "N·m" },
      lines: stages.map((stage: Stage, n: number) => `Stage ${n + 1}: ${amount(stage.torque_nm, "N·m")} (${stage.share} %)`),
      drawing: <ScaleMarks points={[{ at: 0, name: "", text: "0" }, ...stages.map((stage: Stage, n: number) => ({ at: stage.torque_nm, name: `stage ${n + 1}:`, text: `${shown(stage.torque_nm, "N·m")} N·m`, main: stage.share === 100 }))]} />,
    }),
  },
  {
    name: "running-torque", title: "Self-locking nut", line: "Its drag added to the torque.", group: "wrench",
    fields: [torque("target_nm", "Torque wanted"), torque("running_nm", "Drag while running down", { hint: "read while the nut turns" })],
    work: by("running_torque"), said: (values, input) => ({
      hero: { about: "Set on the wrench", amount: values.set_nm, unit: "N·m" },
      drawing: <PartBar total={amount(values.set_nm, "N·m")} parts={[{ name: "wanted", text: amount(input["target_nm"], "N·m"), at: input["target_nm"] }, { name: "drag", text: amount(input["running_nm"], "N·m"), at: input["running_nm"] }]} />,
    }),
  },
  {
    name: "units", title: "Units", line: "One amount in every unit; two printed side by side are compared.", group: "wrench",
    fields: [{ kind: "text", key: "text", label: "Amount with its unit", hint: "18 ft-lb, 1/2 in, 0,9 bar, or 10 N·m / 88 lbf·in" }],
    work: by("amount_in_units"), said: saidOfUnits,
  },
];

type UnitRow = { unit: string; value: number };
type InUnits = { written: string; unit: string; value: number; canonical: string; rows: UnitRow[]; beyond_percent: number | null; agrees: boolean | null };
const OTHER_SYSTEM = /^(lbf|US|imp|psi|in$|ft$|thou|°F|lb$|oz$|stone|mph)/;

/** The other system first: that is what one wants to know. */
function saidOfUnits(values: InUnits): ReturnType<Calculator["said"]> {
  const { written, unit, rows, beyond_percent, agrees } = values;
  const abroad = rows.find((row) => OTHER_SYSTEM.test(row.unit) !== OTHER_SYSTEM.test(unit)) ?? rows[0];
  const text = (row: UnitRow): string => shown(row.value, row.unit);
  const size = Number(values.value);
  const otherUnitOf = unit === "N·m" && size < 13.558 ? (rows.find((row) => row.unit === "lbf·in") ?? abroad) : abroad;
  if (!otherUnitOf) return { hero: { about: "Read as", text: written, unit } };
  return {
    hero: { about: `${written} ${unit} is`, text: text(otherUnitOf), unit: otherUnitOf.unit },
    lines: [
      ...rows.filter((row) => row !== otherUnitOf).map((row) => `${text(row)} ${row.unit}`),
      ...(beyond_percent === null ? [] : [agrees ? "The two printed units agree within their rounding." : `The two printed units differ by ${steppedText(beyond_percent, 0.1)} % beyond rounding: look at the source again.`]),
    ],
    working: `Read as ${written} ${unit}; exact factors`,
    drawing: <UnitRules value={numberIn(values)} unit={unit} text={written} other={otherUnitOf.unit} otherText={text(otherUnitOf)} />,
  };
}

/** The number as written: its text may be a fraction, so it is taken back from the canonical value. */
const numberIn = ({ value, unit, canonical }: InUnits): number => convert(value, canonical, unit);
