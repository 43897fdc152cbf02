/**
 * What a difference means for one job: which finished steps it touches, and what the people on it have answered.
 * Knows the changes that a bulletin carries and the fold of a journal; `backend/benchtrail/domain/difference/on_job.py` is the same.
 */
import type { BulletinChange } from "../generated/manifest";
import type { Step } from "../generated/procedure-pack";
import { guardHolds, type Guard } from "./guards";
import type { AnswerRow, JournalFold } from "./journal";

export type Answered = Pick<AnswerRow, "answer" | "reason" | "device" | "wall">;
/** A finished step that changed, or a new one that was passed. `answer`: the last one, once every one of its changes is answered. */
export type StepToSee = { step: string; added: boolean; changes: string[]; answer: Answered | null };
/** `concerns`, `used`: ids of changes that the machine has, and of figures that a finished step went by; `left`: steps with no answer. */
export type OnJob = { concerns: string[]; used: string[]; steps: StepToSee[]; left: number; seen: { device: string; wall: string } | null };

type Place = ReadonlyMap<string, number>;
type Fold = Pick<JournalFold, "variant" | "done" | "closed" | "answers">;

/** What the changes mean for a job with this fold; `steps`: those of the whole pack that it is pinned to. Throws Refused("guard_unknown"). */
export function onJob(changes: BulletinChange[], steps: Pick<Step, "id" | "when">[], fold: Fold): OnJob {
  const fitted = new Set(steps.filter(({ when }) => guardHolds(when, fold.variant)).map(({ id }) => id));
  const place: Place = new Map(steps.map(({ id }, n) => [id, n]));
  const mine = changes.filter((change) => concerns(change, fitted, fold));
  const found = new Map<string, StepToSee>();
  for (const change of mine.filter(({ redo }) => redo)) {
    for (const step of touched(change, place, fold)) {
      const row = found.get(step) ?? { step, added: !place.has(step), changes: [], answer: null };
      row.changes.push(change.id);
      found.set(step, row);
    }
  }
  const last = place.size;
  const rows = [...found.values()].sort((a, b) => (place.get(a.step) ?? last) - (place.get(b.step) ?? last) || (a.step < b.step ? -1 : 1));
  const answered = rows.map((row) => ({ ...row, answer: answerTo(row, fold.answers) }));
  return {
    concerns: mine.map(({ id }) => id),
    used: mine.filter((change) => change.code === "figure_changed" && touched(change, place, fold).length > 0).map(({ id }) => id),
    steps: answered, left: answered.filter(({ answer }) => answer === null).length, seen: seenBy(mine, fold.answers),
  };
}

/** A change of steps that this machine does not have is none of its business. */
function concerns(change: BulletinChange, fitted: ReadonlySet<string>, fold: Fold): boolean {
  return guardHolds(change.when as Guard, fold.variant) && (change.steps.length === 0 || change.steps.some((step) => fitted.has(step)));
}

function touched(change: BulletinChange, place: Place, fold: Fold): string[] {
  if (change.before !== undefined) return passed(change.before, place, fold) ? [change.object] : [];
  return change.steps.filter((step) => place.has(step) && Object.hasOwn(fold.done, step));
}

/** A new step was passed when a step is done that comes after its place. */
function passed(before: string | null, place: Place, fold: Fold): boolean {
  if (before === null) return fold.closed !== null;
  const at = place.get(before);
  return at !== undefined && Object.keys(fold.done).some((step) => (place.get(step) ?? -1) >= at);
}

function answerTo(row: StepToSee, answers: AnswerRow[]): Answered | null {
  const given = answers.filter((one) => one.step === row.step && one.answer !== "seen");
  const last = given.at(-1);
  if (!last || !covers(given, row.changes)) return null;
  return { answer: last.answer, reason: last.reason, device: last.device, wall: last.wall };
}

function seenBy(mine: BulletinChange[], answers: AnswerRow[]): OnJob["seen"] {
  const read = answers.filter(({ answer }) => answer === "seen");
  const last = read.at(-1);
  return last && covers(read, mine.map(({ id }) => id)) ? { device: last.device, wall: last.wall } : null;
}

function covers(answers: AnswerRow[], changes: string[]): boolean {
  const covered = new Set(answers.flatMap((one) => one.changes));
  return changes.every((id) => covered.has(id));
}
