/** The words of the numbers at the bench: groups, forms, answers, tools, and what their drawings say. */
import { numberText } from "../domain/rounding";
import { counted } from "./say";

export const GROUPS = {
  wrench: "Torque tools",
  fasteners: "Fasteners",
  order: "Tightening order",
  fluids: "Fluids",
  measure: "Measure and decide",
  tyres: "Tyres",
  trail: "Trail-side",
  service: "Service due and time",
} as const;
export type Group = keyof typeof GROUPS;

export const numbersWords = {
  title: "Numbers",
  sub: "They work with no signal. A figure of the maker always goes first.",
  tools: "My wrenches and kit",
  toolsLine: "Kept on this phone, used to choose and to set.",
  work: "Work it out",
  again: "Work it out anew",
  typed: "What you measured",
  empty: "Start over",
  optional: "May stay empty.",
  unit: (label: string) => `Unit of ${label.toLowerCase()}`,
  working: "Working",
  source: "Source",
  until: "Stops being true",
  heed: "Heed",
  check: "A check, never a specification: what the maker prints stands.",
  typedChanged: "The fields changed since: work it out anew.",
  attach: "Attach to the step",
  attached: "Saved on this phone, as a note of the step",
  backToStep: "Back to the step",
  list: "All numbers",
  add: (row: string) => `Add another ${row}`,
  remove: (row: string, n: number) => `Take away ${row} ${n}`,
  rowTitle: (row: string, n: number) => `${row.charAt(0).toUpperCase()}${row.slice(1)} ${n}`,
  noTools: "No torque wrench of yours is on file yet.",
  notKnown: "not known",
  calendar: "Save as a calendar file",
  ticked: (n: number, all: number) => `${n} of ${all} holes tightened in this pass`,
  tick: (hole: number, length: string) => (length === "" ? `Hole ${hole} is tight` : `Hole ${hole}, ${length} long, is tight`),
  tickBack: "Take back the last",
  nextPass: "Next pass",
  passDone: "Every hole of every pass is ticked.",
};

export const MARKS = {
  published: "published, read in the original",
  restated: "published, read in a restatement",
  library: "computed with a library",
  arithmetic: "arithmetic",
  practice: "common practice, no source",
  memory: "from memory, not seen",
} as const;

export const toolWords = {
  title: "My wrenches and kit",
  wrenches: "Torque wrenches",
  none: "None yet. With one on file, each figure says which wrench to take and what to set on its scale.",
  add: "Add a torque wrench",
  save: "Save this wrench",
  saved: "Saved on this phone",
  change: "Change",
  remove: "Remove",
  removeAsk: (name: string) => `Remove “${name}”? Its range and check date are forgotten on this phone.`,
  removeYes: "Yes, remove it",
  keep: "Keep it",
  back: "Leave as it was",
  range: (low: number, high: number, unit: string, step: number) => `${numberText(low)} to ${numberText(high)} ${unit}${step > 0 ? `, step ${numberText(step)}` : ""}`,
  check: { in_date: "checked within a year", unknown: "last check not known", overdue: "check is due", dropped: "dropped since its check: have it checked" },
  checkedOn: (day: string) => `last check ${day}`,
  kinds: [["click", "Click wrench"], ["beam", "Bending beam"], ["dial", "Dial"], ["digital", "Digital"], ["preset", "Preset to one torque"]] as const,
  kit: "Carried kit",
  kitNone: "Nothing noted. List what is in the bag, and each procedure says what you can do with it.",
  kitAdd: "Add to the kit",
  kitKinds: [
    ["socket", "Socket"], ["spanner", "Spanner"], ["adjustable", "Adjustable spanner"], ["screwdriver", "Screwdriver"], ["pliers", "Pliers"], ["multi_tool", "Multi-tool"],
    ["hex", "Hexagon key or bit"], ["torque_wrench", "Torque wrench"], ["weight", "Known weight and a bar"], ["scale", "Hand scale and an arm"],
  ] as const,
  kitSave: "Save in the kit",
  kitCheck: "What this kit can do",
  carryWrench: "Put it in the kit",
  carried: "In the kit",
};

