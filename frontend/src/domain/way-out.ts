/**
 * From any place in a job the shortest way to a machine that can be left standing, and to one that can be pushed: some steps further, or
 * back by making good what speaks against it. Knows the pack for one variant, which steps are done, and `standing`. Every way is played
 * through before it is told.
 */
import type { Action, Literal, ProcedurePack, Step } from "../generated/procedure-pack";
import { applyAction, applySteps, partsOf, poseFamily, type BenchState } from "./bench-state";
import { isTrue } from "./conditions";
import {
  compared, HEAT, holds, isHot, lastTouch, mayBeLeft, mayBePushed, NO_DOUBTS, type Doubts, type Row, type Standing,
} from "./standing";

export type Aim = "leave" | "push";
const MOST_ROUNDS = 60;
const LAST = ["fluid_not_full", "single_use", "hot", "aid_on", "pose_not_steady", "check_due"];

type Act = { verb: string; object: string };
/** Steps to do, or acts to make good; minutes of the steps that state a time, and how many rows state none. */
export type Way = { steps: string[]; acts: (Act & { steps: string[] })[]; minutes: number; untimed: number; see_to: Row[] };
/** `now`: holds as it is. `on`, `back`: null when there is no such way. */
export type WayOut = Standing & { now: boolean; on: Way | null; back: Way | null; shorter: "now" | "on" | "back" | null };

/**
 * `{leave, push}`, each the way out from where the job stands. `done`: ids of the steps that are done.
 * Shorter is the way with fewer minutes; when one of them holds a step without a time, the one with fewer rows.
 * Source: our own rules, see vectors way-out. Stops being true when something was done that no step tells.
 */
export function wayOut(pack: ProcedurePack, done: readonly string[], doubts: Doubts = NO_DOUBTS): Record<Aim, WayOut> {
  return { leave: wayOutTo(pack, done, doubts, "leave"), push: wayOutTo(pack, done, doubts, "push") };
}

function wayOutTo(pack: ProcedurePack, done: readonly string[], doubts: Doubts, aim: Aim): WayOut {
  const now = standingAfter(pack, done, doubts, aim);
  if (holds(now)) return { now: true, ...now, on: null, back: null, shorter: "now" };
  const [on, back] = [wayOn(pack, done, doubts, aim), wayBack(pack, done, doubts, aim)];
  return { now: false, ...now, on, back, shorter: shorterOf(on, back) };
}

const standing = (pack: ProcedurePack, state: BenchState, hot: boolean | null, doubts: Doubts, aim: Aim): Standing =>
  aim === "leave" ? mayBeLeft(pack, state, hot, doubts) : mayBePushed(pack, state, doubts);

const standingAfter = (pack: ProcedurePack, done: readonly string[], doubts: Doubts, aim: Aim): Standing =>
  standing(pack, applySteps(pack, done), isHot(pack, stepsOf(pack, done)), doubts, aim);

const stepsOf = (pack: ProcedurePack, ids: readonly string[]): Step[] => pack.steps.filter(({ id }) => ids.includes(id));

function shorterOf(on: Way | null, back: Way | null): "on" | "back" | null {
  if (!on || !back) return on ? "on" : back ? "back" : null;
  if (on.untimed > 0 || back.untimed > 0) return on.steps.length <= back.acts.length ? "on" : "back";
  return on.minutes <= back.minutes ? "on" : "back";
}

/** The fewest next steps after which it holds; steps that were skipped stay skipped. */
function wayOn(pack: ProcedurePack, done: readonly string[], doubts: Doubts, aim: Aim): Way | null {
  const reached = [...done];
  const further: Step[] = [];
  for (const step of pack.steps) {
    if (reached.includes(step.id) || doubts.skipped.includes(step.id)) continue;
    reached.push(step.id);
    further.push(step);
    const there = standingAfter(pack, reached, doubts, aim);
    if (holds(there)) return { steps: further.map(({ id }) => id), acts: [], ...timeOf(further, 0), see_to: there.see_to };
  }
  return null;
}

/** Minutes of the steps; `others`: rows that no step tells, and so have no time. */
const timeOf = (steps: Step[], others: number): { minutes: number; untimed: number } => ({
  minutes: steps.reduce((sum, { minutes }) => sum + (minutes ?? 0), 0),
  untimed: others + steps.filter(({ minutes }) => minutes === null).length,
});

