/** A job as its screens need it: the pack for this machine, the journal folded over it, and what follows from both. */
import { useMemo } from "preact/hooks";
import { awayS } from "../../components/away";
import { useLoaded } from "../../components/hooks";
import { forVariant, type BenchState } from "../../domain/bench-state";
import { endItems, ledger, tray, type EndItem, type LedgerRow, type Tray } from "../../domain/end-items";
import { foldJournal, type JournalFold, type NoteRow, type PhotoRow, type ReadingRow, type ReplyRow } from "../../domain/journal";
import { onJob, type OnJob } from "../../domain/on-job";
import {
  jobs,
  library,
  journalOf,
  loadPack,
  type Bulletin,
  type JobSummary,
  type JournalEvent,
  type Message,
  type ProcedurePack,
  type Step,
} from "../../store/bench";
import { endItemInWords } from "../../text/close-words";
import { sentence } from "../../text/say";
import type { MarkOf } from "../../drawings/step-rule";
import { nameIn } from "./names";

export type { EndItem };
export type Reading = ReadingRow;
export type Note = NoteRow;
export type Photo = PhotoRow;
export type Reply = ReplyRow;

export type JobView = {
  job: string;
  summary: JobSummary;
  pack: ProcedurePack;
  steps: Step[];
  fold: JournalFold;
  state: BenchState;
  closed: boolean;
  rows: LedgerRow[];
  tray: Tray;
  ends: EndItem[];
  open: Step[];
  marks: MarkOf[];
  counts: { done: number; skipped: number };
  /** Names, for the strip and the resume panel. */
  off: string[];
  loose: string[];
  drained: string[];
  aids: string[];
  /** What changed since the revision that this job follows, and what that means here. */
  news: News | null;
  endText: (code: string, object: string) => string;
};
export type News = OnJob & { bulletin: Bulletin };
export type LoadedJob = { job: string; view: JobView | null; problem: Message | null };

export function useJob(job: string): LoadedJob {
  const summary = jobs.value.find((candidate) => candidate.job === job);
  const events = journalOf(job).value;
  const pinned = useLoaded(summary?.pack ?? "", async () => (summary ? loadPack(summary.pack) : null)).value;
  const bulletin = library.value.bulletins.find(({ from }) => from.sha256 === summary?.pack) ?? null;
  const view = useMemo(
    () => (summary && pinned.value ? viewOf(summary, pinned.value, bulletin, events) : null),
    [summary, pinned.value, bulletin, events],
  );
  return { job, view, problem: pinned.problem };
}

export function viewOf(summary: JobSummary, whole: ProcedurePack, bulletin: Bulletin | null, events: JournalEvent[]): JobView {
  const fold = foldJournal(whole, events);
  const pack = forVariant(whole, fold.variant);
  const { state } = fold;
  const isOver = ({ id }: Step) => id in fold.done || id in fold.skipped;
  const kept = tray(pack, state);
  const named = (ids: string[]) => ids.map((id) => nameIn(pack, id));
  const rows = ledger(pack, state);
  return {
    job: summary.job,
    summary,
    pack,
    steps: pack.steps,
    fold,
    state,
    closed: fold.closed !== null,
    rows,
    tray: kept,
    ends: endItems(pack, state),
    open: pack.steps.filter((step) => !isOver(step)),
    marks: pack.steps.map(({ id }) => (id in fold.done ? "done" : id in fold.skipped ? "skipped" : "open")),
    counts: {
      done: pack.steps.filter(({ id }) => id in fold.done).length,
      skipped: pack.steps.filter(({ id }) => id in fold.skipped && !(id in fold.done)).length,
    },
    off: kept.parts.map(({ name }) => name),
    loose: rows.filter(({ state: how }) => how !== "final").map(({ name }) => name),
    drained: named(Object.keys(state.fluids).filter((id) => state.fluids[id] === "drained")),
    aids: named(state.aids),
    news: bulletin && newsOf(bulletin, whole, fold),
    endText: (code, object) => sentence(endItemInWords(code, endName(pack, object))),
  };
}

/** Seconds since the last step in which nobody looked at the page: no time of work. */
export const awayNow = (job: string): number => awayS(journalOf(job).peek(), Date.now());

/** In a closed job a note can still be written where the dealer has answered. */
export const mayWriteBack = ({ closed, fold }: JobView): boolean => !closed || fold.replies.length > 0;

/** Null when a guard has a form that this version does not know; the job still opens, and says that a newer revision is out. */
function newsOf(bulletin: Bulletin, whole: ProcedurePack, fold: JournalFold): News | null {
  try {
    return { ...onJob(bulletin.changes, whole.steps, fold), bulletin };
  } catch {
    return null;
  }
}

/** A follow-on has no name of its own: it is named by the checks it needs. */
function endName(pack: ProcedurePack, object: string): string {
  const needs = pack.follow_ons[object]?.["needs"];
  return Array.isArray(needs) && needs.length > 0 ? needs.map((id) => nameIn(pack, String(id))).join(", ") : nameIn(pack, object);
}
