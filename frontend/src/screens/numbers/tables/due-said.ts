/** How the state of a service is said: its limbs in words, and as bars. */
import type { LimbRow } from "../../../domain/intervals";
import { numberText, snapped } from "../../../domain/rounding";
import type { DueBar } from "../../../drawings/due-bars";
import { dayInWords } from "../unbroken";

export const STATE: Record<string, string> = { overdue: "Overdue", due_soon: "Due soon", unknown: "Not known", ok: "Not yet due", done: "Done" };
export const METER: Record<string, string> = { hours: "h", km: "km", starts: "starts", days: "days", months: "days" };

/** `older`: what replaced meters had counted, so that the meter of today is named too. */
export function limbLine({ meter, due_at, left, state, due_from, due_to }: LimbRow, older = 0): string {
  const unit = METER[meter] ?? meter;
  if (left === null || due_at === null) return `By ${meter}: not known, so it is not called good.`;
  const room = left >= 0 ? `${numberText(left)} ${unit} left` : `${numberText(-left)} ${unit} past`;
  const about = due_from !== null && due_to !== null && due_from !== due_to ? `, about ${dayInWords(due_from)} to ${dayInWords(due_to)}` : "";
  const at = typeof due_at === "number" ? `${numberText(snapped(due_at - older, 12))} ${unit}${older > 0 ? " on the new meter" : ""}` : dayInWords(due_at);
  return `By ${meter}: ${(STATE[state] ?? state).toLowerCase()}, due at ${at}, ${room}${about}.`;
}

/** A day where one is sure, else a range: never a day out of a guess. */
export function dayLine(from: string | null, to: string | null): string {
  if (from === null || to === null) return "A day cannot be told from these readings.";
  return from === to ? `On ${dayInWords(from)}.` : `Likely between ${dayInWords(from)} and ${dayInWords(to)}.`;
}

/** How much of the limb is used up; null when not known. */
export const usedOf = ({ overdue_percent }: LimbRow): number | null => (overdue_percent === null ? null : 1 + overdue_percent / 100);

export const barOf = (name: string, row: LimbRow): DueBar => ({
  name, used: usedOf(row), text: row.left === null ? "not known" : `${numberText(Math.abs(row.left))} ${METER[row.meter] ?? row.meter} ${row.left >= 0 ? "left" : "past"}`,
});
