// Made from shared/schemas/procedure-pack.schema.json by generate-types.mjs. Change the schema, not this file.

export type Kebab = string;
export type Day = string;
/**
 * @minItems 2
 * @maxItems 2
 */
export type Years = [number, number];
export type Id = string;
/**
 * When something applies (shared/README.md §2); null is always.
 */
export type Guard = null | ["all", ...Guard[]] | ["any", ...Guard[]] | ["not", Guard] | ["year", Comparison, number] | ["option", string];
/**
 * What must be true (shared/README.md §3).
 */
export type Literal = [string, string] | ["set", string, string];
export type Safety = "normal" | "brakes" | "steering" | "fuel" | "wheels" | "throttle" | "lifting";
export type Renew = "never" | "always" | "inspect";
export type JointKind = "threaded" | "clip" | "clamp" | "hose" | "plug" | "press" | "pin" | "cable" | "spring";
export type Pattern = "any" | "row" | "cross" | "circle" | "listed";
export type FigureKind =
  | "torque"
  | "length"
  | "volume"
  | "pressure"
  | "temperature"
  | "mass"
  | "angle"
  | "time"
  | "voltage"
  | "ratio"
  | "percent"
  | "speed"
  | "count";
export type CautionId = string;
export type SignalWord = "DANGER" | "WARNING" | "CAUTION" | "NOTICE";
export type CheckKind = "measure" | "adjust" | "test" | "run" | "level" | "bleed";
/**
 * @minItems 1
 */
export type Limbs = {
  meter: "hours" | "km" | "starts" | "days" | "months";
  every: number;
}[];
export type Verb =
  | "undo"
  | "slacken"
  | "start"
  | "tighten"
  | "remove"
  | "hang"
  | "fit"
  | "renew"
  | "inspect"
  | "clean"
  | "apply"
  | "drain"
  | "fill"
  | "measure"
  | "adjust"
  | "test"
  | "run"
  | "bleed"
  | "level"
  | "wait"
  | "photograph"
  | "set"
  | "pose"
  | "aid_on"
  | "aid_off"
  | "note";
export type FailNeeds = "renew" | "ask" | "adjust" | "stop";
export type Sha256 = string;
export type Comparison = "<" | "<=" | "=" | ">=" | ">";

/**
 * A compiled procedure for a model, or for any machine (model null): shared/README.md §6.
 */
export interface ProcedurePack {
  format: "benchtrail.procedure/1";
  dealer: Kebab;
  procedure: Kebab;
  title: string;
  summary: string;
  invented: boolean;
  revision: number;
  issued: Day;
  author: string;
  change_note: string;
  model: ModelOfPack | null;
  applies: Guard;
  goal: Literal[];
  safety: Safety[];
  people: number;
  skill: string;
  start: Literal[];
  ends: Literal[];
  prepare: Prepare;
  stop_and_ask: string;
  disposal: string | null;
  parts: {
    [k: string]: Part;
  };
  units: {
    [k: string]: Unit;
  };
  joints: {
    [k: string]: Joint;
  };
  figures: {
    [k: string]: Figure;
  };
  fluids: {
    [k: string]: Fluid;
  };
  tools: {
    [k: string]: Tool;
  };
  supplies: {
    [k: string]: Supply;
  };
  poses: {
    [k: string]: Pose;
  };
  settings: {
    [k: string]: Setting;
  };
  aids: {
    [k: string]: Aid;
  };
  cautions: {
    [k: string]: Caution;
  };
  checks: {
    [k: string]: Check;
  };
  follow_ons: {
    [k: string]: FollowOn;
  };
  isolations?: {
    [k: string]: Isolation;
  };
  accepted?: Accepted[];
  also?: Also;
  steps: Step[];
  pictures: {
    [k: string]: Picture;
  };
}
export interface ModelOfPack {
  id: Kebab;
  name: string;
  years: Years;
  options: Option[];
}
export interface Option {
  id: Id;
  name: string;
  group: string | null;
  when: Guard;
}
export interface Prepare {
  tools: Id[];
  supplies: Id[];
}
export interface Part {
  name: string;
  side: string | null;
  number: string | null;
  count: number;
  when: Guard;
  renew: Renew;
  hold: boolean;
  mass_kg: number | null;
  look_for: string | null;
  exit: Literal[][];
  aside: Literal[][] | null;
  safety: Safety;
  inside: boolean;
  minutes: number | null;
  treatment?: Treatment;
  own_place?: boolean;
  leaves_open?: string | null;
}
/**
 * What goes on threads or on a part: due before it is fitted, or by the end; minutes it may lie open, and must rest before fluid or running.
 */
export interface Treatment {
  kind: "none" | "dry" | "oil" | "grease" | "locker" | "sealant";
  supply: Id | null;
  due?: "fit" | "end";
  open_min?: number | null;
  cure_min?: number | null;
}
export interface Unit {
  name: string;
  /**
   * @minItems 1
   */
  parts: Id[];
  when: Guard;
  exit: Literal[][] | null;
  minutes: number | null;
}
export interface Joint {
  name: string;
  joins: Id[];
  kind: JointKind;
  thread: string | null;
  tools: Id[];
  /**
   * @minItems 1
   */
  positions: Position[];
  reach: Literal[][];
  holds: Id[];
  dry_in: Id[];
  figure: Id | null;
  hand: string | null;
  treatment: Treatment;
  pattern: Pattern;
  order: number[] | null;
  /**
   * @minItems 1
   */
  stages: Stage[];
  renew: Renew;
  number: string | null;
  safety: Safety;
  when: Guard;
  minutes: {
    undo: number | null;
    make: number | null;
  } | null;
}
/**
 * Where a fastener sits: millimetres on the face, x to the right, y down.
 */
