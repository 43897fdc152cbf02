/** What else of the services is cheap while the machine is apart for a job, and whether it is due as far as this phone knows. Knows the pack
 * and the jobs on this phone; nothing of the page. A service of which nothing is known is never called not due. */
import { serviceDue } from "../../domain/intervals";
import type { JobSummary, Machine, ProcedurePack } from "../../store/bench";
import { alsoWords as words } from "../../text/beside-words";
import { sentence } from "../../text/say";

type Also = NonNullable<ProcedurePack["also"]>;
type Service = Also["services"][string];
export type DueState = "overdue" | "due_soon" | "unknown" | "ok";
export type AlsoRow = { id: string; name: string; cost: string; due: DueState; dueText: string; acts: string[]; source: string };

const ORDER: DueState[] = ["overdue", "due_soon", "unknown", "ok"];

export function alsoRows(pack: ProcedurePack, machine: Machine, jobs: readonly JobSummary[], today: string): AlsoRow[] {
  if (!pack.also) return [];
  const found = rowsFor(pack.also, machine).map((row) => {
    const service = pack.also!.services[row.service]!;
    const due = dueState(service, machine, jobs, today);
    const cost = row.acts.length === 0 ? words.withThis : words.cost(row.minutes_more, row.minutes_alone);
    return { id: row.service, name: sentence(service.name), cost, due, dueText: words.due(due, service.every), acts: row.acts, source: service.source };
  });
  return found.sort((a, b) => ORDER.indexOf(a.due) - ORDER.indexOf(b.due));
}

/** The rows for a machine: by its year, and by those of its options that make a difference. */
function rowsFor(also: Also, machine: Machine): Also["rows"][number] {
  const fitted = also.options.filter((option) => machine.options.includes(option));
  const same = (options: readonly string[]) => options.length === fitted.length && fitted.every((option) => options.includes(option));
  const mine = also.of.find(({ years, options }) => years[0]! <= machine.year && machine.year <= years[1]! && same(options));
  return (mine && also.rows[mine.rows]) ?? [];
}

/** As far as this phone knows: when a finished job of its procedure last did it, and what the hour meter shows now. */
function dueState({ every, procedure }: Service, machine: Machine, jobs: readonly JobSummary[], today: string): DueState {
  const mine = jobs.filter((job) => job.machine?.id === machine.id && job.procedure === procedure && job.closed?.outcome === "finished");
  const last = mine.sort((a, b) => (a.startedWall < b.startedWall ? 1 : -1))[0];
  if (!last) return "unknown";
  const at = (date: string, hours: number | null) => ({ date, ...(hours === null ? {} : { hours }) });
  const done = at(last.startedWall.slice(0, 10), last.machine?.hours ?? null);
  try {
    const { values } = serviceDue({ limbs: every.map((limb) => ({ ...limb })), today, done, readings: machine.hours === null ? [] : [at(today, machine.hours)] });
    const state = ORDER.includes(values.state as DueState) ? (values.state as DueState) : "unknown";
    return state === "overdue" || metersKnown(every, last.machine?.hours ?? null, machine.hours) ? state : "unknown";
  } catch {
    return "unknown"; // a clock or a meter that runs backwards: nothing can be said
  }
}

/** True if every meter of the interval was read then and now, and did not run backwards. */
function metersKnown(every: Service["every"], then: number | null, now: number | null): boolean {
  return every.every(({ meter }) => meter === "days" || meter === "months" || (meter === "hours" && then !== null && now !== null && now >= then));
}
