/** Service due and time: limbs whichever first, replaced meters, how long a step and a job take. */
import { DueBars } from "../../../drawings/due-bars";
import { PartBar } from "../../../drawings/part-bar";
import { ScaleMarks } from "../../../drawings/scale-marks";
import { calendarFile } from "../../../domain/calendar-file";
import type { LimbRow } from "../../../domain/intervals";
import { numberText, snapped, steppedText } from "../../../domain/rounding";
import { timesWords } from "../../../text/numbers-words";
import type { Calculator } from "../calculator";
import { CalendarPress } from "../calendar-press";
import { dayInWords } from "../unbroken";
import type { Around, Input } from "../fields";
import { timedSteps } from "../times-kept";
import { by } from "./by-service";
import { STATE, barOf, dayLine, limbLine } from "./due-said";
import { SERVICE_LIST } from "./service-list";
import { amountIn } from "./shared";

const DAY_MS = 86_400_000;
const totalDrawn = ({ total, offset }: { total: number; offset: number }) => (offset > 0 ? (
  <PartBar total={numberText(total)} parts={[{ name: "older meters", text: numberText(offset), at: offset }, { name: "this meter", text: numberText(snapped(total - offset, 12)), at: total - offset }]} />
) : (
  <PartBar total={numberText(total)} parts={[{ name: "this meter", text: numberText(total), at: total }]} />
));
const today = ({ today: day }: Around): string => day;
const hoursNow = ({ machines }: Around): string => (machines.length === 1 && machines[0]?.hours != null ? String(machines[0].hours) : "");
const minutes = (value: number): string => `${steppedText(value, value < 10 ? 0.1 : 1)} min`;

/** The record of a day with its meters; null when no day is given. */
function reading(input: Input, which: string): Input | null {
  const date = input[`${which}_date`];
  return date === undefined ? null : { date, hours: input[`${which}_hours`] ?? null, km: input[`${which}_km`] ?? null, starts: null };
}

function dueInput(input: Input, { today: day }: Around): Input {
  const readings = [...((input["readings"] ?? []) as Input[])];
  return { limbs: input["limbs"], today: day, done: reading(input, "done"), begun: reading(input, "begun"), readings, schedule: input["schedule"], once: input["once"] };
}