export const stepNumberWords = {
  title: "Numbers for this step",
  kit: "What my kit can do of this job",
  rows: (row: string, n: number) => `${n} ${row}${n === 1 ? "" : "s"}`,
};

type Taken = { steps: number; times: number; often: number; timers: number; lost: number };
export const timesWords = {
  take: "Take the times of the jobs on this phone",
  taken: ({ steps, times, often, timers, lost }: Taken): string => [
    steps === 0 ? "No job on this phone tells the time of a step with an estimate yet."
      : `${counted(times, "time")} of ${counted(steps, "step")} taken: ${timers} by a timer, ${times - timers} from tick to tick, pauses and what the phone was out of sight left out. Three times or more: ${often} of the 30 steps needed.`,
    lost > 0 ? `Of ${counted(lost, "procedure")} the estimates are no longer on this phone.` : "",
  ].filter(Boolean).join(" "),
  without: (title: string, timed: number, open: number): string => `${title}: ${timed} of ${open} open steps, the others have no estimate`,
};

export const kitCheckWords = {
  looking: "Looking through the procedures …",
  each: "Each procedure on this phone",
  machine: "For which machine",
  refusedCount: (n: number) => `${n} refused with a substitute`,
  lacking: "Not in the kit",
  carry: "I carry it",
  carryNamed: (tool: string) => `I carry the ${tool}`,
  procedure: "Procedure",
  choose: "Choose a procedure kept on this phone",
  none: "No procedure is kept on this phone. Keep one in the library first.",
  all: "With this kit every step can be done.",
  able: (able: number, all: number) => `${able} of ${all} steps`,
  about: "Can be done with the carried kit",
  step: (n: number, say: string) => `Step ${n}: ${say}`,
  need: {
    missing: (tool: string) => `missing: ${tool}`,
    refused: (tool: string, by: string) => `${tool}: ${by} is refused on a safety joint`,
    substitute: (tool: string, by: string) => `${tool}: ${by} will do`,
    own: (tool: string) => tool,
  },
  by: {
    spanner_for_socket: "a spanner of that size", socket_for_spanner: "a socket of that size", adjustable_spanner: "an adjustable spanner",
    multi_tool: "a multi-tool", same_kind: "one of yours, if it fits,", torque_by_lever: "weight or scale on a lever",
  } as Record<string, string>,
  home: (joints: string) => `To check with a torque wrench at home: ${joints}.`,
  torqueWrench: "torque wrench",
};

export const VERDICTS = { within: "Within", outside: "Outside", unknown: "No limit" } as const;

export const wrenchVerdicts: Record<string, string> = {
  good: "in the best part of its scale", usable: "inside its range", low_fifth: "below a fifth of its scale: less sure",
  step_too_coarse: "its scale step is too coarse for this", misses_tolerance: "the nearest setting misses the tolerance",
  below_range: "this is below its lowest mark", above_range: "this is above its highest mark",
};

const mm = (value: number): string => `${numberText(value)} mm`;

