/**
 * The journal of a job: its events folded into what was done, noted, measured, and the state of the machine.
 * Knows the events (shared/README.md §8) and the pack; no clock, no storage. Any order, split or repetition of the events
 * gives the same fold.
 */
import type {
  BulletinAnsweredBody, EndItemAcceptedBody, JobClosedBody, JobPausedBody, JobStartedBody, JournalEvent, MachineFacts, NoteWrittenBody, Outcome, PhotoTakenBody,
  PositionTickedBody, PrepTickedBody, ReadingTakenBody, ReplySeenBody, ReplyWrittenBody, RetractedBody, StepDoneBody, StepSkippedBody, TimerRunBody, Verdict,
} from "../generated/event";
import type { ProcedurePack } from "../generated/procedure-pack";
import { applySteps, forVariant, type BenchState } from "./bench-state";
import { canonicalJson } from "./canonical-json";
import { eventProblems } from "./event-problems";
import { inJournalOrder } from "./hlc";
import { variantOf, type Variant } from "./variant";

/** Which event says it: its id, its device, its wall clock. */
export type Said = { event: string; device: string; wall: string };
export type DoneRow = { event: string; wall: string };
export type SkippedRow = DoneRow & { reason: string };
export type ReadingRow = Said & { step: string; check: string; value: number; unit: string; as_typed: string; verdict: Verdict };
export type NoteRow = Said & { step: string | null; text: string };
export type PhotoRow = Said & { step: string | null; sha256: string; mime: string; bytes: number; width: number; height: number; caption: string };
export type AcceptedRow = Said & { code: string; object: string; reason: string };
export type AnswerRow = Said & { to: string; step: string | null; answer: BulletinAnsweredBody["answer"]; changes: string[]; reason: string };
export type ReplyRow = Said & { to: string | null; step: string | null; text: string; by: string };
export type ClosedRow = DoneRow & { outcome: Outcome; words: string };

/** What the events of a job come to. Rows are in the order of the journal; `event` is the id of the event. */
export type JournalFold = {
  machine: MachineFacts | null; variant: Variant | null; done: Record<string, DoneRow>; skipped: Record<string, SkippedRow>;
  readings: ReadingRow[]; notes: NoteRow[]; photos: PhotoRow[]; ticks: string[]; positions: Record<string, Record<string, number[]>>;
  seconds: Record<string, number>; paused: boolean; place: string | null; accepted: AcceptedRow[]; answers: AnswerRow[];
  replies: ReplyRow[]; replies_seen: Record<string, Said>; closed: ClosedRow | null; state: BenchState; unknown: number;
};

/**
 * The fold of a job's events over its pack (of all variants; the machine of JobStarted chooses).
 * Of a step done and skipped the later word counts. `unknown` counts events of unknown kinds and malformed ones.
 * Throws Refused("guard_unknown").
 */
export function foldJournal(pack: ProcedurePack, events: Iterable<unknown>): JournalFold {
  const { counting, malformed } = countingEvents(events);
  const job = emptyJob();
  for (const event of counting) take(job, event);
  job.unknown += malformed;
  return folded(pack, job);
}

/** The dealer's answers that no phone has called read. */
export function unreadOf(fold: Pick<JournalFold, "replies" | "replies_seen">): ReplyRow[] {
  return fold.replies.filter(({ event }) => !Object.hasOwn(fold.replies_seen, event));
}

/** The sound events that were not taken back, each once, in the order of the journal, and how many are malformed. */
export function countingEvents(events: Iterable<unknown>): { counting: JournalEvent[]; malformed: number } {
  const { sound, malformed } = once(events);
  return { counting: notRetracted(sound.sort((a, b) => inJournalOrder(a, b) || (a.id < b.id ? -1 : 1))), malformed };
}

/** Each sound event once, and how many others there are. Of two that claim one id the earlier in the journal counts. */
function once(events: Iterable<unknown>): { sound: JournalEvent[]; malformed: number } {
  const sound = new Map<string, JournalEvent>();
  const malformed = new Set<string>();
  for (const given of events) {
    if (eventProblems(given).length > 0) {
      malformed.add(nameOf(given));
      continue;
    }
    const event = given as JournalEvent;
    const other = sound.get(event.id);
    if (!other || before(event, other)) sound.set(event.id, event);
  }
  return { sound: [...sound.values()], malformed: [...malformed].filter((name) => !sound.has(name)).length };
}

function nameOf(event: unknown): string {
  const claimed = typeof event === "object" && event !== null && "id" in event ? event.id : null;
  return typeof claimed === "string" ? claimed : "without an id";
}

function before(one: JournalEvent, other: JournalEvent): boolean {
  return (inJournalOrder(one, other) || (canonicalJson(one) < canonicalJson(other) ? -1 : 1)) < 0;
}

/** Events that count. A retraction can itself be retracted by a later one; the start of the job cannot be. */
function notRetracted(events: JournalEvent[]): JournalEvent[] {
  const gone = new Set<string>();
  for (const event of [...events].reverse()) {
    if (event.kind === "Retracted" && !gone.has(event.id)) gone.add((event.body as RetractedBody).event);
  }
  return events.filter((event) => !gone.has(event.id) || event.kind === "JobStarted");
}

/** What was taken so far. Maps, since the names in events come from elsewhere. */
type Job = {
  started: JobStartedBody | null; done: Map<string, DoneRow>; skipped: Map<string, SkippedRow>; readings: ReadingRow[]; notes: NoteRow[];
  photos: PhotoRow[]; accepted: AcceptedRow[]; answers: AnswerRow[]; replies: ReplyRow[]; repliesSeen: Map<string, Said>; ticks: Set<string>; positions: Map<string, Map<string, Set<number>>>; seconds: Map<string, number>;
  paused: boolean; stoppedAt: string | null; closed: ClosedRow | null; unknown: number;
};

