/**
 * From a log to what counts: meters that were replaced, tasks that contain others, the list of all that is due.
 * Knows the order of entries by day; the state of one task is `intervals.serviceDue`.
 */
import { ARITHMETIC, answer, note } from "./answer";
import { EDGE, bounded, chosen, record, several } from "./bounds";
import { dateText, isoDate } from "./dates";
import type { Day } from "./dates";
import { METERS, STATES, serviceDue } from "./intervals";
import type { Meter, MeterReading, ServiceInput } from "./intervals";
import { Refused } from "./refused";
import { snapped, withUnit } from "./rounding";

export type MeterEntry = { date: string; reading: number; new_meter?: boolean };
export type LogEntry = MeterReading & { task: string };
/** A new meter: what the old one showed last, and the new one when fitted. Readings of that day are of the new one. */
export type Replaced = { date: string; meter: string; before: number; after: number };
type Change = { day: Day; meter: Meter; more: number };
type Contains = Readonly<Record<string, readonly string[]>>;
export type ServiceTask = Omit<ServiceInput, "today" | "done" | "readings"> & { id: string; contains?: readonly string[] };

/** Total of a meter over its replacements: every reading with what older meters had counted. Throws `reading_below_last`. */
export function meterTotal({ entries }: { entries: readonly MeterEntry[] }) {
  const taken = several(entries, "readings", 1, 2000).map((entry) => ({ entry, day: isoDate(record(entry, "entry").date, "entry") }));
  let [total, offset] = [0, 0];
  const totals = taken.sort((a, b) => a.day - b.day).map(({ entry, day }) => {
    const reading = bounded(entry.reading, "reading", "", 0, 1e7);
    if (entry.new_meter === true) offset = total - reading;
    else if (snapped(reading + offset, 12) < total) {
      throw new Refused("reading_below_last", { reading: withUnit(reading, ""), last: withUnit(total - offset, "") });
    }
    total = snapped(reading + offset, 12);
    return { date: dateText(day), total };
  });
  const values = { total, offset, totals };
  return answer(values, note("meter_total", values), [ARITHMETIC], [note("ridden_without_meter")]);
}

/** When a task was last done, itself or within a larger one that contains it, through any depth. */
export function lastDone({ task, contains, log }: { task: string; contains: Contains; log: readonly LogEntry[] }) {
  const larger = Object.entries(record(contains, "larger jobs")).map(([name, inside]) => [name, several(inside, "contained tasks", 0, 200)] as const);
  const counting = containing(task, Object.fromEntries(larger));
  const entries = several(log, "log entries", 0, 5000).filter((entry) => counting.has(record(entry, "log entry").task));
  const days = entries.map((entry) => isoDate(entry.date, "entry"));
  for (const entry of entries) for (const meter of METERS) if (entry[meter] != null) bounded(entry[meter], `reading in ${meter}`, "", 0, 1e7);
  const latest = Math.max(...days);
  const done = entries[days.lastIndexOf(latest)] ?? null;
  const by = done === null ? null : done.task;
  const working = note("last_done", { task, by, date: done === null ? null : done.date });
  return answer({ done, by }, working, [ARITHMETIC], [note("larger_job_complete")]);
}

/** The task and all that contain it. */
function containing(task: string, contains: Contains): Set<string> {
  const found = new Set([task]);
  for (;;) {
    const more = Object.keys(contains).filter((name) => !found.has(name) && contains[name]?.some((inside) => found.has(inside)));
    if (more.length === 0) return found;
    for (const name of more) found.add(name);
  }
}

function changesOf(replaced: readonly Replaced[]): Change[] {
  const known: Readonly<Record<string, Meter>> = { hours: "hours", km: "km", starts: "starts" };
  return several(replaced, "replaced meters", 0, 50).map((one) => {
    const meter = chosen(known, record(one, "replaced meter").meter, "meter");
    const before = bounded(one.before, "reading before the change", "", 0, 1e7);
    const after = bounded(one.after, "reading after the change", "", 0, 1e7);
    return { day: isoDate(one.date, "change"), meter, more: before - after };
  });
}

/** What older meters had counted on `day`; on the day of a change the new meter is meant. */
function moreOn(changes: readonly Change[], meter: Meter, day: Day): number {
  return changes.filter((change) => change.meter === meter && change.day <= day).reduce((sum, { more }) => sum + more, 0);
}

/** A record of a day with its meters as totals over all of them. */
function asTotal<T extends MeterReading>(reading: T, changes: readonly Change[], what: string): T {
  const day = isoDate(record(reading, what).date, what);
  const totals = METERS.flatMap((meter) => {
    const shown = reading[meter];
    return shown === null || shown === undefined ? [] : [[meter, snapped(bounded(shown, `reading in ${meter}`, "", 0, 1e7) + moreOn(changes, meter, day), 12)]];
  });
  return { ...reading, ...Object.fromEntries(totals) };
}

/** A meter does not run backwards, unless a new one was declared. Throws `reading_below_last`. */
function neverFall(records: readonly MeterReading[], changes: readonly Change[]): void {
  for (const meter of METERS) {
    const taken = records.flatMap((each) => (each[meter] === null || each[meter] === undefined ? [] : [{ day: isoDate(each.date, "reading"), total: each[meter] }]));
    for (const { day, total } of taken) {
      const before = taken.filter((each) => each.day < day).map((each) => each.total);
      const last = before.length > 0 ? Math.max(...before) : total;
      if (total >= last - EDGE) continue;
      const more = moreOn(changes, meter, day);
      throw new Refused("reading_below_last", { reading: withUnit(total - more, ""), last: withUnit(last - more, "") });
    }
  }
}

/** What a task says of how it counts. */
function fieldsOf({ id: _, contains: __, begun, ...given }: ServiceTask, changes: readonly Change[]): Omit<ServiceTask, "id"> {
  const said = Object.fromEntries(Object.entries(given).filter(([, value]) => value !== null && value !== undefined)) as typeof given;
  return begun === null || begun === undefined ? said : { ...said, begun: asTotal(begun, changes, "beginning") };
}

/** All tasks of a machine with their states, the most urgent first; meters as totals over their replacements. */
export function serviceList({ tasks, log, today, readings = [], replaced = [] }: {
  tasks: readonly ServiceTask[]; log: readonly LogEntry[]; today: string; readings?: readonly MeterReading[]; replaced?: readonly Replaced[];
}) {
  const listed = several(tasks, "tasks", 0, 200);
  const changes = changesOf(replaced);
  const contains = Object.fromEntries(listed.map((task) => [record(task, "task").id, several(task.contains ?? [], "contained tasks", 0, 200)]));
  const doneLog = several(log, "log entries", 0, 500).map((entry) => asTotal(entry, changes, "log entry"));
  const taken = several(readings, "readings", 0, 500).map((reading) => asTotal(reading, changes, "reading"));
  neverFall([...doneLog, ...taken], changes);
  const rows = listed.map((task) => {
    const { done } = lastDone({ task: task.id, contains, log: doneLog }).values;
    return { id: task.id, ...serviceDue({ ...fieldsOf(task, changes), today, readings: taken, done }).values };
  });
  const key = (row: (typeof rows)[number]) => `${STATES.indexOf(row.state)} ${row.due_date ?? "9999"} ${row.id}`;
  rows.sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
  const day = isoDate(today, "today");
  const older = Object.fromEntries(METERS.map((meter) => [meter, moreOn(changes, meter, day)]));
  const count = rows.filter((row) => row.state === "overdue" || row.state === "due_soon").length;
  return answer({ rows, older }, note("service_list", { count }), [ARITHMETIC], [note("interval_from_maker")]);
}
