/**
 * From a log to what counts: meters that were replaced, tasks that contain others, the list of all that is due.
 * Knows the order of entries by day; the state of one task is `intervals.serviceDue`.
 */
import { ARITHMETIC, answer, note } from "./answer";
import { bounded, record, several } from "./bounds";
import { dateText, isoDate } from "./dates";
import { STATES, serviceDue } from "./intervals";
import type { MeterReading, ServiceInput } from "./intervals";
import { Refused } from "./refused";
import { snapped, withUnit } from "./rounding";

export type MeterEntry = { date: string; reading: number; new_meter?: boolean };
export type LogEntry = MeterReading & { task: string };
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
  const counting = containing(task, contains);
  const entries = several(log, "log entries", 0, 5000).filter((entry) => counting.has(record(entry, "log entry").task));
  const days = entries.map((entry) => isoDate(entry.date, "entry"));
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

/** The fields of a task that say something. */
function said(task: object): object {
  return Object.fromEntries(Object.entries(task).filter(([, value]) => value !== null && value !== undefined));
}

/** All tasks of a machine with their states, the most urgent first. */
export function serviceList({ tasks, log, today, readings = [] }: {
  tasks: readonly ServiceTask[]; log: readonly LogEntry[]; today: string; readings?: readonly MeterReading[];
}) {
  const listed = several(tasks, "tasks", 0, 200);
  const contains = Object.fromEntries(listed.map((task) => [record(task, "task").id, several(task.contains ?? [], "contained tasks", 0, 200)]));
  const rows = listed.map(({ id, contains: _, ...given }) => {
    const { done } = lastDone({ task: id, contains, log }).values;
    return { id, ...serviceDue({ ...(said(given) as typeof given), today, readings, done }).values };
  });
  const key = (row: (typeof rows)[number]) => `${STATES.indexOf(row.state)} ${row.due_date ?? "9999"} ${row.id}`;
  rows.sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
  const count = rows.filter((row) => row.state === "overdue" || row.state === "due_soon").length;
  return answer({ rows }, note("service_list", { count }), [ARITHMETIC], [note("interval_from_maker")]);
}