export interface Position {
  /**
   * @minItems 2
   * @maxItems 2
   */
  at: [number, number];
  length_mm: number | null;
  label: string | null;
  blind?: boolean;
}
export interface Stage {
  share?: number;
  figure?: Id;
  angle_deg?: number;
  pose: Id | null;
}
/**
 * A published value with unit, tolerance, condition and source. value, low and high are in the canonical unit of the kind.
 */
export interface Figure {
  id: Id;
  kind: FigureKind;
  value: number | null;
  low: number | null;
  high: number | null;
  unit: string;
  as_published: string;
  tolerance: string | null;
  condition: string;
  source: string;
  revision: string | null;
  safety: Safety;
  when: Guard;
}
export interface Fluid {
  name: string;
  capacity_ml: number | null;
  refill_ml: number | null;
  specification: string | null;
  fill: Id | null;
  drain: Id | null;
  level: string | null;
  hazards: string[];
  disposal: string | null;
  when: Guard;
  minutes: {
    drain: number | null;
    fill: number | null;
  } | null;
}
export interface Tool {
  name: string;
  kind: string | null;
  low_nm: number | null;
  high_nm: number | null;
  when: Guard;
}
export interface Supply {
  name: string;
  kind: string | null;
  when: Guard;
}
export interface Pose {
  name: string;
  family: string;
  when: Guard;
  minutes: number | null;
  needs: Literal[][];
  steady?: boolean | null;
}
export interface Setting {
  name: string;
  /**
   * @minItems 1
   */
  values: string[];
  start: string;
  when: Guard;
  minutes: number | null;
}
export interface Aid {
  name: string;
  control: boolean;
  catches?: Id[];
  covers?: Id[];
  carries?: Id[];
  when: Guard;
}
export interface Caution {
  id: CautionId;
  signal: SignalWord;
  hazard: string;
  consequence: string;
  avoidance: string;
  triggers: [string, string][];
  when: Guard;
}
export interface Check {
  name: string;
  kind: CheckKind;
  figure: Id | null;
  fluid: Id | null;
  when: Guard;
  minutes: number | null;
  reach: Literal[][];
  tools?: Id[];
  at_least?: Id | null;
  at_most?: Id | null;
}
export interface FollowOn {
  after: Literal[];
  needs: Id[];
  reason: string;
  safety: Safety;
  when: Guard;
}
/**
 * Energy that must be shut off or let go before an act; a trigger with no object means every object.
 */
export interface Isolation {
  energy: "weight" | "spring" | "pressure" | "heat" | "electric" | "motion" | "fuel";
  during: [string, string][];
  needs: Literal[][];
  reason: string;
  when: Guard;
}
/**
 * A warning of the checks that the author lets stand, and why; step is null for the head.
 */
export interface Accepted {
  check: string;
  step: Kebab | null;
  object: Id | null;
  reason: string;
}
/**
 * What else of the model's services is cheap while the machine is apart for this job: the services, rows of extra work, and which row list goes with which machines.
 */
export interface Also {
  services: {
    [k: string]: DueService;
  };
  /**
   * The options that make a difference.
   */
  options: Id[];
  rows: ExtraWork[][];
  of: AlsoOf[];
}
export interface DueService {
  name: string;
  every: Limbs;
  procedure: Kebab | null;
  source: string;
}
export interface ExtraWork {
  service: Id;
  minutes_more: number;
  minutes_alone: number;
  acts: string[];
}
export interface AlsoOf {
  years: Years;
  options: Id[];
  rows: number;
}
export interface Step {
  id: Kebab;
  section: string;
  /**
   * @minItems 1
   */
  do: Action[];
  say: string;
  detail: string | null;
  when: Guard;
  figure: Id | null;
  cautions: CautionId[];
  limits: Limits | null;
  look_for: string | null;
  picture: string | null;
  minutes: number | null;
  tools: Id[];
}
/**
 * What a step does to the machine. object is an id, or the words of a photograph, or empty for wait and note.
 */
export interface Action {
  verb: Verb;
  object: string;
  stage?: number;
  to?: Id;
  amount_ml?: number;
  minutes?: number;
  value?: string;
}
/**
 * Limits of a reading. low and high are ids of figures, not numbers.
 */
export interface Limits {
  check: Id;
  kind: string;
  unit: string;
  low: Id | null;
  high: Id | null;
  pass: string;
  fail: string;
  fail_needs: FailNeeds;
}
export interface Picture {
  sha256: Sha256;
  mime: string;
  bytes: number;
  alt: string;
}
/**
 * What falls due at an interval, and the goals that doing it means.
 */
export interface Service {
  name: string;
  /**
   * @minItems 1
   */
  goals: Literal[];
  every: Limbs;
  procedure: Kebab | null;
  source: string;
  when: Guard;
}