/** Short words in the drawings, and for each drawing what it says to those who do not see it. */
export const drawnWords = {
  lever: (leverMm: number) => mm(leverMm),
  hand: "hand",
  adapterShort: (adapterMm: number, angleDeg: number) => (adapterMm > 0 ? `adapter ${mm(adapterMm)} at ${numberText(angleDeg)}°` : "no adapter"),
  adapter: (leverMm: number, adapterMm: number, angleDeg: number) =>
    `A wrench from above: ${mm(leverMm)} from the hand to the drive${adapterMm > 0 ? `, then an adapter of ${mm(adapterMm)} to the bolt, turned ${numberText(angleDeg)}° from straight on` : ""}.`,
  bottle: ({ holdsMl, pourMl, stopAtMl }: { holdsMl: number; pourMl: number; stopAtMl: number }) =>
    `A bottle of ${numberText(holdsMl)} ml: pour ${numberText(pourMl)} ml, stop at the ${numberText(stopAtMl)} ml mark.`,
  holds: (ml: number) => `holds ${numberText(Math.round(ml))} ml`,
  pour: (ml: number) => `pour ${numberText(Math.round(ml))} ml`,
  leverLabel: (leverMm: number, hung: string, deg: number, pull: boolean) =>
    `A bar of ${mm(leverMm)} on the bolt, ${pull ? "pulled at its end to read" : "with"} ${hung}${pull ? "" : " hung from its end"}${deg === 0 ? "" : `, ${numberText(deg)}° below level`}.`,
  gap: (value: number) => `gap ${numberText(value)} mm`,
  shimShort: (value: number) => `shim ${numberText(value)} mm`,
  shim: ({ name, gapMm, shimMm, within }: { name: string; gapMm: number; shimMm: number; within: boolean }) =>
    `${name}: shim ${numberText(shimMm)} mm leaves a gap of ${numberText(gapMm)} mm${within ? "" : ", outside its limits"}.`,
  loads: ["hanging", "machine", "with rider"],
  sag: (free: number, own: number, rider: number | null) =>
    `Wheel hanging ${mm(free)}, machine alone ${mm(own)}${rider === null ? "" : `, with the rider ${mm(rider)}`}. Sag ${mm(free - own)}${rider === null ? "" : ` and ${mm(free - rider)}`}.`,
  mix: (layers: readonly { name: string; amount: string }[]) => `From the bottom: ${layers.map(({ name, amount }) => `${amount} ${name}`).join(", ")}.`,
  parts: (parts: readonly { name: string; text: string }[], total: string) => `${parts.map(({ name, text }) => `${name} ${text}`).join(" and ")} make ${total}.`,
  columns: (columns: readonly { name: string; text: string }[]) => `${columns.map(({ name, text }) => `${name} ${text}`).join(", ")}.`,
  rules: (one: string, other: string) => `${one} on one scale stands beside ${other} on the other.`,
  gapNow: (value: number) => `now ${mm(value)}`,
  gapWanted: (value: number) => `wanted ${mm(value)}`,
  fork: (now: number, wanted: number, amount: string, add: boolean) => `A fork leg with an air gap of ${mm(now)} now and ${mm(wanted)} wanted: ${add ? "add" : "take out"} ${amount} of oil.`,
  rings: (places: readonly { name: string; bore: string; gap: string }[]) => `${places.map(({ name, bore, gap }) => `${name}, ${bore}: gap ${gap}`).join("; ")}.`,
  turned: (deg: number, sides: number, text: string) => `A head with ${sides} flats turned by ${numberText(deg)}° from snug: ${text}.`,
  acrossFlats: (value: number) => `${numberText(value)} mm`,
  head: (socket: number, diameters: readonly number[]) => `A head of ${mm(socket)} across its flats, with ${diameters.map((each) => `M${numberText(each)}`).join(" or ")} inside.`,
  due: (bars: readonly { name: string; text: string }[]) => `${bars.map(({ name, text }) => `${name}: ${text}`).join("; ")}.`,
  kit: (marks: readonly string[]) => marks.map((mark, n) => `Step ${n + 1} ${{ own: "can be done", substitute: "with a substitute", refused: "is refused", missing: "lacks a tool" }[mark] ?? mark}`).join("; ") + ".",
  ladder: (rungs: readonly { name: string; how: string; so: string }[]) => `${rungs.map(({ name, how, so }) => `${so}: ${name}, ${how}`).join("; ")}.`,
  scale: (points: readonly { name: string; text: string }[], band: boolean) => `From low to high: ${points.map(({ name, text }) => `${name} ${text}`).join(", ")}${band ? ", with a band marked" : ""}.`,
};
