// The words of what jobs say of a procedure's steps.
import { counted } from "./said";

export type Times = { n: number; median_min: number | null; low_min: number | null; high_min: number | null; coverage: number | null; q10_min: number | null; q90_min: number | null; aside: Record<string, number> };
export type StepRow = {
  number: number; step: string; say: string; section: string; minutes: number | null; jobs: number; times: Times; stopped: number; back: number; skipped: number;
  asked: number; notes: number; outside: number; trouble: number; too_few: boolean; look: string[];
};

export type Labour = {
  variant: string | null; q10_min: number | null; q50_min: number | null; q90_min: number | null; author_min: number; timed: number; untimed: number; logs: number; jobs: number;
  mostly_author: boolean; learned: boolean;
};

const ASIDE: Record<string, string> = {
  untold: "that the job cannot tell (ticked together, or begun at an unknown time)",
  left_running: "more than four times the middle one",
};

/** Minutes with as many places as they bear: seconds below two minutes. */
export function minutesInWords(minutes: number): string {
  return minutes < 2 ? `${Math.round(minutes * 60)}\u00a0s` : `${minutes.toFixed(minutes < 10 ? 1 : 0)}\u00a0min`;
}

export function timeInWords({ n, median_min, low_min, high_min }: Times): string {
  if (median_min === null || low_min === null || high_min === null) return `too few to say (${n})`;
  return `${minutesInWords(median_min)} (${minutesInWords(low_min)} to ${minutesInWords(high_min)}; n ${n})`;
}

export function tenthsInWords({ q10_min, q90_min }: Times): string {
  return q10_min === null || q90_min === null ? "" : `one job in ten is quicker than ${minutesInWords(q10_min)}, one in ten slower than ${minutesInWords(q90_min)}`;
}

export function asideInWords({ aside }: Times): string {
  const rows = Object.entries(aside).map(([why, n]) => `${n} ${ASIDE[why] ?? why}`);
  return rows.length ? `Set aside: ${rows.join(", ")}.` : "";
}

/** What happened at a step, of how many jobs. */
export function happenedInWords({ stopped, back, skipped, asked, outside }: StepRow): string[] {
  const rows: [number, string][] = [
    [stopped, "stopped here"],
    [back, "took the tick back"],
    [skipped, "skipped it"],
    [asked, "asked something"],
    [outside, "measured outside the limits"],
  ];
  return rows.filter(([n]) => n > 0).map(([n, words]) => `${n} ${words}`);
}

export function lookInWords({ look, trouble, jobs, minutes, times }: StepRow): string[] {
  return look.map((why) => {
    if (why === "trouble") return `People get stuck here more than at the other steps: in ${trouble} of ${counted(jobs, "job")}.`;
    const than = `the text says ${minutesInWords(minutes ?? 0)}, the range of the middle is ${minutesInWords(times.low_min ?? 0)} to ${minutesInWords(times.high_min ?? 0)}.`;
    return why === "slower" ? `Takes longer than written: ${than}` : `Is quicker than written: ${than}`;
  });
}

/** The whole job's time with its range, whose word it mostly is, and what is not in it. */
export function labourInWords({ variant, q10_min, q50_min, q90_min, author_min, timed, untimed, logs, mostly_author, learned }: Labour): string[] {
  if (q10_min === null || q50_min === null || q90_min === null) return ["Not known: no step states a time, and too few jobs tell one."];
  const whose = mostly_author
    ? `This is mostly what the author wrote (${minutesInWords(author_min)} in all): ${counted(logs, "time")} of steps came back.`
    : `Learned from ${counted(logs, "time")} of steps; the author wrote ${minutesInWords(author_min)} in all.`;
  return [
    `${minutesInWords(q50_min)} for ${variant ?? "the steps that every machine has"}; eight jobs in ten take between ${minutesInWords(q10_min)} and ${minutesInWords(q90_min)}.`,
    `${whose}${learned ? " How much the author's word weighs was learned too." : ""}`,
    ...(untimed > 0 ? [`${untimed} of ${counted(timed + untimed, "step")} have no time and are not in it.`] : []),
    "Waits for parts and curing are not in it, and people differ: jobs of one person lie together.",
  ];
}

export const HOW_TIME_IS_TAKEN =
  "A step's time runs from the end of the step before it (or the start, or going on after a stop) to its tick. Stops do not count, nor does the time in which the phone slept or showed something else; a timer that was run at the step counts instead. " +
  "Who works with the phone put away is measured short, and who looks at it without working is measured as working. The range holds the true middle with at least 95 %, from the order of the times alone (sign test; David and Nagaraja, Order Statistics, 2003, from memory); " +
  "it assumes that the jobs are independent, which jobs of one person are not. Below 6 times nothing is said of the middle, below 20 nothing of the tenths, below 5 jobs no step is pointed at.";