/** The acts that make good what speaks against it, played until nothing does; null when that is not to be had. */
function wayBack(pack: ProcedurePack, done: readonly string[], doubts: Doubts, aim: Aim): Way | null {
  const bench = new Bench(pack, applySteps(pack, done), isHot(pack, stepsOf(pack, done)));
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const there = standing(pack, bench.state, bench.hot, doubts, aim);
    if (holds(there)) return asWay(pack, bench.acts, there);
    const before = bench.acts.length;
    for (const reason of inTurn(there)) {
      bench.settle(reason);
      if (bench.acts.length > before) break;
    }
    if (bench.acts.length === before) return null;
  }
  return null;
}

/** The reasons that acts can settle, in the order in which they are: checks and aids after parts, joints and fluids. */
function inTurn({ against, unknown }: Standing): Row[] {
  const reasons = [...against, ...unknown.filter(({ code }) => code === "mass_not_known")];
  return reasons.sort((a, b) => LAST.indexOf(a.code) - LAST.indexOf(b.code));
}

function asWay(pack: ProcedurePack, acts: Act[], { see_to }: Standing): Way {
  const rows = acts.map((act) => ({ ...act, steps: telling(pack, act) }));
  const others = rows.filter(({ steps }) => steps.length === 0).length;
  return { steps: [], acts: rows, ...timeOf(stepsOf(pack, rows.flatMap(({ steps }) => steps)), others), see_to };
}

/** The steps that tell how this act is done; of a joint also the start and the earlier stages. */
function telling(pack: ProcedurePack, { verb, object }: Act): string[] {
  const verbs = verb === "tighten" ? ["start", "tighten"] : verb === "wait" ? [] : [verb];
  const units = Object.keys(pack.units).filter((unit) => verb === "fit" && pack.units[unit]!.parts.includes(object));
  const things = [object, ...units];
  return pack.steps.filter((step) => step.do.some((action) => verbs.includes(action.verb) && things.includes(action.object))).map(({ id }) => id);
}

/** A state on which acts are played; each act is kept with what it is about. */
class Bench {
  acts: Act[] = [];
  private busy = new Set<string>();

  constructor(
    private pack: ProcedurePack,
    public state: BenchState,
    public hot: boolean | null,
  ) {}

  private play(verb: string, object: string): void {
    this.acts.push({ verb, object });
    this.state = applyAction(this.pack, this.state, { verb, object } as Action);
  }

  /** The acts that take one reason away. */
  settle({ code, object }: Row): void {
    if (["part_off", "part_aside", "hung_heavy", "mass_not_known"].includes(code)) this.putOn(object);
    else if (["joint_not_final", "joint_loose", "fluid_behind", "fuel_open", "spring_held"].includes(code)) this.make(object);
    else if (code === "part_loose") for (const joint of this.jointsOf([object])) this.make(joint);
    else if (code === "fluid_not_full") this.fill(object);
    else if (code === "check_due") this.check(this.pack.follow_ons[object]!.needs, lastTouch(this.pack, this.state, object));
    else if (code === "single_use") this.play("renew", object);
    else if (code === "aid_on") this.play("aid_off", object);
    else if (code === "pose_not_steady") this.stand(poseFamily(this.pack, object));
    else if (code === "hot") this.cool();
  }

  /** A part, or the unit that it left with: first what it would shut in, then the part, then its joints. */
  private putOn(part: string): void {
    if (!Object.hasOwn(this.state.parts, part) || this.busy.has(`on ${part}`)) return;
    this.busy.add(`on ${part}`);
    this.clearBehind(part);
    for (const other of this.laterNeighbours(part)) this.putOn(other);
    const thing = this.leftAs(part);
    const parts = partsOf(this.pack, thing);
    for (const each of parts) if (this.state.disturbed.includes(each)) this.play("renew", each);
    // a plug or cloth in the opening comes out before the part goes over it
    for (const aid of this.state.aids.filter((id) => parts.some((each) => this.covers(id, each)))) this.play("aid_off", aid);
    this.play("fit", thing);
    for (const joint of this.jointsOf(parts)) this.make(joint);
    this.busy.delete(`on ${part}`);
  }

  private covers = (aid: string, part: string): boolean =>
    (this.pack.aids[aid]!.covers ?? []).some((thing) => partsOf(this.pack, thing).includes(part));

  /** The unit that the part left with, if it is off as one; else the part. */
  private leftAs(part: string): string {
    const since = this.state.touched[`out ${part}`];
    const left = (unit: string) => this.pack.units[unit]!.parts.includes(part) && this.state.touched[`out ${unit}`] === since;
    return (this.state.parts[part] === "out" && Object.keys(this.pack.units).sort().find(left)) || part;
  }

