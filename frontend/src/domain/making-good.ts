/**
 * Making good: the acts that take away what speaks against leaving a machine or pushing it, in an order in which they can be done.
 * Knows the pack for one variant, a state of the bench and the reasons of `standing`. What is needed of an act is fixed by the map and by the
 * order in which things came off, so the acts found are the fewest; which way is taken is not asked here.
 */
import type { Action, Literal, ProcedurePack, Step } from "../generated/procedure-pack";
import { applyAction, partsOf, poseFamily, type BenchState } from "./bench-state";
import { isTrue } from "./conditions";
import { compared, FLEXIBLE, HEAT, holds, lastTouch, type Row, type Standing } from "./standing";

const MOST_ROUNDS = 60;
const LAST = ["fluid_not_full", "single_use", "hot", "aid_on", "pose_not_steady", "check_due"];
const STANDS_ON = ["wheels", "steering", "lifting"];
export const OPENING = ["out", "aside", "undone"];

/** An act that makes good, with the steps that tell how; or, with the verb `do`, a step. */
export type WayRow = { verb: string; object: string; steps: string[] };
export type Judge = (state: BenchState, hot: boolean | null) => Standing;
type Time = { untimed: number; hundredths: number };

/** The ids of the steps that tell how an act is done; of a joint also the start and the earlier stages. */
function telling(pack: ProcedurePack, verb: string, thing: string): string[] {
  const verbs = verb === "tighten" ? ["start", "tighten"] : verb === "wait" ? [] : [verb];
  const things = [thing, ...Object.keys(pack.units).filter((unit) => verb === "fit" && pack.units[unit]!.parts.includes(thing))];
  return pack.steps.filter((step) => step.do.some((action) => verbs.includes(action.verb) && things.includes(action.object))).map(({ id }) => id);
}

/** How many steps and acts state no time, and hundredths of a minute of those that do. A step that tells several acts counts once; an act
 * that no step tells has no time. */
export function timeOf(pack: ProcedurePack, steps: readonly Step[], acts: readonly WayRow[]): Time {
  const told = new Set(acts.flatMap((act) => act.steps));
  const timed = [...steps, ...pack.steps.filter(({ id }) => told.has(id))];
  return {
    untimed: acts.filter((act) => act.steps.length === 0).length + timed.filter(({ minutes }) => minutes === null).length,
    hundredths: timed.reduce((sum, { minutes }) => sum + Math.round(100 * (minutes ?? 0)), 0),
  };
}

/** The reasons that acts can settle, in the order in which they are: checks and aids after parts, joints and fluids. */
function inTurn({ against, unknown }: Standing): Row[] {
  const reasons = [...against, ...unknown.filter(({ code }) => code === "mass_not_known")];
  return reasons.sort((a, b) => LAST.indexOf(a.code) - LAST.indexOf(b.code));
}

/** A state on which acts are played; each act is kept with what it is about. */
export class Bench {
  acts: WayRow[] = [];
  stepsFollow = false;
  private busy = new Set<string>();

  /** `owed`: parts that were put on and are still to be made fast, unless steps do it. */
  constructor(
    private pack: ProcedurePack,
    public state: BenchState,
    public hot: boolean | null,
    public owed: readonly string[] = [],
  ) {}

  /** Another bench in the same state, on which what is played leaves this one as it is. */
  again = (): Bench => new Bench(this.pack, this.state, this.hot, this.owed);

  private play(verb: string, object: string): void {
    this.acts.push({ verb, object, steps: telling(this.pack, verb, object) });
    this.state = applyAction(this.pack, this.state, { verb, object } as Action);
  }

  /** Plays acts until nothing speaks against it, and says how it stands then; null when that is not to be had. What nothing firm holds is
   * first made fast at all its joints, also where one of them would do. */
  makeGood(judge: Judge): Standing | null {
    for (const reason of judge(this.state, this.hot).against.filter(({ code }) => code === "part_loose")) this.settle(reason);
    this.makeFast(this.owed);
    for (let round = 0; round < MOST_ROUNDS; round += 1) {
      const there = judge(this.state, this.hot);
      if (holds(there)) return there;
      const before = this.acts.length;
      for (const reason of inTurn(there)) {
        if (LAST.includes(reason.code) && this.acts.length > before) break;
        this.settle(reason);
      }
      if (this.acts.length === before) return null;
    }
    return null;
  }

