/**
 * Lists that nobody types: what a job needs, its order of steps, its torque sheet, and how far it is.
 * Knows the pack for one variant (forVariant) and the fold of a journal; must not know what is in stock or on the shelf.
 */
import type { Action, Joint, Part, ProcedurePack, Step } from "../generated/procedure-pack";
import { forVariant } from "./bench-state";
import type { JournalFold } from "./journal";

/** A part or the fasteners of a joint to have ready; not `certain` when an inspection decides. */
export type NewItem = { id: string; name: string; number: string | null; count: number; certain: boolean };
/** Any one of these tools will do, for these steps (none: only to be prepared). */
export type ToolChoice = { any: string[]; steps: string[] };
export type SupplyRow = { id: string; name: string; kind: string | null };
/** `amount_ml` is null when an amount is not known. */
export type FluidRow = { id: string; name: string; specification: string | null; amount_ml: number | null };
export type DerivedLists = { parts: NewItem[]; single_use: NewItem[]; tools: ToolChoice[]; supplies: SupplyRow[]; fluids: FluidRow[] };
export type SheetRow = {
  step: string; joint: string; count: number; figure: string | null; stage: number | null; share: number | null; angle_deg: number | null; hand: string | null;
};
export type Progress = { done: number; skipped: number; total: number; place: string | null; minutes_left: number; untimed: number };

const OPENING_AND_CLOSING: readonly string[] = ["undo", "slacken", "tighten"];

/** What the steps need, each list in the order of first need. `single_use`: what must be renewed once opened, parts and fasteners. */
export function derivedLists(pack: ProcedurePack): DerivedLists {
  const wanted = newItems(pack);
  return {
    parts: wanted.filter((row) => !singleUse(pack, row.id)), single_use: wanted.filter((row) => singleUse(pack, row.id)),
    tools: tools(pack), supplies: supplies(pack), fluids: fluids(pack),
  };
}

/** The ids of the steps in the order in which they are done. */
export function stepOrder(pack: ProcedurePack): string[] {
  return pack.steps.map((step) => step.id);
}

/** How far a job is. `minutes_left` adds up the open steps that state a time; `untimed` counts open steps that state none. */
export function progress(pack: ProcedurePack, fold: Pick<JournalFold, "variant" | "done" | "skipped" | "place">): Progress {
  const { steps } = forVariant(pack, fold.variant);
  const done = steps.filter((step) => Object.hasOwn(fold.done, step.id));
  const skipped = steps.filter((step) => Object.hasOwn(fold.skipped, step.id));
  const stillOpen = steps.filter((step) => !done.includes(step) && !skipped.includes(step));
  return {
    done: done.length, skipped: skipped.length, total: steps.length, place: fold.place,
    minutes_left: stillOpen.reduce((sum, step) => sum + (step.minutes ?? 0), 0), untimed: stillOpen.filter((step) => step.minutes === null).length,
  };
}

/**
 * The torque sheet: a row for each tightening, in order.
 * `figure` is an id or null; `share` is the percentage of it at this stage; without a figure `hand` says how far.
 */
export function figuresOfSteps(pack: ProcedurePack): SheetRow[] {
  return actions(pack).flatMap(([step, action]) => {
    const joint = action.verb === "tighten" ? entryOf(pack.joints, action.object) : undefined;
    return joint ? [sheetRow(joint, step, action)] : [];
  });
}

function sheetRow(joint: Joint, step: Step, action: Action): SheetRow {
  const number = Math.min(action.stage ?? joint.stages.length, joint.stages.length);
  const stage = joint.stages[number - 1];
  const angle = stage?.angle_deg ?? null;
  const figure = angle !== null ? null : (step.figure ?? stage?.figure ?? joint.figure);
  return {
    step: step.id, joint: action.object, count: joint.positions.length, figure, stage: joint.stages.length > 1 ? number : null,
    share: figure === null ? null : (stage?.share ?? null), angle_deg: angle, hand: joint.hand,
  };
}

