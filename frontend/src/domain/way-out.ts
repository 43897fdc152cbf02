/**
 * From any place in a job the shortest way to a machine that can be left standing, and to one that can be pushed: some steps further, back by
 * making good what speaks against it, or part of each. Knows the pack for one variant, which steps are done, and `standing`. Every way is
 * played through before it is told.
 */
import type { ProcedurePack, Step } from "../generated/procedure-pack";
import { applyStep, applySteps } from "./bench-state";
import { Bench, timeOf, type Judge, type WayRow } from "./making-good";
import { makeReady } from "./ready-for-step";
import { heatAfter, holds, isHot, mayBeLeft, mayBePushed, NO_DOUBTS, type Doubts, type Row, type Standing } from "./standing";

export type Aim = "leave" | "push";
/** `rows` in the order in which they are done: steps, and acts that make good; minutes of what states a time, and how many rows state none. */
export type Way = { rows: WayRow[]; minutes: number; untimed: number; see_to: Row[] };
/** `now`: holds as it is. `on`: steps alone; `back`: acts alone; null when there is no such way. `mixed`: steps and acts, told only when it
 * is shorter than both. */
export type WayOut = Standing & { now: boolean; on: Way | null; back: Way | null; mixed: Way | null; shorter: "now" | Kind | null };

const KINDS = ["on", "back", "mixed"] as const;
type Kind = (typeof KINDS)[number];
type Found = { kind: Kind; untimed: number; hundredths: number; way: Way };
type Job = { pack: ProcedurePack; done: readonly string[]; doubts: Doubts; judge: Judge };

/**
 * `{leave, push}`, each the way out from where the job stands. `done`: ids of the steps that are done.
 * A way is any number of the next steps, and before, between and after them the acts that make good. A way is longer than another that has
 * no more minutes and no more rows without a time; of those left the shortest has the fewest rows.
 * Source: our own rules, see vectors way-out. Stops being true when something was done that no step tells.
 */
export function wayOut(pack: ProcedurePack, done: readonly string[], doubts: Doubts = NO_DOUBTS): Record<Aim, WayOut> {
  return {
    leave: wayOutTo({ pack, done, doubts, judge: (state, hot) => mayBeLeft(pack, state, hot, doubts) }),
    push: wayOutTo({ pack, done, doubts, judge: (state) => mayBePushed(pack, state, doubts) }),
  };
}

function wayOutTo(job: Job): WayOut {
  const { pack, done, judge } = job;
  const start = new Bench(pack, applySteps(pack, done), isHot(pack, stepsOf(pack, done)));
  const now = judge(start.state, start.hot);
  if (holds(now)) return { now: true, ...now, on: null, back: null, mixed: null, shorter: "now" };
  const found = waysOf(job, start);
  const best = shortest(found);
  const [on, back] = (["on", "back"] as const).map((kind) => shortest(found.filter((way) => way.kind === kind))?.way ?? null);
  return { now: false, ...now, on: on!, back: back!, mixed: best?.kind === "mixed" ? best.way : null, shorter: best?.kind ?? null };
}

const stepsOf = (pack: ProcedurePack, ids: readonly string[]): Step[] => pack.steps.filter(({ id }) => ids.includes(id));

/** Of the ways that no other is quicker than, the one with the fewest rows; of equals steps alone, then acts alone. */
function shortest(ways: Found[]): Found | null {
  const left = ways.filter((way) => !ways.some((other) => isQuicker(other, way)));
  const [best] = left.sort((a, b) => a.way.rows.length - b.way.rows.length || a.untimed - b.untimed || a.hundredths - b.hundredths
    || KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind));
  return best ?? null;
}

type Time = { untimed: number; hundredths: number };
const isSame = (one: Time, other: Time): boolean => one.untimed === other.untimed && one.hundredths === other.hundredths;
const isQuicker = (one: Time, other: Time): boolean =>
  one.untimed <= other.untimed && one.hundredths <= other.hundredths && !isSame(one, other);

/** A way for each number of further steps, closed by the fewest acts, as far as one can still be the shortest; and always the first of
 * steps alone. */
function waysOf(job: Job, start: Bench): Found[] {
  const { pack, done, doubts, judge } = job;
  const found: Found[] = [];
  const steps: Step[] = [];
  const rows: WayRow[] = [];
  let bench = start;
  const further = pack.steps.filter(({ id }) => !done.includes(id) && !doubts.skipped.includes(id));
  for (const step of [...further, null]) {
    const far = isTooFar(pack, found, steps, rows);
    if (far && found.some(({ kind }) => kind === "on")) break;
    const alone = rows.length === steps.length;
    const closing = bench.again();
    const there = !far ? closing.makeGood(judge) : alone ? judge(bench.state, bench.hot) : null;
    if (there && holds(there)) found.push(told(pack, steps, [...rows, ...closing.acts], there));
    if (step === null || !makeReady(pack, bench, step, [...done, ...steps.map(({ id }) => id)], doubts)) break;
    rows.push(...bench.acts, { verb: "do", object: step.id, steps: [step.id] });
    steps.push(step);
    bench = after(job, bench, steps);
  }
  return found;
}

/** True if no way that begins with these rows can be the shortest: one is quicker, or as quick with no more rows. */
function isTooFar(pack: ProcedurePack, found: Found[], steps: Step[], rows: WayRow[]): boolean {
  const soFar = timeOf(pack, steps, actsOf(rows));
  return found.some((way) => isQuicker(way, soFar) || (isSame(way, soFar) && way.way.rows.length <= rows.length));
}

/** The bench after the last of these steps. Without skipped steps it is what the journal will fold: the steps in the order of the pack, also
 * where a later one was done before. */
function after({ pack, done, doubts }: Job, bench: Bench, steps: Step[]): Bench {
  const last = steps.at(-1)!;
  if (doubts.skipped.length > 0 || !pack.steps.slice(pack.steps.indexOf(last)).some(({ id }) => done.includes(id))) {
    return new Bench(pack, applyStep(pack, bench.state, last), heatAfter(pack, bench.hot, last), bench.owed);
  }
  const reached = [...done, ...steps.map(({ id }) => id)];
  return new Bench(pack, applySteps(pack, reached), isHot(pack, stepsOf(pack, reached)));
}

function told(pack: ProcedurePack, steps: Step[], rows: WayRow[], { see_to }: Standing): Found {
  const { untimed, hundredths } = timeOf(pack, steps, actsOf(rows));
  const kind = rows.length === steps.length ? "on" : steps.length > 0 ? "mixed" : "back";
  return { kind, untimed, hundredths, way: { rows, minutes: hundredths / 100, untimed, see_to } };
}

const actsOf = (rows: readonly WayRow[]): WayRow[] => rows.filter(({ verb }) => verb !== "do");