export const SERVICE: Calculator[] = [
  {
    name: "service-due", title: "Is it due?", line: "Hours, km, days: whichever comes first.", group: "service",
    fields: [
      { kind: "text", key: "task", label: "Task", start: "Service" },
      { kind: "rows", key: "limbs", label: "Intervals", row: "interval", least: 1, most: 5, hint: "from the maker; whichever is reached first", columns: [{ kind: "choice", key: "meter", label: "Counted in", options: [["hours", "Hours"], ["km", "Kilometres"], ["months", "Months"], ["days", "Days"], ["starts", "Starts"]] }, { kind: "number", key: "every", label: "Every" }] },
      { kind: "day", key: "done_date", label: "Last done on", optional: true, hint: "as 2026-05-31" }, { kind: "number", key: "done_hours", label: "Hours then", optional: true }, { kind: "number", key: "done_km", label: "Kilometres then", optional: true },
      {
        kind: "rows", key: "readings", label: "Readings since", row: "reading", least: 1, most: 12, hint: "two or more give a forecast",
        columns: [{ kind: "day", key: "date", label: "Read on", hint: "as 2026-11-25", start: today }, { kind: "number", key: "hours", label: "Hours", optional: true, start: hoursNow }, { kind: "number", key: "km", label: "Kilometres", optional: true }],
      },
      { kind: "choice", key: "schedule", label: "The next one counts from", options: [["drifting", "When it was really done"], ["fixed", "The fixed schedule"]] },
      { kind: "yes", key: "once", label: "Run-in service, done once only" }, { kind: "day", key: "begun_date", label: "Schedule begun on", optional: true, hint: "for a fixed schedule or the run-in" },
    ],
    work: (input, around) => by("service_due")(dueInput(input, around)),
    said: (values, input) => ({
      hero: { about: input["task"], words: STATE[values.state] ?? values.state },
      lines: [...(values.limbs as LimbRow[]).map((row) => limbLine(row)), dayLine(values.due_from, values.due_to)],
      drawing: <DueBars bars={(values.limbs as LimbRow[]).map((row) => barOf(`by ${row.meter}`, row))} />,
      working: `Last doing and interval against the readings, by each limb; the worst, by ${values.governing}, decides`,
      below: values.due_date === null ? null : <CalendarPress make={(stamp) => calendarFile([{ uid: `due-${values.due_date}@benchtrail`, date: values.due_date, summary: input["task"], description: dayLine(values.due_from, values.due_to) }], stamp)} />,
    }),
  },
  SERVICE_LIST,
  {
    name: "meter-total", title: "Replaced hour meter", line: "The true total over several meters.", group: "service",
    fields: [{ kind: "rows", key: "entries", label: "Readings in order", row: "reading", least: 1, most: 20, columns: [{ kind: "day", key: "date", label: "Read on", hint: "as 2026-05-31" }, { kind: "number", key: "reading", label: "It showed" }, { kind: "yes", key: "new_meter", label: "A new meter from here on" }] }],
    work: by("meter_total"), said: (values) => ({ hero: { about: "Total over all meters", text: numberText(values.total), unit: "" }, lines: [`Of it from older meters: ${numberText(values.offset)}.`], drawing: totalDrawn(values) }),
  },
  {
    name: "last-done", title: "When was it last done?", line: "Itself, or inside a larger job.", group: "service",
    fields: [
      { kind: "text", key: "task", label: "Task" }, { kind: "text", key: "larger", label: "Larger jobs that contain it", optional: true, hint: "with ; in between" },
      { kind: "rows", key: "log", label: "Log", row: "entry", least: 1, most: 30, columns: [{ kind: "text", key: "task", label: "What was done" }, { kind: "day", key: "date", label: "On", hint: "as 2026-05-31" }, { kind: "number", key: "hours", label: "Hours", optional: true }] },
    ],
    work: ({ larger = "", ...input }: Input) => by("last_done")({ ...input, contains: Object.fromEntries(String(larger).split(";").map((name) => [name.trim(), [input["task"]]])) }),
    said: (values, input) => (values.done === null
      ? { hero: { about: "Last done", words: "Not known" } }
      : {
          hero: { about: `Last done, within “${values.by}”`, words: dayInWords(values.done.date).replaceAll("\u00a0", " ") }, lines: values.done.hours == null ? [] : [`At ${numberText(values.done.hours)} h.`],
          drawing: <ScaleMarks points={[...(input["log"] as Input[]).filter(({ date }) => date !== values.done.date).map(({ task, date }) => ({ at: Date.parse(date) / DAY_MS, name: task, text: dayInWords(date) })), { at: Date.parse(values.done.date) / DAY_MS, name: values.by, text: dayInWords(values.done.date), main: true }].slice(-6)} />,
        }),
  },
  {
    name: "step-time", title: "How long will a step take?", line: "From an estimate and a few logged times.", group: "service",
    fields: [amountIn("estimate_min", "Estimate", "time", "min", {}), { kind: "list", key: "logs_min", label: "Logged times", of: null, unit: "min", optional: true, hint: "in minutes, with ; in between" }, { kind: "number", key: "weight", label: "The estimate counts as so many logs", start: "1", hint: "1 until it is learned" }],
    work: by("step_time"), said: (values) => timeSaid(values),
  },
  {
    name: "job-time", title: "How long will a job take?", line: "The sum of its steps, with an interval.", group: "service",
    fields: [
      { kind: "rows", key: "steps", label: "Steps", row: "step", least: 1, most: 150, columns: [amountIn("median_min", "Usually takes", "time", "min", {}), { kind: "choice", key: "sigma", label: "How sure", options: [["0.2", "Often done"], ["0.4", "Done a few times"], ["0.7", "A guess"]] }] },
      { kind: "choice", key: "person_sigma", label: "Done by", options: [["0.3", "Anybody"], ["0", "The one who gave these times"]] },
    ],
    work: ({ steps, person_sigma }: Input) => by("job_time")({ person_sigma: Number(person_sigma), steps: steps.map(({ median_min, sigma }: Input) => ({ median_min, sigma: Number(sigma) })) }),
    said: (values) => timeSaid(values),
  },
  {
    name: "learned-weight", title: "How good are the estimates?", line: "Learned from thirty steps with three logs or more.", group: "service",
    fields: [{
      kind: "rows", key: "steps", label: "Steps with their logs", row: "step", least: 1, most: 60, hint: "one row for each step that was timed",
      columns: [amountIn("estimate_min", "Estimate", "time", "min", {}), { kind: "list", key: "logs_min", label: "Logged times", of: null, unit: "min", hint: "in minutes, with ; in between" }],
    }],
    fill: { press: timesWords.take, from: timedSteps },
    work: by("learned_weight"),
    said: (values) => ({
      hero: { about: "An estimate counts as so many logs", text: steppedText(values.weight, 0.1), unit: "" },
      lines: [`From ${values.steps_used} steps with three logs or more.`, "Type it as the weight of the estimate in “How long will a step take?”; until then one log is taken."],
      drawing: <PartBar total="after one log" parts={[{ name: "estimate", text: `counts ${steppedText(values.weight, 0.1)}`, at: values.weight }, { name: "one log", text: "counts 1", at: 1 }]} />,
    }),
  },
];

function timeSaid({ q10_min, q50_min, q90_min }: { q10_min: number; q50_min: number; q90_min: number }): ReturnType<Calculator["said"]> {
  return {
    hero: { about: "In the middle", amount: q50_min, unit: "min" }, lines: [`Eight times in ten between ${minutes(q10_min)} and ${minutes(q90_min)}.`],
    drawing: <ScaleMarks band={[q10_min, q90_min]} points={[{ at: q10_min, name: "quick", text: minutes(q10_min) }, { at: q50_min, name: "middle", text: minutes(q50_min), main: true }, { at: q90_min, name: "slow", text: minutes(q90_min) }]} />,
  };
}
