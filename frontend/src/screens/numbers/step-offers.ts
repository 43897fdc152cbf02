/**
 * The calculations that a step of a running job can use, with the fields its pack already knows: figure, thread, holes, amounts, limits.
 * Knows packs and the fields of calculations; a figure that is not known fills nothing.
 */
import type { EndItemCode } from "../../domain/end-items";
import type { Figure, Fluid, Joint, ProcedurePack, Step } from "../../store/bench";
import { timesWords as words } from "../../text/numbers-words";
import type { JobView } from "../job/job-view";
import { placesOf, tightenedTo } from "../job/names";
import { logsOf, sureOf } from "./times-kept";

/** One offer: a calculation by name, its fields, and what they are about. */
export type Offer = { name: string; about: string; form: Record<string, string> };

const LUBRICATION: Record<string, string> = { oil: "oiled", dry: "dry", grease: "grease", locker: "threadlocker" };
const text = (value: number, unit: string): string => `${value} ${unit}`;
/** Only what is known. */
const filled = (form: Record<string, string | null | undefined>): Record<string, string> =>
  Object.fromEntries(Object.entries(form).filter((pair): pair is [string, string] => typeof pair[1] === "string" && pair[1] !== ""));

export function offersOf(view: JobView, step: Step): Offer[] {
  const { pack } = view;
  return [...torqueOffers(pack, step), ...orderOffers(pack, step), ...fluidOffers(pack, step), ...limitOffers(view, step), ...timeOffers(view, step), ...rideOffers(view)];
}

function torqueOffers(pack: ProcedurePack, step: Step): Offer[] {
  const asked = tightenedTo(pack, step);
  const figure = asked?.figure;
  if (!asked || !figure || figure.kind !== "torque" || asked.stage?.angleDeg != null) return [];
  const joint = asked.joint === null ? null : (pack.joints[asked.joint] ?? null);
  const share = asked.stage?.share ?? 100;
  const target = figure.value === null ? null : text((figure.value * share) / 100, figure.unit);
  const ends = share === 100 ? { low_nm: figure.low === null ? null : text(figure.low, figure.unit), high_nm: figure.high === null ? null : text(figure.high, figure.unit) } : {};
  const thread = joint?.thread ?? null;
  const offers: [string, Record<string, string | null | undefined>][] = [
    ["with-my-wrench", { target_nm: target, ...ends }], ["torque-at-wrench", { target_nm: target }], ["plausible-torque", { typed: printed(figure), thread }],
    ["preload-band", { torque_nm: target, thread, lubrication: LUBRICATION[joint?.treatment.kind ?? ""] }],
    ...(safe(figure, joint) ? ([["weight-for-torque", { target_nm: target }], ["scale-for-torque", { target_nm: target }]] as [string, Record<string, string | null>][]) : []),
  ];
  return offers.map(([name, form]) => ({ name, about: asked.name, form: filled(form) }));
}

/** A lever never decides a safety joint. */
const safe = (figure: Figure, joint: Joint | null): boolean => figure.safety === "normal" && (joint?.safety ?? "normal") === "normal";

/** The figure as its source prints it, when it is one value. */
const printed = ({ value, as_published }: Figure): string | null => (value === null ? null : as_published);

/** Where the map gives no order of its own. */
function orderOffers(pack: ProcedurePack, step: Step): Offer[] {
  return placesOf(pack, step).filter(({ joint, verb }) => joint.order === null && joint.kind === "threaded" && verb === "tighten").map(({ joint }) => {
    const holes = joint.positions.flatMap(({ at: [x, y], length_mm }, n) => Object.entries({ x: String(x), y: String(y), length_mm: length_mm === null ? "" : String(length_mm) }).map(([key, value]) => [`holes.${n}.${key}`, value]));
    const figure = pack.figures[step.figure ?? joint.figure ?? ""];
    const target = figure?.kind === "torque" && figure.value !== null ? text(figure.value, figure.unit) : null;
    return { name: "tightening-holes", about: joint.name, form: filled({ "holes.count": String(joint.positions.length), ...Object.fromEntries(holes), target_nm: target }) };
  });
}

function fluidOffers(pack: ProcedurePack, step: Step): Offer[] {
  return step.do.flatMap(({ verb, object, amount_ml }) => {
    const fluid = pack.fluids[object];
    if (!fluid) return [];
    if (verb === "fill") return fillOffers(fluid, amount_ml ?? fluid.refill_ml ?? fluid.capacity_ml);
    const coolant = verb === "drain" && isCoolant(fluid) && fluid.capacity_ml !== null;
    return coolant ? [{ name: "drain-and-refill", about: fluid.name, form: filled({ system_ml: text(fluid.capacity_ml ?? 0, "ml") }) }] : [];
  });
}

