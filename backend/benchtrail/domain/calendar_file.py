"""Due days as an iCalendar file that any calendar opens.

Knows RFC 5545 lines, escaping and folding; asks for the time stamp instead of a clock.
"""

from collections.abc import Mapping, Sequence

from benchtrail.domain.bounds import record_field, several
from benchtrail.domain.dates import add_days, iso_date
from benchtrail.domain.refused import Refused

_PRODUCT = "-//Benchtrail//Service due//EN"


def calendar_file(entries: Sequence[Mapping[str, object]], stamp: str) -> str:
    """All-day events, one for each entry of `uid`, `date`, `summary`, optional `description`, in the order given.

    `stamp` is when it was made, UTC, as 20261125T080000Z. Lines end in CRLF and are folded at 75 octets. Raises
    `stamp_unreadable`, as `iso_date`, `several`.
    Source: RFC 5545, sections 3.1, 3.3.11, 3.6.1.
    """
    if len(stamp) != 16 or stamp[8] != "T" or stamp[15] != "Z" or not (stamp[:8] + stamp[9:15]).isascii() \
            or not (stamp[:8] + stamp[9:15]).isdigit():
        raise Refused("stamp_unreadable", written=stamp)
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{_PRODUCT}", "CALSCALE:GREGORIAN"]
    for entry in several(entries, "calendar entries", 0, 1000):
        lines += _event(entry, stamp)
    return "".join(f"{_folded(line)}\r\n" for line in [*lines, "END:VCALENDAR"])


def _event(entry: object, stamp: str) -> list[str]:
    day = iso_date(record_field(entry, "date", "calendar entry"), "due day")
    words = record_field(entry, "description", "calendar entry")
    return ["BEGIN:VEVENT", f"UID:{_escaped(record_field(entry, 'uid', 'calendar entry'))}", f"DTSTAMP:{stamp}",
            f"DTSTART;VALUE=DATE:{day:%Y%m%d}", f"DTEND;VALUE=DATE:{add_days(day, 1):%Y%m%d}",
            f"SUMMARY:{_escaped(record_field(entry, 'summary', 'calendar entry'))}",
            *([f"DESCRIPTION:{_escaped(words)}"] if words else []), "TRANSP:TRANSPARENT", "END:VEVENT"]


def _escaped(text: object) -> str:
    plain = str(text).replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return plain.replace("\r\n", "\\n").replace("\n", "\\n").replace("\r", "\\n")


def _folded(line: str) -> str:
    """The line in pieces of at most 75 octets, no character split, continued after a space."""
    pieces, piece, used = [], "", 0
    for char in line:
        size = len(char.encode("utf-8"))
        if used + size > 75:
            pieces.append(piece)
            piece, used = " ", 1
        piece += char
        used += size
    return "\r\n".join([*pieces, piece])
