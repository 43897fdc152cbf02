/**
 * How long a step or job takes, with its interval, from the author's estimate and few logs.
 * Knows a normal-inverse-gamma estimate of the logarithm of times; says when it is mostly the author's guess.
 */
import { answer, note, source } from "./answer";
import { EDGE, bounded, positive, record, several } from "./bounds";
import { Refused } from "./refused";

const ALPHA = 3;
const BETA = 0.32;
const MOST_MIN = 10_000;
const LEFT_RUNNING = 4;
const NORMAL_90 = 1.2815515655446004;
const LEAST_STEPS = 30;
const LEAST_LOGS = 3;
const SOURCES = [source("arithmetic", "conjugate estimate of log times, our derivation")];

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}

/**
 * How long a step will take: a low, a middle and a high time. y = ln t; κ = τ + n; m = (τ·ln t0 + Σy)/κ; α' = α + n/2;
 * β' = β + ½Σ(y − ȳ)² + τ·n·(ȳ − ln t0)²/(2κ); next time exp(m ± T(2α')·√(β'(κ + 1)/(α'κ))). Logs above four times the
 * middle are set aside as left running.
 */
export function stepTime({ estimate_min, logs_min = [], weight = 1, alpha = ALPHA, beta = BETA }: {
  estimate_min: number; logs_min?: readonly number[]; weight?: number; alpha?: number; beta?: number;
}) {
  const first = Math.log(positive(estimate_min, "estimated time", "min", MOST_MIN));
  const logs = several(logs_min, "logged times", 0, 500).map((log) => positive(log, "logged time", "min", MOST_MIN));
  const tau = bounded(weight, "weight of the estimate", "", 0.1, 10);
  const shape = bounded(alpha, "prior shape", "", 1.5, 50);
  const spread = bounded(beta, "prior spread", "", 0.001, 10);
  const ys = notLeftRunning(logs, estimate_min).map(Math.log);
  const [count, kappa] = [ys.length, tau + ys.length];
  const mean = count > 0 ? sum(ys) / count : first;
  const mean_ln = (tau * first + sum(ys)) / kappa;
  const betaN = spread + sum(ys.map((y) => (y - mean) ** 2)) / 2 + (tau * count * (mean - first) ** 2) / (2 * kappa);
  const alphaN = shape + count / 2;
  const scale = Math.sqrt((betaN * (kappa + 1)) / (alphaN * kappa));
  const degrees = Math.max(Math.floor(2 * alphaN + 0.5), 3);
  const room = studentT90(degrees) * scale;
  const set_aside = logs.length - count;
  const values = {
    q10_min: Math.exp(mean_ln - room), q50_min: Math.exp(mean_ln), q90_min: Math.exp(mean_ln + room), mean_ln, beta: betaN,
    sigma: scale * Math.sqrt(degrees / (degrees - 2)), count, set_aside,
  };
  const few = count < Math.max(tau, 1) ? [note("mostly_estimate", { count })] : [];
  const notes = set_aside > 0 ? [...few, note("logs_set_aside", { set_aside })] : few;
  return answer(values, note("step_time", values), SOURCES, [note("another_person")], notes);
}

/** The logs without those above four times the middle one (with fewer than three, of the estimate). */
function notLeftRunning(logs: readonly number[], estimate: number): number[] {
  const middle = logs.length >= LEAST_LOGS ? median(logs) : estimate;
  return logs.filter((log) => log <= LEFT_RUNNING * middle + EDGE);
}

function median(numbers: readonly number[]): number {
  const ordered = [...numbers].sort((a, b) => a - b);
  const half = Math.floor(ordered.length / 2);
  return ordered.length % 2 === 1 ? (ordered[half] ?? NaN) : ((ordered[half - 1] ?? NaN) + (ordered[half] ?? NaN)) / 2;
}

