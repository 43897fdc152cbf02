/** Due days as an iCalendar file that any calendar opens. Knows RFC 5545 lines, escaping and folding; asks for the time stamp. */
import { record, several } from "./bounds";
import { addDays, dateText, isoDate } from "./dates";
import { Refused } from "./refused";

export type CalendarEntry = { uid: string; date: string; summary: string; description?: string | null };

/**
 * All-day events in the order given. `stamp` is when it was made, UTC, as 20261125T080000Z. Lines end in CRLF and are
 * folded at 75 octets. Throws `stamp_unreadable`. Source: RFC 5545, sections 3.1, 3.3.11, 3.6.1.
 */
export function calendarFile(entries: readonly CalendarEntry[], stamp: string): string {
  if (!/^[0-9]{8}T[0-9]{6}Z$/.test(stamp)) throw new Refused("stamp_unreadable", { written: stamp });
  const events = several(entries, "calendar entries", 0, 1000).flatMap((entry) => eventLines(record(entry, "calendar entry"), stamp));
  const head = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Benchtrail//Service due//EN", "CALSCALE:GREGORIAN"];
  return [...head, ...events, "END:VCALENDAR"].map((line) => `${folded(line)}\r\n`).join("");
}

function eventLines(entry: CalendarEntry, stamp: string): string[] {
  const day = isoDate(entry.date, "due day");
  const compact = (at: number) => dateText(at).replaceAll("-", "");
  return [
    "BEGIN:VEVENT", `UID:${escaped(entry.uid)}`, `DTSTAMP:${stamp}`, `DTSTART;VALUE=DATE:${compact(day)}`,
    `DTEND;VALUE=DATE:${compact(addDays(day, 1))}`, `SUMMARY:${escaped(entry.summary)}`,
    ...(entry.description ? [`DESCRIPTION:${escaped(entry.description)}`] : []), "TRANSP:TRANSPARENT", "END:VEVENT",
  ];
}

function escaped(text: string): string {
  return text.replace(/[\\;,]/g, (char) => `\\${char}`).replace(/\r\n|\n|\r/g, "\\n");
}

/** The line in pieces of at most 75 octets, no character split, continued after a space. */
function folded(line: string): string {
  const pieces: string[] = [];
  let [piece, used] = ["", 0];
  for (const char of line) {
    const size = new TextEncoder().encode(char).length;
    if (used + size > 75) {
      pieces.push(piece);
      [piece, used] = [" ", 1];
    }
    piece += char;
    used += size;
  }
  return [...pieces, piece].join("\r\n");
}
