/**
 * Service due: several limbs, whichever first, from the actual doing or from a fixed schedule.
 * Knows hours, kilometres, starts and the calendar as data; invents no interval and calls nothing unknown good.
 */
import { ARITHMETIC, answer, note } from "./answer";
import { EDGE, bounded, chosen, positive, record, several, whole } from "./bounds";
import { addDays, addMonths, dateText, isoDate } from "./dates";
import type { Day } from "./dates";

export const METERS = ["hours", "km", "starts"] as const;
const LIMBS = { hours: "hours", km: "km", starts: "starts", days: "days", months: "months" } as const;
export const STATES = ["overdue", "due_soon", "unknown", "ok", "done"] as const;
const DAYS_PER_MONTH = 30.4375;
const LEAST_ROOM_DAYS = 28;
const LAST_DAY = isoDate("2199-12-31", "last day");
const MOST_DAYS = 70_000;
const LEAST_USE = 1e-6;
const UNTIL = [note("interval_from_maker"), note("use_changes")];

export type Meter = (typeof METERS)[number];
/** What the meters showed on a day; a meter that was not read is missing. */
export type MeterReading = { date: string } & { [meter in Meter]?: number | null };
export type Limb = { meter: keyof typeof LIMBS; every: number; fluid?: boolean };
export type LimbState = (typeof STATES)[number];
/** One limb; `left` and `limit` in the limb's own unit, days for the calendar. */
export type LimbRow = {
  meter: string; limit: number | null; due_at: number | string | null; left: number | null; overdue_percent: number | null;
  state: LimbState; due_date: string | null; due_from: string | null; due_to: string | null;
};
export type ServiceInput = {
  limbs: readonly Limb[]; today: string; done?: MeterReading | null; readings?: readonly MeterReading[]; severity?: number;
  schedule?: string; once?: boolean; begun?: MeterReading | null; paused_days?: number;
};
type Taken = { day: Day; meters: ReadonlyMap<string, number> };
type Task = { done: Taken | null; begun: Taken | null; severity: number; fixed: boolean; once: boolean; paused: number };

/**
 * Whether a task is due, by which limb, and about when the next one is. Due at last doing + interval · severity (drifting),
 * or at the next point of the schedule (fixed; done up to 10 % early counts as that point); the worst limb decides; due
 * soon when no more than the greater of 10 % and 7 days is left; a limb without reading is unknown and never ok.
 */
export function serviceDue({
  limbs, today, done = null, readings = [], severity = 1, schedule = "drifting", once = false, begun = null, paused_days = 0,
}: ServiceInput) {
  const day = isoDate(today, "today");
  const fixed = chosen({ drifting: false, fixed: true }, schedule, "schedule");
  const task: Task = {
    fixed, done: done === null ? null : takenOf(done, "last doing"), begun: begun === null ? null : takenOf(begun, "beginning"),
    severity: bounded(severity, "severity", "", 0.1, 2), once: once === true, paused: whole(paused_days, "days of storage", 0, 3650),
  };
  const known = several(readings, "readings", 0, 2000).map((reading) => takenOf(reading, "reading")).sort((a, b) => a.day - b.day);
  const states = several(limbs, "limbs", 1, 5).map((limb) => limbRow(limb, task, known, day));
  const rows = task.once && task.done ? states.map(asDone) : states;
  const worst = rows.reduce((a, b) => (urgency(b) < urgency(a) ? b : a));
  const dated = rows.filter((row) => row.due_date !== null);
  const first = dated.length > 0 ? dated.reduce((a, b) => ((b.due_date ?? "") < (a.due_date ?? "") ? b : a)) : null;
  const values = {
    state: worst.state, governing: worst.meter, limbs: rows,
    due_date: first?.due_date ?? null, due_from: first?.due_from ?? null, due_to: first?.due_to ?? null,
  };
  const notes = rows.some((row) => row.state === "unknown") ? [note("unknown_is_not_ok")] : [];
  const { state, meter, due_at, left } = worst;
  return answer(values, note("service_due", { state, meter, due_at, left, due_date: values.due_date }), [ARITHMETIC], UNTIL, notes);
}

function asDone(row: LimbRow): LimbRow {
  return { ...row, state: "done", due_date: null, due_from: null, due_to: null };
}

/** Sorts by state, then by date; ASCII, so that it sorts the same everywhere. */
function urgency(row: LimbRow): string {
  return `${STATES.indexOf(row.state)} ${row.due_date ?? "9999"}`;
}

/** A record of a date and meters, checked. */
function takenOf(reading: MeterReading, what: string): Taken {
  const given = record(reading, what);
  const meters = new Map<string, number>();
  for (const meter of METERS) {
    const value = given[meter];
    if (value !== undefined && value !== null) meters.set(meter, bounded(value, `reading in ${meter}`, "", 0, 1e7));
  }
  return { day: isoDate(given.date, what), meters };
}

