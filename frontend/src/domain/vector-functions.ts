/**
 * The functions that shared/vectors may call, by their Python name. Add one line here and one in tests/domain/vector_functions.py.
 * A vector calls a function with its `input` as named arguments; what it gives back must be plain data.
 */
import type { Action, ProcedurePack } from "../generated/procedure-pack";
import { applyAction, applySteps, forVariant, startState, type BenchState } from "./bench-state";
import { CALCULATION_FUNCTIONS } from "./calculation-functions";
import { canonicalJson, canonicalNumber } from "./canonical-json";
import { endItems, ledger, tray } from "./end-items";
import { eventHash, jobDigest } from "./event-hash";
import { eventProblems } from "./event-problems";
import { guardHolds } from "./guards";
import { mergeHlc, nextHlc } from "./hlc";
import { derivedLists, figuresOfSteps, progress, stepOrder } from "./job-lists";
import { foldJournal } from "./journal";
import { onJob } from "./on-job";
import { stepTimes } from "./step-times";
import type { Variant } from "./variant";
import { readingLimits, verdict } from "./verdict";
import { wayOut, type WayOut } from "./way-out";

// `any`: what a vector holds is known to the vector only, and a wrong call fails its case
export type VectorInput = any;

/** The fields of a bench state that list something. */
function listed(state: BenchState): object {
  return Object.fromEntries(Object.entries(state).filter(([, value]) => Object.keys(value).length > 0));
}

function stateAfter(pack: ProcedurePack, actions: Action[]): BenchState {
  return actions.reduce((state, action) => applyAction(pack, state, action), startState(pack));
}

function endItemsOfAllSteps(pack: ProcedurePack, variant: Variant | null, left: string[] = []): object {
  const whole = forVariant(pack, variant);
  return endItems(whole, applySteps(whole, whole.steps.map((step) => step.id).filter((id) => !left.includes(id))));
}

function benchStateOfAllSteps(pack: ProcedurePack, variant: Variant | null): object {
  const whole = forVariant(pack, variant);
  return listed(applySteps(whole, whole.steps.map((step) => step.id)));
}

/** What forVariant takes out of the fixture, and what it leaves where something was taken out. */
function keptForVariant(pack: ProcedurePack, variant: Variant | null): object {
  const whole = forVariant(pack, variant);
  const idsOf = (from: ProcedurePack) => Object.values(from).flatMap((table) => (table && typeof table === "object" && !Array.isArray(table) ? Object.keys(table) : []));
  const there = new Set(idsOf(whole));
  const steps = new Set(whole.steps.map((step) => step.id));
  const { joins, reach } = whole.joints.cover_screws!;
  return {
    absent: idsOf(pack).filter((id) => !there.has(id)).sort(), steps_gone: pack.steps.map((step) => step.id).filter((id) => !steps.has(id)).sort(),
    cover_joins: joins, cover_reach: reach, after_seal_needs: whole.follow_ons.after_seal!.needs, goal: whole.goal,
    tray_covers: whole.aids.drip_tray!.covers, tray_first_needs: whole.isolations!.tray_first!.needs,
  };
}

/** Before the first step and after each: `[step, {leave, push: [shorter, rows of on, rows of back, rows of mixed]}]`. */
function waysOutAlong(pack: ProcedurePack, variant: Variant | null): unknown[] {
  const whole = forVariant(pack, variant);
  const ids = whole.steps.map((step) => step.id);
  return [null, ...ids].map((id, n) => [id, Object.fromEntries(Object.entries(wayOut(whole, ids.slice(0, n))).map(([aim, { shorter, ...ways }]) =>
    [aim, [shorter, ...[ways.on, ways.back, ways.mixed].map((way) => way && way.rows.map(({ verb, object }) => `${verb} ${object}`))]]))]);
}

/** By aim: rows without a time, hundredths of a minute and rows of the shortest way; null for none. */
function shortestWay(pack: ProcedurePack, done: string[], skipped: string[]): Record<string, number[] | null> {
  const lengthOf = ({ now, shorter, ...ways }: WayOut): number[] | null => {
    if (now || shorter === null || shorter === "now") return now ? [0, 0, 0] : null;
    const { untimed, minutes, rows } = ways[shorter]!;
    return [untimed, Math.round(100 * minutes), rows.length];
  };
  const { leave, push } = wayOut(pack, done, { skipped, outside: [] });
  return { leave: lengthOf(leave), push: lengthOf(push) };
}

function numberOfBits(bits: string): number {
  const view = new DataView(new ArrayBuffer(8));
  view.setBigUint64(0, BigInt(`0x${bits}`));
  return view.getFloat64(0);
}

export const FUNCTIONS: Record<string, (input: VectorInput) => unknown> = {
  apply_action: (i) => applyAction(i.pack, i.state, i.action),
  apply_steps: (i) => applySteps(i.pack, i.step_ids),
  bench_state_after: (i) => listed(stateAfter(i.pack, i.actions)),
  bench_state_of_all_steps: (i) => benchStateOfAllSteps(i.pack, i.variant),
  canonical_json: (i) => canonicalJson(i.value),
  canonical_number_of_bits: (i) => canonicalNumber(numberOfBits(i.bits)),
  end_items_after: (i) => endItems(i.pack, stateAfter(i.pack, i.actions)),
  end_items_of_all_steps: (i) => endItemsOfAllSteps(i.pack, i.variant, i.without),
  derived_lists: (i) => derivedLists(forVariant(i.pack as ProcedurePack, i.variant)),
  event_problems: (i) => eventProblems(i.envelope),
  figures_of_steps: (i) => figuresOfSteps(forVariant(i.pack as ProcedurePack, i.variant)),
  fold_journal: (i) => foldJournal(i.pack, i.events),
  event_hash: (i) => eventHash(i.event),
  job_digest: (i) => jobDigest(i.ids),
  ledger_after: (i) => ledger(i.pack, stateAfter(i.pack, i.actions)),
  tray_after: (i) => tray(i.pack, stateAfter(i.pack, i.actions)),
  kept_for_variant: (i) => keptForVariant(i.pack, i.variant),
  merge_hlc: (i) => mergeHlc(i.local, i.foreign, i.now_ms),
  next_hlc: (i) => nextHlc(i.last, i.now_ms, i.device),
  on_job: (i) => onJob(i.changes, i.steps, i.fold),
  progress: (i) => progress(i.pack, i.fold),
  reading_limits: (i) => readingLimits(i.pack, i.step),
  step_times: (i) => stepTimes(i.events),
  step_order: (i) => stepOrder(forVariant(i.pack as ProcedurePack, i.variant)),
  verdict: (i) => verdict(i.pack, i.step, i.value),
  way_out: (i) => wayOut(forVariant(i.pack, i.variant), i.done, i.doubts),
  ways_out_along: (i) => waysOutAlong(i.pack, i.variant),
  shortest_way: (i) => shortestWay(i.pack, i.done, i.skipped),
  start_state: (i) => startState(i.pack),
  guard_holds: (i) => guardHolds(i.guard, i.variant),
  ...CALCULATION_FUNCTIONS,
};
