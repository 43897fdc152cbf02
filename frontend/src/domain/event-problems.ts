/**
 * What is wrong with an event: the envelope and the body of each known kind (shared/README.md §8).
 * Knows form only: not whether an event is new, nor whether its step exists. The server quarantines by it, the phone
 * asks it before it saves. The same rules as shared/schemas/event.schema.json, written by hand, with the place of each.
 */
import { canonicalJson } from "./canonical-json";
import { Refused } from "./refused";

/** One problem: what it is, and the path of the field, empty for the whole. */
export type EventProblem = {
  code: "event_not_object" | "event_field_missing" | "event_field_unknown" | "event_field_wrong" | "event_too_deep" | "event_no_canonical_form";
  at: string;
};
type Test = (value: unknown) => boolean;
type Tests = { [name: string]: Test | Tests };
type Fields = Record<string, unknown>;

const DEEPEST = 32;

/**
 * All that is wrong with an event, empty when it is sound; a kind that is not known here is sound.
 * Bodies may hold fields that are not known here; an envelope may not.
 */
export function eventProblems(envelope: unknown): EventProblem[] {
  if (!isObject(envelope)) return [problem("event_not_object", "")];
  if (depth(envelope) > DEEPEST) return [problem("event_too_deep", "")];
  const unknown = Object.keys(envelope).filter((key) => !Object.hasOwn(ENVELOPE, key)).sort();
  const found = [...fields(envelope, ENVELOPE, ""), ...unknown.map((key) => problem("event_field_unknown", key))];
  if (found.length === 0 && String(envelope.hlc).slice(-8) !== String(envelope.device).slice(0, 8)) found.push(problem("event_field_wrong", "hlc"));
  const { kind, body } = envelope;
  if (typeof kind === "string" && Object.hasOwn(BODIES, kind) && isObject(body)) found.push(...fields(body, BODIES[kind]!, "body."));
  return found.length > 0 ? found : unwritable(envelope);
}

function problem(code: EventProblem["code"], at: string): EventProblem {
  return { code, at };
}

function fields(record: Fields, tests: Tests, at: string): EventProblem[] {
  return Object.entries(tests).flatMap(([name, test]) => {
    if (!Object.hasOwn(record, name) || record[name] === undefined) return [problem("event_field_missing", at + name)];
    if (typeof test === "object") return inner(record[name], test, at + name);
    return test(record[name]) ? [] : [problem("event_field_wrong", at + name)];
  });
}

/** A record inside the body; it may be null. */
function inner(value: unknown, tests: Tests, at: string): EventProblem[] {
  if (value === null) return [];
  return isObject(value) ? fields(value, tests, `${at}.`) : [problem("event_field_wrong", at)];
}

function unwritable(envelope: Fields): EventProblem[] {
  try {
    canonicalJson(envelope);
  } catch (error) {
    if (error instanceof Refused) return [problem("event_no_canonical_form", "")];
    throw error;
  }
  return [];
}

/** How deep lists and objects are nested; counting stops one past the limit. */
function depth(value: unknown): number {
  let level = 0;
  for (let rank: unknown[] = [value]; rank.length > 0 && level <= DEEPEST; ) {
    rank = rank.flatMap((outer) => (typeof outer === "object" && outer !== null ? Object.values(outer) : []));
    if (rank.length > 0) level += 1;
  }
  return level;
}

const isObject = (value: unknown): value is Fields => typeof value === "object" && value !== null && !Array.isArray(value);
const isText: Test = (value) => typeof value === "string";
const isWords: Test = (value) => typeof value === "string" && value !== "";
const isFlag: Test = (value) => typeof value === "boolean";
const isNumber: Test = (value) => Number.isFinite(value);
const atLeastZero: Test = (value) => Number.isFinite(value) && (value as number) >= 0;
const wholeFrom = (low: number): Test => (value) => Number.isSafeInteger(value) && (value as number) >= low;
const orNull = (test: Test): Test => (value) => value === null || test(value);
const oneOf = (...words: string[]): Test => (value) => typeof value === "string" && words.includes(value);
const listOf = (test: Test): Test => (value) => Array.isArray(value) && value.every(test);
const matching = (form: RegExp): Test => (value) => typeof value === "string" && form.test(value);

const MOMENT = /^([0-9]{4})-([0-9]{2})-([0-9]{2})T([0-9]{2}):([0-9]{2}):([0-9]{2})(?:\.[0-9]{1,9})?(?:Z|[+-]([0-9]{2}):([0-9]{2}))$/;

/** ISO 8601 with seconds and an offset, a day of the calendar. Source: RFC 3339, sections 5.6 and 5.7; no leap second. */
function isMoment(value: unknown): boolean {
  const found = typeof value === "string" ? MOMENT.exec(value) : null;
  if (!found) return false;
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0, offHour = 0, offMinute = 0] = found.slice(1).map((part) => Number(part ?? 0));
  const inCalendar = month >= 1 && month <= 12 && day >= 1 && day <= daysOf(year, month);
  return inCalendar && Math.max(hour, offHour) <= 23 && Math.max(minute, second, offMinute) <= 59;
}

function daysOf(year: number, month: number): number {
  if (month === 2) return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : 28;
  return [4, 6, 9, 11].includes(month) ? 30 : 31;
}

const isUuid = matching(/^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/);
const isSha256 = matching(/^[0-9a-f]{64}$/);
const isStep = orNull(isWords);

const ENVELOPE: Record<string, Test> = {
  id: isUuid, device: isUuid, seq: wholeFrom(1), job: isUuid, kind: matching(/^[A-Za-z][A-Za-z0-9_.-]{0,63}$/), body: isObject,
  hlc: matching(/^[0-9]{15}-[0-9a-f]{4}-[0-9a-f]{8}$/), wall: isMoment, pack: isSha256, prev: orNull(isSha256), schema: wholeFrom(1),
};
// an object stands for a record inside the body that may be null
const BODIES: Record<string, Tests> = {
  JobStarted: {
    machine: { id: isWords, name: isText, model: isWords, year: wholeFrom(0), options: listOf(isWords), hours: orNull(atLeastZero), serial: orNull(isText) },
    procedure: isWords, revision: wholeFrom(1), title: isText,
  },
  PrepTicked: { item: isWords, ticked: isFlag },
  StepDone: { step: isWords },
  StepSkipped: { step: isWords, reason: isText },
  ReadingTaken: { step: isWords, check: isWords, value: isNumber, unit: isText, as_typed: isText, verdict: oneOf("within", "outside", "unknown") },
  NoteWritten: { step: isStep, text: isText },
  PhotoTaken: { step: isStep, sha256: isSha256, mime: isWords, bytes: wholeFrom(0), width: wholeFrom(1), height: wholeFrom(1), caption: isText },
  TimerRun: { step: isWords, seconds: atLeastZero },
  PositionTicked: { step: isWords, joint: isWords, position: wholeFrom(1), ticked: isFlag },
  JobPaused: { step: isStep },
  JobResumed: { step: isStep },
  Retracted: { event: isUuid },
  EndItemAccepted: { code: isWords, object: isText, reason: isText },
  BulletinAnswered: { to: isSha256, step: isStep, answer: oneOf("seen", "redone", "accepted"), changes: listOf(isWords), reason: isText },
  ReplyWritten: { to: orNull(isUuid), step: isStep, text: isWords, by: isText },
  ReplySeen: { reply: isUuid },
  JobClosed: { outcome: oneOf("finished", "handed_over", "given_up"), words: isText },
};
export const KNOWN_KINDS: ReadonlySet<string> = new Set(Object.keys(BODIES));