  /** The acts that take one reason away. */
  settle({ code, object }: Row): void {
    if (["part_off", "part_aside", "hung_heavy", "mass_not_known"].includes(code)) this.putOn(object);
    else if (["joint_not_final", "joint_loose", "fluid_behind", "fuel_open", "spring_held"].includes(code)) this.make(object);
    else if (code === "part_loose") for (const joint of this.holding(object)) this.make(joint);
    else if (code === "fluid_not_full") this.fill(object);
    else if (code === "check_due") this.check(this.pack.follow_ons[object]!.needs, lastTouch(this.pack, this.state, object));
    else if (code === "single_use") this.play("renew", object);
    else if (code === "aid_on") this.play("aid_off", object);
    else if (code === "pose_not_steady") this.stand(poseFamily(this.pack, object));
    else if (code === "hot") this.cool();
  }

  /** A part, or the unit that it left with: first what it would shut in, then the part, then its joints to what is on. */
  putOn(part: string): void {
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
    if (this.stepsFollow) this.owed = [...this.owed, ...parts];
    else this.makeFast(parts);
    this.busy.delete(`on ${part}`);
  }

  /** All joints of these parts to what is on; a joint to what is still off stays open. */
  private makeFast(parts: readonly string[]): void {
    for (const joint of this.jointsOf(parts)) {
      if (!this.pack.joints[joint]!.joins.some((part) => Object.hasOwn(this.state.parts, part))) this.make(joint);
    }
  }

  /** The joints that hold a part which must not fall: all that are firm, and those to be undone before it hangs. */
  private holding(part: string): string[] {
    const asked = (this.pack.parts[part]!.aside ?? []).flat().filter(([word]) => word === "undone").map(([, joint]) => joint);
    return this.jointsOf([part]).filter((joint) => asked.includes(joint) || !FLEXIBLE.includes(this.pack.joints[joint]!.kind));
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
    const byIt = (every: Literal[]) => every.some(([word, key]) => OPENING.includes(word) && things.includes(key));
    if (!ways.some(byIt)) return false;
    const open = ways.filter((every) => every.every((literal) => isTrue(this.pack, this.state, literal)));
    return open.length > 0 && open.every(byIt);
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
  private jointsOf(parts: readonly string[]): string[] {
    const since = (joint: string) => this.state.touched[`undone ${joint}`] ?? 0;
    return Object.keys(this.state.joints)
      .filter((joint) => this.pack.joints[joint]!.joins.some((part) => parts.includes(part)))
      .sort((a, b) => since(b) - since(a) || compared(a, b));
  }

  /** A joint final, with everything on that it joins. */
  make(joint: string): void {
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
  fill(fluid: string): void {
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

  /** A steady pose of the family that may be taken: the one before the job, else the one with the least time. What it may come to stand
   * on, its wheels and what holds them, is made good first. */
  private stand(family: string | null): void {
    const { parts, joints, poses, start } = this.pack;
    for (const part of Object.keys(this.state.parts).sort()) if (STANDS_ON.includes(parts[part]!.safety)) this.putOn(part);
    for (const joint of Object.keys(this.state.joints).sort()) if (STANDS_ON.includes(joints[joint]!.safety)) this.make(joint);
    const steady = Object.keys(poses).filter((pose) => poses[pose]!.family === family && poses[pose]!.steady === true && this.mayTake(poses[pose]!.needs));
    const before = start.filter((literal) => literal[0] === "pose" && steady.includes(literal[1])).map((literal) => literal[1]);
    const byTime = steady.sort((a, b) => this.compareTimes(a, b) || compared(a, b));
    for (const pose of [...before, ...byTime].slice(0, 1)) this.play("pose", pose);
  }

  private mayTake = (needs: Literal[][] | null): boolean =>
    !needs || needs.length === 0 || needs.some((every) => every.every((literal) => isTrue(this.pack, this.state, literal)));

  private compareTimes(a: string, b: string): number {
    const [one, other] = [a, b].map((pose) => timeOf(this.pack, [], [{ verb: "pose", object: pose, steps: telling(this.pack, "pose", pose) }]));
    return one!.untimed - other!.untimed || one!.hundredths - other!.hundredths;
  }

  private cool(): void {
    const cold = Object.keys(this.pack.poses).filter((pose) => this.pack.poses[pose]!.family === HEAT && this.pack.poses[pose]!.steady === true);
    this.hot = false;
    this.play(cold.length > 0 ? "pose" : "wait", cold.sort()[0] ?? "");
  }
}