function actions(pack: ProcedurePack): [Step, Action][] {
  return pack.steps.flatMap((step) => step.do.map((action): [Step, Action] => [step, action]));
}

function entryOf<T>(table: Record<string, T>, id: string): T | undefined {
  return Object.hasOwn(table, id) ? table[id] : undefined;
}

function itemOf(pack: ProcedurePack, id: string): Part | Joint | undefined {
  return entryOf(pack.parts, id) ?? entryOf(pack.joints, id);
}

function singleUse(pack: ProcedurePack, id: string): boolean {
  return itemOf(pack, id)?.renew === "always";
}

/** Rows of what is renewed, and of parts that an inspection may ask to renew. */
function newItems(pack: ProcedurePack): NewItem[] {
  const certain = new Map<string, boolean>();
  for (const [, { verb, object }] of actions(pack)) {
    if (verb === "renew" && itemOf(pack, object)) certain.set(object, true);
    else if (verb === "inspect" && entryOf(pack.parts, object)?.renew === "inspect" && !certain.has(object)) certain.set(object, false);
  }
  return [...certain].map(([id, sure]) => newItem(pack, id, sure));
}

function newItem(pack: ProcedurePack, id: string, certain: boolean): NewItem {
  const item = itemOf(pack, id)!;
  return { id, name: item.name, number: item.number, count: "count" in item ? item.count : item.positions.length, certain };
}

/** Choices of tools; a choice that another needed tool already meets is left out, bare hands too. */
function tools(pack: ProcedurePack): ToolChoice[] {
  const rows = new Map<string, ToolChoice>(pack.prepare.tools.map((tool) => [tool, { any: [tool], steps: [] }]));
  for (const step of pack.steps) {
    for (const any of choices(pack, step)) {
      const row = rows.get(any.join(" ")) ?? { any, steps: [] };
      rows.set(any.join(" "), row);
      if (!row.steps.includes(step.id)) row.steps.push(step.id);
    }
  }
  const needed = new Set([...rows.values()].filter(({ any }) => any.length === 1).map(({ any }) => any[0]!));
  return [...rows.values()].filter(({ any }) => any.length === 1 || !any.some((tool) => needed.has(tool)));
}

function choices(pack: ProcedurePack, step: Step): string[][] {
  const bareHand = (tool: string) => entryOf(pack.tools, tool)?.kind === "none";
  const ofJoints = step.do.flatMap(({ verb, object }) => {
    const joint = OPENING_AND_CLOSING.includes(verb) ? entryOf(pack.joints, object) : undefined;
    return joint && joint.tools.length > 0 && !joint.tools.some(bareHand) ? [[...joint.tools]] : [];
  });
  return [...ofJoints, ...step.tools.filter((tool) => !bareHand(tool)).map((tool) => [tool])];
}

function supplies(pack: ProcedurePack): SupplyRow[] {
  const ids = new Set([...pack.prepare.supplies, ...actions(pack).flatMap(([, action]) => suppliesOf(pack, action))]);
  return [...ids].flatMap((id) => {
    const entry = entryOf(pack.supplies, id);
    return entry ? [{ id, name: entry.name, kind: entry.kind }] : [];
  });
}

function suppliesOf(pack: ProcedurePack, { verb, object }: Action): string[] {
  if (verb === "apply") return [object];
  const supply = verb === "start" || verb === "tighten" ? entryOf(pack.joints, object)?.treatment.supply : null;
  return supply ? [supply] : [];
}

function fluids(pack: ProcedurePack): FluidRow[] {
  const amounts = new Map<string, number | null>();
  for (const [, { verb, object, amount_ml }] of actions(pack)) {
    const fluid = verb === "fill" ? entryOf(pack.fluids, object) : undefined;
    if (!fluid) continue;
    const before = amounts.has(object) ? amounts.get(object)! : 0;
    const more = amount_ml ?? fluid.refill_ml;
    amounts.set(object, more === null || before === null ? null : before + more);
  }
  return [...amounts].map(([id, amount]) => ({ id, name: pack.fluids[id]!.name, specification: pack.fluids[id]!.specification, amount_ml: amount }));
}
