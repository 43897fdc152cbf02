// Made from shared/schemas/event.schema.json by generate-types.mjs. Change the schema, not this file.

/**
 * One fact of a job (shared/README.md §8). Bodies may hold more than is listed; kinds that are not listed are kept and passed on.
 */
export type JournalEvent = {
  id: Uuid;
  device: Uuid;
  seq: number;
  job: Uuid;
  kind: string;
  body: Record<string, unknown>;
  hlc: string;
  wall: Moment;
  pack: Sha256;
  prev: Sha256 | null;
  schema: number;
};
export type Uuid = string;
export type Moment = string;
export type Sha256 = string;
export type Verdict = "within" | "outside" | "unknown";
export type Outcome = "finished" | "handed_over" | "given_up";

export interface JobStartedBody {
  machine: MachineFacts | null;
  procedure: string;
  revision: number;
  title: string;
  [k: string]: unknown;
}
export interface MachineFacts {
  id: string;
  name: string;
  model: string;
  year: number;
  options: string[];
  hours: number | null;
  serial: string | null;
  [k: string]: unknown;
}
export interface PrepTickedBody {
  item: string;
  ticked: boolean;
  [k: string]: unknown;
}
export interface StepDoneBody {
  step: string;
  [k: string]: unknown;
}
export interface StepSkippedBody {
  step: string;
  reason: string;
  [k: string]: unknown;
}
export interface ReadingTakenBody {
  step: string;
  check: string;
  value: number;
  unit: string;
  as_typed: string;
  verdict: Verdict;
  [k: string]: unknown;
}
export interface NoteWrittenBody {
  step: string | null;
  text: string;
  [k: string]: unknown;
}
export interface PhotoTakenBody {
  step: string | null;
  sha256: Sha256;
  mime: string;
  bytes: number;
  width: number;
  height: number;
  caption: string;
  [k: string]: unknown;
}
export interface TimerRunBody {
  step: string;
  seconds: number;
  [k: string]: unknown;
}
export interface PositionTickedBody {
  step: string;
  joint: string;
  position: number;
  ticked: boolean;
  [k: string]: unknown;
}
export interface JobPausedBody {
  step: string | null;
  [k: string]: unknown;
}
export interface JobResumedBody {
  step: string | null;
  [k: string]: unknown;
}
export interface RetractedBody {
  event: Uuid;
  [k: string]: unknown;
}
export interface EndItemAcceptedBody {
  code: string;
  object: string;
  reason: string;
  [k: string]: unknown;
}
export interface BulletinAnsweredBody {
  to: Sha256;
  step: string | null;
  answer: "seen" | "redone" | "accepted";
  changes: string[];
  reason: string;
  [k: string]: unknown;
}
export interface ReplyWrittenBody {
  to: Uuid | null;
  step: string | null;
  text: string;
  by: string;
  [k: string]: unknown;
}
export interface ReplySeenBody {
  reply: Uuid;
  [k: string]: unknown;
}
export interface JobClosedBody {
  outcome: Outcome;
  words: string;
  [k: string]: unknown;
}
