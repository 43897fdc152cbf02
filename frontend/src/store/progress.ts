/** How far a job is, from its events and its pack. */
import { guardHolds } from "../domain/guards";
import { variantOf, type Variant } from "../domain/variant";
import type { JobMachine, JournalEvent, Outcome, ProcedurePack } from "./pack-types";
import type { JobSummary } from "./types";

type Progress = Pick<JobSummary, "done" | "total" | "place" | "closed">;

export function progress(events: JournalEvent[], pack: ProcedurePack | null, machine: JobMachine | null): Progress {
  const retracted = new Set(events.filter((event) => event.kind === "Retracted").map((event) => event.body.event));
  const counted = events.filter((event) => !retracted.has(event.id));
  const steps = (pack?.steps ?? []).filter((step) => applies(step.when, variantOf(machine))).map((step) => step.id);
  const done = stepsOf(counted, "StepDone");
  const over = new Set([...done, ...stepsOf(counted, "StepSkipped")]);
  const closed = counted.findLast((event) => event.kind === "JobClosed");
  return {
    done: pack === null ? done.size : steps.filter((step) => done.has(step)).length, total: steps.length,
    place: steps.find((step) => !over.has(step)) ?? null, closed: closed ? { outcome: closed.body.outcome as Outcome } : null,
  };
}

function stepsOf(events: JournalEvent[], kind: string): Set<string> {
  return new Set(events.filter((event) => event.kind === kind).map((event) => String(event.body.step)));
}

/** A guard of a form this version does not know counts as applying: a step too many is seen, a step hidden is not. */
function applies(guard: ProcedurePack["applies"], variant: Variant | null): boolean {
  try {
    return guardHolds(guard, variant);
  } catch {
    return true;
  }
}
