/** How far a job is, from its events and its pack. */
import type { JournalEvent, ProcedurePack } from "./pack-types";
import type { Guard, JobSummary, Outcome } from "./types";

type Progress = Pick<JobSummary, "done" | "total" | "place" | "closed">;
type Variant = { year: number; options: string[] } | null;

export function progress(events: JournalEvent[], pack: ProcedurePack | null, variant: Variant): Progress {
  const retracted = new Set(events.filter((event) => event.kind === "Retracted").map((event) => event.body.event));
  const counted = events.filter((event) => !retracted.has(event.id));
  const steps = (pack?.steps ?? []).filter((step) => holds(step.when, variant)).map((step) => step.id);
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

function holds(guard: Guard, variant: Variant): boolean {
  if (guard === null || variant === null) return true;
  switch (guard[0]) {
    case "all": return (guard.slice(1) as Guard[]).every((inner) => holds(inner, variant));
    case "any": return (guard.slice(1) as Guard[]).some((inner) => holds(inner, variant));
    case "not": return !holds(guard[1], variant);
    case "year": return compare(variant.year, guard[1], guard[2]);
    case "option": return variant.options.includes(guard[1]);
  }
}

function compare(year: number, op: string, other: number): boolean {
  return { "<": year < other, "<=": year <= other, "=": year === other, ">=": year >= other, ">": year > other }[op] ?? false;
}