function emptyJob(): Job {
  return {
    started: null, done: new Map(), skipped: new Map(), readings: [], notes: [], photos: [], accepted: [], answers: [], replies: [], repliesSeen: new Map(), ticks: new Set(), positions: new Map(),
    seconds: new Map(), paused: false, stoppedAt: null, closed: null, unknown: 0,
  };
}

function take(job: Job, event: JournalEvent): void {
  const taking = Object.hasOwn(TAKING, event.kind) ? TAKING[event.kind] : undefined;
  if (taking) taking(job, event.body as never, event);
  else if (event.kind !== "Retracted") job.unknown += 1;
}

function said({ id, device, wall }: JournalEvent): Said {
  return { event: id, device, wall };
}

const TAKING: Record<string, (job: Job, body: never, event: JournalEvent) => void> = {
  JobStarted(job, body: JobStartedBody) {
    job.started ??= body;
  },
  PrepTicked(job, { item, ticked }: PrepTickedBody) {
    if (ticked) job.ticks.add(item);
    else job.ticks.delete(item);
  },
  StepDone(job, { step }: StepDoneBody, { id, wall }) {
    job.skipped.delete(step);
    job.done.set(step, { event: id, wall });
  },
  StepSkipped(job, { step, reason }: StepSkippedBody, { id, wall }) {
    job.done.delete(step);
    job.skipped.set(step, { event: id, wall, reason });
  },
  ReadingTaken(job, { step, check, value, unit, as_typed, verdict }: ReadingTakenBody, event) {
    job.readings.push({ ...said(event), step, check, value, unit, as_typed, verdict });
  },
  NoteWritten(job, { step, text }: NoteWrittenBody, event) {
    job.notes.push({ ...said(event), step, text });
  },
  PhotoTaken(job, { step, sha256, mime, bytes, width, height, caption }: PhotoTakenBody, event) {
    job.photos.push({ ...said(event), step, sha256, mime, bytes, width, height, caption });
  },
  TimerRun(job, { step, seconds }: TimerRunBody) {
    job.seconds.set(step, (job.seconds.get(step) ?? 0) + seconds);
  },
  PositionTicked(job, { step, joint, position, ticked }: PositionTickedBody) {
    const joints = entry(job.positions, step, () => new Map<string, Set<number>>());
    const numbers = entry(joints, joint, () => new Set<number>());
    if (ticked) numbers.add(position);
    else numbers.delete(position);
  },
  JobPaused(job, { step }: JobPausedBody) {
    job.paused = true;
    job.stoppedAt = step;
  },
  JobResumed(job, { step }: JobPausedBody) {
    job.paused = false;
    job.stoppedAt = step;
  },
  EndItemAccepted(job, { code, object, reason }: EndItemAcceptedBody, event) {
    job.accepted.push({ ...said(event), code, object, reason });
  },
  BulletinAnswered(job, { to, step, answer, changes, reason }: BulletinAnsweredBody, event) {
    job.answers.push({ ...said(event), to, step, answer, changes, reason });
  },
  ReplyWritten(job, { to, step, text, by }: ReplyWrittenBody, event) {
    job.replies.push({ ...said(event), to, step, text, by });
  },
  ReplySeen(job, { reply }: ReplySeenBody, event) {
    entry(job.repliesSeen, reply, () => said(event));
  },
  JobClosed(job, { outcome, words }: JobClosedBody, { id, wall }) {
    job.closed = { event: id, wall, outcome, words };
  },
};

function entry<K, V>(map: Map<K, V>, key: K, make: () => V): V {
  if (!map.has(key)) map.set(key, make());
  return map.get(key)!;
}

function folded(pack: ProcedurePack, job: Job): JournalFold {
  const machine = job.started?.machine ?? null;
  const variant = variantOf(machine);
  const whole = forVariant(pack, variant);
  const { readings, notes, photos, accepted, answers, replies, paused, closed, unknown } = job;
  return {
    machine, variant, done: Object.fromEntries(job.done), skipped: Object.fromEntries(job.skipped), readings, notes, photos,
    ticks: [...job.ticks].sort(), positions: listed(job.positions), seconds: Object.fromEntries(job.seconds), paused, place: placeOf(whole, job),
    accepted, answers, replies, replies_seen: Object.fromEntries(job.repliesSeen), closed, state: applySteps(whole, job.done.keys()), unknown,
  };
}

/** The step to go on with: where the job was stopped, if that is still open, else the first open step. */
function placeOf(pack: ProcedurePack, job: Job): string | null {
  const stillOpen = pack.steps.map((step) => step.id).filter((id) => !job.done.has(id) && !job.skipped.has(id));
  if (job.stoppedAt !== null && stillOpen.includes(job.stoppedAt)) return job.stoppedAt;
  return stillOpen[0] ?? null;
}

function listed(positions: Job["positions"]): JournalFold["positions"] {
  const ticked = [...positions].map(([step, joints]) => {
    const numbers = [...joints].filter(([, some]) => some.size > 0).map(([joint, some]) => [joint, [...some].sort((a, b) => a - b)]);
    return [step, Object.fromEntries(numbers)] as const;
  });
  return Object.fromEntries(ticked.filter(([, joints]) => Object.keys(joints).length > 0));
}