  /** Whatever is off or open and can only be got at while `thing` is off or open is made good first. */
  private clearBehind(thing: string): void {
    for (const part of Object.keys(this.state.parts).sort()) {
      if (part !== thing && this.isShutIn(this.pack.parts[part]!.exit, thing)) this.putOn(part);
    }
    for (const joint of Object.keys(this.state.joints).sort()) {
      if (joint !== thing && this.isShutIn(this.pack.joints[joint]!.reach, thing)) this.make(joint);
    }
  }

  /** True if every way that is open now needs `thing` off or open. */
  private isShutIn(ways: Literal[][], thing: string): boolean {
    const things = [thing, ...Object.keys(this.pack.units).filter((unit) => this.pack.units[unit]!.parts.includes(thing))];
    const open = ways.filter((every) => every.every((literal) => isTrue(this.pack, this.state, literal)));
    return open.length > 0 && open.every((every) => every.some(([word, key]) => ["out", "aside", "undone"].includes(word) && things.includes(key)));
  }

  /** Parts joined to this one that came off after it, the last one first. */
  private laterNeighbours(part: string): string[] {
    const since = this.offSince(part);
    const joined = new Set(this.jointsOf([part]).flatMap((joint) => this.pack.joints[joint]!.joins));
    return [...joined]
      .filter((other) => Object.hasOwn(this.state.parts, other) && this.offSince(other) > since)
      .sort((a, b) => this.offSince(b) - this.offSince(a) || compared(a, b));
  }

  private offSince = (part: string): number => this.state.touched[`${this.state.parts[part]} ${part}`] ?? 0;

  /** Joints of these parts that are not final, the last opened first. */
  private jointsOf(parts: string[]): string[] {
    const since = (joint: string) => this.state.touched[`undone ${joint}`] ?? 0;
    return Object.keys(this.state.joints)
      .filter((joint) => this.pack.joints[joint]!.joins.some((part) => parts.includes(part)))
      .sort((a, b) => since(b) - since(a) || compared(a, b));
  }

  /** A joint final, with everything on that it joins. */
  private make(joint: string): void {
    if (!Object.hasOwn(this.state.joints, joint) || this.busy.has(`made ${joint}`)) return;
    this.busy.add(`made ${joint}`);
    this.clearBehind(joint);
    const joins = this.pack.joints[joint]!.joins;
    for (const part of joins) this.putOn(part);
    if (Object.hasOwn(this.state.joints, joint) && !joins.some((part) => Object.hasOwn(this.state.parts, part))) {
      for (const thing of [joint, ...joins]) if (this.state.disturbed.includes(thing)) this.play("renew", thing);
      this.play("tighten", joint);
    }
    this.busy.delete(`made ${joint}`);
  }

  /** Every joint under the fluid final, then the fluid in, the air out and the level checked. */
  private fill(fluid: string): void {
    const { joints, checks } = this.pack;
    const lid = this.pack.fluids[fluid]!.fill;
    for (const joint of Object.keys(this.state.joints).filter((id) => joints[id]!.holds.includes(fluid) && id !== lid).sort()) this.make(joint);
    if (this.state.fluids[fluid] === "drained") this.play("fill", fluid);
    const [bleed, level] = ["bleed", "level"].map((kind) =>
      Object.keys(checks).filter((check) => checks[check]!.fluid === fluid && checks[check]!.kind === kind).sort());
    this.check(bleed!, this.state.touched[`drained ${fluid}`] ?? 0);
    for (const check of level!) this.play("level", check);
  }

  /** The checks that were not made since, but for runs: nobody has to ride a machine before it is pushed. */
  private check(needs: readonly string[], since: number): void {
    for (const check of needs) {
      const kind = Object.hasOwn(this.pack.checks, check) ? this.pack.checks[check]!.kind : "run";
      if (kind !== "run" && (this.state.checks[check] ?? 0) < since) this.play(kind, check);
    }
  }

  /** The first steady pose of the family: the one before the job if it is steady. */
  private stand(family: string | null): void {
    const poses = Object.keys(this.pack.poses).filter((pose) => this.pack.poses[pose]!.family === family && this.pack.poses[pose]!.steady === true);
    const before = this.pack.start.filter((literal) => literal[0] === "pose" && poses.includes(literal[1])).map((literal) => literal[1]);
    for (const pose of [...before, ...poses.sort()].slice(0, 1)) this.play("pose", pose);
  }

  private cool(): void {
    const cold = Object.keys(this.pack.poses).filter((pose) => this.pack.poses[pose]!.family === HEAT && this.pack.poses[pose]!.steady === true);
    this.hot = false;
    this.play(cold.length > 0 ? "pose" : "wait", cold.sort()[0] ?? "");
  }
}
