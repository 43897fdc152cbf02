/** What the jobs on this phone really took, step by step, for the estimates of time. Knows journals and packs; estimates nothing. */
import { stepTimes, type StepTime } from "../../domain/step-times";
import { stepTime } from "../../domain/labour-time";
import { numberText, roundHalfAway } from "../../domain/rounding";
import { jobs, journalOf, loadPack, type ProcedurePack } from "../../store/bench";
import { timesWords as words } from "../../text/numbers-words";
import type { Filled } from "./calculator";

/** A step's time in one job of this phone. */
type Timed = StepTime & { procedure: string; pack: string };

const timesKept = (): Timed[] =>
  jobs.value.flatMap(({ job, procedure, pack }) => stepTimes(journalOf(job).value).map((time) => ({ ...time, procedure, pack })));

const minutesText = (times: readonly Timed[]): string => times.map(({ minutes }) => numberText(roundHalfAway(minutes, 0.1))).join("; ");

/** The steps of a procedure with what they took here, as text for the field of logged times; a step is the same in every revision. */
export function logsOf(procedure: string): ReadonlyMap<string, string> {
  const mine = timesKept().filter((time) => time.procedure === procedure);
  return new Map([...new Set(mine.map(({ step }) => step))].map((step) => [step, minutesText(mine.filter((time) => time.step === step))]));
}

const MOST_ROWS = 60;

/** Every step with an estimate and a time: one row each, those timed most often first. */
export async function timedSteps(): Promise<Filled> {
  const times = timesKept();
  const packs = new Map<string, ProcedurePack | null>();
  // a pack that is no longer here takes the estimates of its job with it, and that is said
  for (const sha of new Set(times.map(({ pack }) => pack))) packs.set(sha, await loadPack(sha).catch(() => null));
  const rows = new Map<string, { estimate: number; times: Timed[] }>();
  for (const time of times) {
    const estimate = packs.get(time.pack)?.steps.find(({ id }) => id === time.step)?.minutes;
    if (estimate == null || estimate <= 0) continue;
    const key = `${time.procedure} ${time.step}`;
    const row = rows.get(key);
    if (row) row.times.push(time);
    else rows.set(key, { estimate, times: [time] });
  }
  const sorted = [...rows.values()].sort((a, b) => b.times.length - a.times.length).slice(0, MOST_ROWS);
  const form = Object.fromEntries(sorted.flatMap(({ estimate, times: took }, n) => [[`steps.${n}.estimate_min`, `${estimate} min`], [`steps.${n}.logs_min`, minutesText(took)]]));
  const taken = sorted.flatMap(({ times: took }) => took);
  const counts = {
    steps: sorted.length, times: taken.length, often: sorted.filter(({ times: took }) => took.length >= 3).length,
    timers: taken.filter(({ how }) => how === "timer").length, lost: [...packs.values()].filter((pack) => pack === null).length,
  };
  return { form: sorted.length === 0 ? {} : { "steps.count": String(sorted.length), ...form }, said: words.taken(counts) };
}

/** How sure a time is: the narrowest of the choices that is not narrower than what estimate and logs give. */
export function sureOf(estimateMin: number, logs: string): { median: string; sigma: string } {
  const taken = logs === "" ? [] : logs.split("; ").map(Number);
  const { q50_min, sigma } = stepTime({ estimate_min: estimateMin, logs_min: taken }).values as { q50_min: number; sigma: number };
  return { median: numberText(roundHalfAway(q50_min, 0.1)), sigma: ["0.2", "0.4", "0.7"].find((one) => Number(one) >= sigma) ?? "0.7" };
}