function limbRow(limb: Limb, task: Task, readings: readonly Taken[], today: Day): LimbRow {
  const meter = chosen(LIMBS, record(limb, "limb").meter, "limb");
  const every = positive(limb.every, "interval", "", 1e6);
  if (meter !== "days" && meter !== "months") return byMeter(meter, every, task, readings, today);
  return byCalendar(meter, bounded(every, "interval", meter, 1, 1e4), task, today, limb.fluid === true ? 0 : task.paused);
}

function row(meter: string, limit: number | null, due_at: number | string | null, left: number | null, soon: number, dates: Day[] | null): LimbRow {
  const known = left !== null && limit !== null;
  const state = !known ? "unknown" : left <= EDGE ? "overdue" : left <= soon + EDGE ? "due_soon" : "ok";
  const [due_date = null, due_from = null, due_to = null] = (dates ?? []).map(dateText);
  return { meter, limit, due_at, left, overdue_percent: known ? (-left / limit) * 100 : null, state, due_date, due_from, due_to };
}

function byCalendar(meter: string, every: number, task: Task, today: Day, paused: number): LimbRow {
  const span = every * task.severity;
  const turns = calendarTurn(meter, span, task);
  if (turns === null) return row(meter, null, null, null, 0, null);
  const limit = Math.max(turns[1] - turns[0], 1);
  const due = addDays(turns[1], paused);
  return row(meter, limit, dateText(due), due - today, Math.max(0.1 * limit, 7), [due, due, due]);
}

/** The day from which a calendar limb counts, and the day it is due. */
function calendarTurn(meter: string, span: number, task: Task): [Day, Day] | null {
  const { done, begun } = task;
  if (done === null) return task.once && begun ? [begun.day, turnDay(meter, span, begun.day, 1)] : null;
  if (!task.fixed) return [done.day, turnDay(meter, span, done.day, 1)];
  return begun === null ? null : scheduled(meter, span, begun.day, done.day);
}

/** The day `turn` spans after `origin`: calendar months where they are whole, else days rounded down. */
function turnDay(meter: string, span: number, origin: Day, turn: number): Day {
  const total = span * turn;
  if (meter === "months" && Number.isInteger(total)) return addMonths(origin, total);
  return addDays(origin, Math.floor(total * (meter === "months" ? DAYS_PER_MONTH : 1) + EDGE));
}

/** The last and the next day of a fixed schedule: done up to 10 % early counts as the day it was early for. */
function scheduled(meter: string, span: number, begun: Day, done: Day): [Day, Day] {
  const perTurn = span * (meter === "months" ? DAYS_PER_MONTH : 1);
  for (let turn = Math.max(Math.floor((done - begun) / perTurn) - 1, 1); ; turn += 1) {
    const [before, due] = [turnDay(meter, span, begun, turn - 1), turnDay(meter, span, begun, turn)];
    if (due - done > 0.1 * (due - before) || due >= LAST_DAY) return [before, due];
  }
}

function byMeter(meter: Meter, every: number, task: Task, readings: readonly Taken[], today: Day): LimbRow {
  const limit = every * task.severity;
  const done = task.done;
  const start = task.once && done === null ? 0 : (done?.meters.get(meter) ?? null);
  let taken = readings.filter((reading) => reading.meters.has(meter));
  if (done?.meters.has(meter)) taken = [done, ...taken.filter((reading) => reading.day >= done.day)];
  const now = taken.at(-1);
  if (start === null || !now) return row(meter, limit, null, null, 0, null);
  const due = task.fixed ? (Math.floor((start + 0.1 * limit) / limit + EDGE) + 1) * limit : start + limit;
  const left = due - (now.meters.get(meter) ?? 0);
  const perDay = rate(meter, taken);
  const dates = perDay === null ? null : forecast(left, perDay, now.day, today);
  return row(meter, limit, due, left, Math.max(0.1 * limit, 7 * (perDay ?? 0)), dates);
}

/** Use a day from the first to the last reading; null with fewer than two days of readings or no use. */
function rate(meter: Meter, taken: readonly Taken[]): number | null {
  const [first, last] = [taken[0], taken.at(-1)];
  if (!first || !last) return null;
  const used = (last.meters.get(meter) ?? 0) - (first.meters.get(meter) ?? 0);
  return last.day > first.day && used > LEAST_USE ? used / (last.day - first.day) : null;
}

/** The likely day, and a range: 28 days or 30 % of the time ahead to either side, whichever is more. */
function forecast(left: number, perDay: number, read: Day, today: Day): Day[] {
  const ahead = Math.floor(Math.max(Math.min(left / perDay, MOST_DAYS), -MOST_DAYS) + EDGE);
  const room = Math.max(LEAST_ROOM_DAYS, Math.floor(0.3 * Math.max(ahead, 0)));
  const likely = addDays(read, ahead);
  return [likely, Math.max(addDays(likely, -room), Math.min(today, likely)), addDays(likely, room)];
}
