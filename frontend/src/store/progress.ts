/** How far a job is: the fold of its journal, in the few figures the bench shows. */
import { forVariant } from "../domain/bench-state";
import { foldJournal, unreadOf } from "../domain/journal";
import type { JournalEvent, ProcedurePack } from "./pack-types";
import type { JobSummary } from "./types";

type Progress = Pick<JobSummary, "done" | "total" | "place" | "closed" | "unread">;

/** Without its pack, or with one in a form this version cannot fold, only the words of the events count: done, never how much there is to do. */
export function progress(events: JournalEvent[], pack: ProcedurePack | null): Progress {
  try {
    if (pack) return folded(events, pack);
  } catch {
    // the job's own screen says why it cannot be shown; the bench must still list it
  }
  return folded(events, null);
}

function folded(events: JournalEvent[], pack: ProcedurePack | null): Progress {
  const fold = foldJournal(pack ?? NO_STEPS, events);
  const steps = pack ? forVariant(pack, fold.variant).steps : [];
  const closed = fold.closed && { outcome: fold.closed.outcome };
  const unread = unreadOf(fold).length;
  if (!pack) return { unread, done: Object.keys(fold.done).length, total: 0, place: null, closed };
  return { unread, done: steps.filter((step) => Object.hasOwn(fold.done, step.id)).length, total: steps.length, place: fold.place, closed };
}

/** Enough of a pack for a fold that only reads the events. */
const NO_STEPS = {
  format: "benchtrail.procedure/1", model: null, steps: [], parts: {}, units: {}, joints: {}, figures: {}, fluids: {}, tools: {}, supplies: {},
  poses: {}, settings: {}, aids: {}, cautions: {}, checks: {}, follow_ons: {}, start: [], ends: [], goal: [], pictures: {},
} as unknown as ProcedurePack;