/** Probability of Student's t below `t` for whole degrees of freedom (finite series, A&S 26.7.3 and 26.7.4). */
export function studentTCdf(t: number, degrees: number): number {
  const angle = Math.atan2(t, Math.sqrt(degrees));
  const cosine2 = Math.cos(angle) ** 2;
  const even = degrees % 2 === 0;
  let term = even ? 1 : Math.cos(angle);
  let total = degrees > 1 ? term : 0;
  const terms = even ? degrees / 2 : (degrees - 1) / 2;
  for (let k = 1; k < terms; k += 1) {
    term *= (even ? (2 * k - 1) / (2 * k) : (2 * k) / (2 * k + 1)) * cosine2;
    total += term;
  }
  return even ? 0.5 + 0.5 * Math.sin(angle) * total : 0.5 + (angle + Math.sin(angle) * total) / Math.PI;
}

/** The t below which 90 % lie, by halving an interval. */
export function studentT90(degrees: number): number {
  let [low, high] = [0, 4];
  for (let n = 0; n < 60; n += 1) {
    const middle = (low + high) / 2;
    if (studentTCdf(middle, degrees) < 0.9) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** How long the whole job takes: the sum of its steps as one log-normal, by matching mean and variance. */
export function jobTime({ steps, person_sigma = 0 }: { steps: readonly { median_min: number; sigma: number }[]; person_sigma?: number }) {
  const taken = several(steps, "steps", 1, 500).map((step) => ({
    m: positive(record(step, "step").median_min, "middle time of a step", "min", MOST_MIN), s: bounded(step.sigma, "spread of a step", "", 0, 3),
  }));
  const person = bounded(person_sigma, "spread between people", "", 0, 2);
  const mean_min = sum(taken.map(({ m, s }) => m * Math.exp((s * s) / 2)));
  const variance = sum(taken.map(({ m, s }) => m * m * Math.exp(s * s) * (Math.exp(s * s) - 1)));
  const spread2 = Math.log(1 + variance / mean_min ** 2);
  const middle = Math.log(mean_min) - spread2 / 2;
  const room = NORMAL_90 * Math.sqrt(spread2 + person ** 2);
  const values = {
    mean_min, sd_min: Math.sqrt(variance), q10_min: Math.exp(middle - room), q50_min: Math.exp(middle), q90_min: Math.exp(middle + room),
  };
  const notes = person === 0 ? [note("people_not_counted")] : [];
  return answer(values, note("job_time", { ...values, count: taken.length }), SOURCES, [note("waits_not_counted")], notes);
}

/** Weight and spread learned across steps, once at least 30 steps have at least three logs. Throws `too_few_logs`. */
export function learnedWeight({ steps }: { steps: readonly { estimate_min: number; logs_min: readonly number[] }[] }) {
  const [within, between]: [number[], number[]] = [[], []];
  for (const step of several(steps, "steps", 0, 5000)) {
    const first = Math.log(positive(record(step, "step").estimate_min, "estimated time", "min", MOST_MIN));
    const ys = several(step.logs_min, "logged times", 0, 500).map((log) => Math.log(positive(log, "logged time", "min", MOST_MIN)));
    if (ys.length < LEAST_LOGS) continue;
    const mean = sum(ys) / ys.length;
    const variance = sum(ys.map((y) => (y - mean) ** 2)) / (ys.length - 1);
    within.push(variance);
    between.push((mean - first) ** 2 - variance / ys.length);
  }
  if (within.length < LEAST_STEPS) throw new Refused("too_few_logs", { count: String(within.length), least: String(LEAST_STEPS) });
  const [inside, outside] = [sum(within) / within.length, sum(between) / between.length];
  const weight = outside <= 0 ? 4 : Math.min(Math.max(inside / outside, 0.5), 4);
  const values = { weight, alpha: ALPHA, beta: Math.max(inside * (ALPHA - 1), 0.001), steps_used: within.length };
  return answer(values, note("learned_weight", values), SOURCES, [note("another_person")]);
}