const isCoolant = ({ name, specification }: Fluid): boolean => /coolant|glycol/i.test(`${name} ${specification ?? ""}`);

function fillOffers(fluid: Fluid, amountMl: number | null): Offer[] {
  const amount = amountMl === null ? null : text(amountMl, "ml");
  const grade = /DOT ?(3|4|5\.1|5)\b/.exec(`${fluid.name} ${fluid.specification ?? ""}`)?.[1];
  const offers: [string, Record<string, string | null>][] = [
    ...(amount === null ? [] : ([["bottle-mark", { pour_ml: amount }], ["bottle-plan", { need_ml: amount }]] as [string, Record<string, string>][])),
    ...(isCoolant(fluid) ? ([["coolant-mix", { total_ml: amount }], ["coolant-freeze", {}]] as [string, Record<string, string | null>][]) : []),
    ...(grade ? ([["brake-fluid", { asked: `DOT ${grade}` }]] as [string, Record<string, string>][]) : []),
  ];
  return offers.map(([name, form]) => ({ name, about: fluid.name, form: filled(form) }));
}

/** Lengths only: their limits, and what was read last. */
function limitOffers({ pack, fold }: JobView, step: Step): Offer[] {
  const limits = step.limits;
  if (!limits || limits.unit !== "mm") return [];
  const end = (id: string | null): string | null => {
    const figure = id === null ? null : pack.figures[id];
    const value = figure?.value ?? figure?.low ?? figure?.high ?? null;
    return value === null ? null : text(value, "mm");
  };
  const read = fold.readings.filter((reading) => reading.step === step.id).at(-1);
  const name = pack.checks[limits.check]?.name ?? limits.check;
  const checked: Offer = { name: "limit-check", about: name, form: filled({ readings: read ? String(read.value) : null, at_least: end(limits.low), at_most: end(limits.high) }) };
  const valve: Offer = { name: "shim-to-fit", about: name, form: filled({ clearance_mm: read ? String(read.value) : null, low_mm: end(limits.low), high_mm: end(limits.high) }) };
  return /valve/i.test(name) && /clearance/i.test(name) ? [valve, checked] : [checked];
}

const MOST_STEPS = 150;

/** What is left of the job, from its author's minutes and what the same steps took in jobs on this phone. */
function timeOffers({ open, pack }: JobView, step: Step): Offer[] {
  const logs = logsOf(pack.procedure);
  const timed = open.flatMap(({ id, minutes }) => (minutes === null || minutes <= 0 ? [] : [sureOf(minutes, logs.get(id) ?? "")])).slice(0, MOST_STEPS);
  const rows = timed.flatMap(({ median, sigma }, n) => [[`steps.${n}.median_min`, median], [`steps.${n}.sigma`, sigma]]);
  const about = timed.length < open.length ? words.without(pack.title, timed.length, open.length) : pack.title;
  return [
    ...(step.minutes === null ? [] : [{ name: "step-time", about: step.say, form: filled({ estimate_min: text(step.minutes, "min"), logs_min: logs.get(step.id) }) }]),
    ...(timed.length === 0 ? [] : [{ name: "job-time", about, form: { "steps.count": String(timed.length), ...Object.fromEntries(rows) } }]),
  ];
}

const STATE_OF: Partial<Record<EndItemCode, string>> = {
  joint_not_made: "undone", joint_not_final: "not_final", part_not_on: "undone", fluid_not_filled: "fluid_low", level_not_checked: "fluid_low", aid_left: "undone",
  setting_not_restored: "undone", single_use_reused: "single_use_reused", follow_on_missing: "not_final",
};

/** What is not as it should be now, from the bench state of the job. A stand or a pose is no matter of riding. */
function rideOffers({ ends, endText, pack }: JobView): Offer[] {
  const concerns = ends.filter(({ code }) => STATE_OF[code] !== undefined).slice(0, 40);
  const rows = concerns.flatMap(({ code, object, safety }, n) => [[`concerns.${n}.name`, endText(code, object)], [`concerns.${n}.safety`, safety], [`concerns.${n}.state`, STATE_OF[code] ?? ""]]);
  return [{ name: "ride-home", about: pack.title, form: { "concerns.count": String(concerns.length), ...Object.fromEntries(rows) } }];
}
