/** All that is due on one machine: several tasks with their limbs, larger ones that contain smaller, meters that were replaced. */
import { calendarFile } from "../../../domain/calendar-file";
import type { LimbRow, LimbState } from "../../../domain/intervals";
import { numberText } from "../../../domain/rounding";
import { Refused } from "../../../domain/refused";
import { DueBars } from "../../../drawings/due-bars";
import type { Calculator } from "../calculator";
import { CalendarPress } from "../calendar-press";
import type { Around, Field, Input } from "../fields";
import { by } from "./by-service";
import { STATE, barOf, dayLine, limbLine } from "./due-said";

type Row = { id: string; state: LimbState; governing: string; limbs: LimbRow[]; due_date: string | null; due_from: string | null; due_to: string | null };

const METERS = ["hours", "km", "starts"] as const;
const LIMBS = ["hours", "km", "starts", "months", "days"] as const;
const every = (key: string, label: string): Field => ({ kind: "number", key, label: `Every so many ${label}`, optional: true });
const day = (key: string, label: string): Field => ({ kind: "day", key, label, hint: "as 2026-05-31" });
const shown = (key: string, label: string): Field => ({ kind: "number", key, label, optional: true });
const COUNTED = [shown("hours", "Hours"), shown("km", "Kilometres"), shown("starts", "Starts")];
const today = ({ today: now }: Around): string => now;
const hoursNow = ({ machines }: Around): string => (machines.length === 1 && machines[0]?.hours != null ? String(machines[0].hours) : "");

const FIELDS: readonly Field[] = [
  {
    kind: "rows", key: "tasks", label: "Tasks", row: "task", least: 1, most: 20, hint: "intervals from the maker; of several the first one reached",
    columns: [
      { kind: "text", key: "id", label: "Its name", hint: "as oil" }, every("hours", "hours"), every("km", "kilometres"), every("months", "months"), every("days", "days"), every("starts", "starts"),
      { kind: "text", key: "contains", label: "It includes", optional: true, hint: "names of smaller tasks, with ; in between" },
      { kind: "choice", key: "schedule", label: "The next one counts from", options: [["drifting", "When it was really done"], ["fixed", "The fixed schedule"]] },
      { kind: "yes", key: "once", label: "Run-in service, done once only" }, { kind: "day", key: "begun", label: "Schedule begun on", optional: true, hint: "for a fixed schedule or the run-in" },
    ],
  },
  { kind: "rows", key: "log", label: "What was done", row: "entry", least: 0, most: 60, columns: [{ kind: "text", key: "task", label: "Task" }, day("date", "Done on"), ...COUNTED] },
  {
    kind: "rows", key: "readings", label: "Readings", row: "reading", least: 1, most: 40, hint: "a day is told only from two or more, on different days",
    columns: [{ ...day("date", "Read on"), start: today }, { ...shown("hours", "Hours"), start: hoursNow }, shown("km", "Kilometres"), shown("starts", "Starts")],
  },
  {
    kind: "rows", key: "replaced", label: "Replaced meters", row: "meter", least: 0, most: 5,
    columns: [
      day("date", "Changed on"), { kind: "choice", key: "meter", label: "Meter", options: [["hours", "Hours"], ["km", "Kilometres"], ["starts", "Starts"]] },
      { kind: "number", key: "before", label: "The old one showed" }, { kind: "number", key: "after", label: "The new one showed", optional: true, hint: "0 when it was new" },
    ],
  },
];

function taskOf({ id, contains = "", schedule, once, begun, ...row }: Input): Input {
  const limbs = LIMBS.flatMap((meter) => (row[meter] === undefined ? [] : [{ meter, every: row[meter] }]));
  if (limbs.length === 0) throw new Refused("interval_missing", { task: id });
  const inside = String(contains).split(";").map((name) => name.trim()).filter((name) => name !== "");
  return { id, limbs, schedule, once, contains: inside, ...(begun === undefined ? {} : { begun: { date: begun } }) };
}

/** Meters that were not read are left out. */
const reading = ({ date, ...row }: Input): Input => ({ date, ...Object.fromEntries(METERS.flatMap((meter) => (row[meter] === undefined ? [] : [[meter, row[meter]]]))) });

function saidOf({ rows, older }: { rows: Row[]; older: Record<string, number> }): ReturnType<Calculator["said"]> {
  const [first] = rows;
  const dated = rows.filter((row) => row.due_date !== null);
  const entries = dated.map((row) => ({ uid: `due-${encodeURIComponent(row.id)}-${row.due_date}@benchtrail`, date: row.due_date ?? "", summary: row.id, description: dayLine(row.due_from, row.due_to) }));
  return {
    hero: { about: `Most urgent of ${numberText(rows.length)}: ${first?.id ?? ""}`, words: STATE[first?.state ?? "unknown"] ?? "" },
    working: "Each by its last doing, alone or within a larger task, and by the interval that is reached first",
    drawing: <DueBars bars={rows.map((row) => barOf(row.id, row.limbs.find(({ meter }) => meter === row.governing) ?? row.limbs[0]!))} />,
    below: (
      <>
        <ul class="rows">
          {rows.map((row) => (
            <li key={row.id}>
              <p class="answer-about">{`${row.id}: ${(STATE[row.state] ?? row.state).toLowerCase()}`}</p>
              {row.limbs.map((limb) => (
                <p key={limb.meter}>{limbLine(limb, older[limb.meter] ?? 0)}</p>
              ))}
              {row.state !== "done" && <p>{dayLine(row.due_from, row.due_to)}</p>}
            </li>
          ))}
        </ul>
        {entries.length > 0 && <CalendarPress make={(stamp) => calendarFile(entries, stamp)} />}
      </>
    ),
  };
}

export const SERVICE_LIST: Calculator = {
  name: "service-list", title: "All that is due", line: "Every task of a machine, the most urgent first.", group: "service", fields: FIELDS,
  work: ({ tasks, log = [], readings, replaced = [] }: Input, around) => by("service_list")({
    tasks: tasks.map(taskOf), today: around.today, readings: readings.map(reading), replaced: replaced.map((one: Input) => ({ after: 0, ...one })), log: log.map(({ task, ...row }: Input) => ({ task, ...reading(row) })),
  }),
  said: (values) => saidOf(values),
};
