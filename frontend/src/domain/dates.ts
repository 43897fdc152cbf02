/** Calendar days as text `YYYY-MM-DD`: reading, adding days and months, counting. Knows the calendar; never asks what day it is. */
import { asWritten } from "./bounds";
import { Refused } from "./refused";

/** A day as its number, 1970-01-01 being 0. */
export type Day = number;

const MS = 86_400_000;
const FIRST: Day = 0;
const LAST: Day = Date.UTC(2199, 11, 31) / MS;

/** The day that `text` names. Throws `date_unreadable` unless it is a real day of 1970 to 2199 as YYYY-MM-DD. */
export function isoDate(text: unknown, what: string): Day {
  if (typeof text === "string" && /^(19[7-9][0-9]|2[01][0-9]{2})-[0-9]{2}-[0-9]{2}$/.test(text)) {
    const [year = 0, month = 0, day = 0] = text.split("-").map(Number);
    const number = Date.UTC(year, month - 1, day) / MS;
    if (dateText(number) === text) return number;
  }
  throw new Refused("date_unreadable", { what, written: asWritten(text) });
}

/** The day as text YYYY-MM-DD. */
export function dateText(day: Day): string {
  return new Date(day * MS).toISOString().slice(0, 10);
}

/** `day` and `days` later; the day of doing is day 0. Kept inside 1970 to 2199. */
export function addDays(day: Day, days: number): Day {
  return Math.min(Math.max(day + days, FIRST), LAST);
}

/** `day` and `months` calendar months later, clamped to the month's end: 31 Jan and one month is 28 or 29 Feb. */
export function addMonths(day: Day, months: number): Day {
  const from = new Date(day * MS);
  const number = from.getUTCFullYear() * 12 + from.getUTCMonth() + months;
  const [year, month] = [Math.floor(number / 12), number % 12];
  if (year > 2199) return LAST;
  const last = new Date(Date.UTC(year, month + 1, 0)).getUTCDate();
  return Date.UTC(year, month, Math.min(from.getUTCDate(), last)) / MS;
}
