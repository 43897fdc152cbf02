/** Where a job goes from a step, and what holds a step back. Knows the fold and the pack; nothing of the page. */
import type { ProcedurePack, Step } from "../../store/bench";
import { stepWords as words } from "../../text/job-words";
import { jointOf } from "./names";
import type { JobView, Reading } from "./job-view";

export const pathOf = (job: string, step: string): string => `/job/${job}/step/${step}`;

/** The address after a step is over: the next open step, else the first one left open before it, else close-out. */
export function afterStep(view: JobView, step: string): string {
  const at = view.steps.findIndex(({ id }) => id === step);
  const isOpen = ({ id }: Step) => id !== step && !view.fold.done[id] && !view.fold.skipped[id];
  const next = view.steps.slice(at + 1).find(isOpen) ?? view.steps.find(isOpen);
  return next ? pathOf(view.job, next.id) : `/job/${view.job}/close`;
}

/** The last reading of a step that counts. */
export const readingAt = (view: JobView, step: string): Reading | null =>
  view.fold.readings.filter((reading) => reading.step === step).at(-1) ?? null;

/** What the person must do before the step can be called done; null when nothing. A reading outside a limit that asks or stops holds the step. */
export function blockedBy(view: JobView, step: Step): string | null {
  if (!step.limits) return null;
  const reading = readingAt(view, step.id);
  if (!reading) return words.readingFirst;
  const stops = step.limits.fail_needs === "ask" || step.limits.fail_needs === "stop";
  return reading.verdict !== "within" && stops ? words.outsideFirst : null;
}

/** The safety classes that a step touches, by its joints, parts and figure. */
export function safetyOf(pack: ProcedurePack, step: Step): string[] {
  const classes = step.do.flatMap((action) => [jointOf(pack, action)?.safety, pack.parts[action.object]?.safety]);
  const figure = step.figure === null ? undefined : pack.figures[step.figure]?.safety;
  return [...new Set([...classes, figure])].filter((name) => name !== undefined && name !== "normal") as string[];
}
