"""The hybrid logical clock: the order in which events of several devices are shown. Correctness never rests on it.

Knows the text form `<ms 15 digits>-<counter 4 hex>-<device first 8>` (shared/README.md §8); no clock: times come in.
Source of the rules: hybrid logical clocks, Kulkarni et al. 2014 (send and receive rules); the day's limit is our own.
"""

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

DAY_MS = 24 * 3600 * 1000
TOP_COUNTER = 0xFFFF
TOP_MS = 10**15 - 1
_FORM = re.compile(r"(\d{15})-([0-9a-f]{4})-([0-9a-f]{8})", re.ASCII)


class Stamp(NamedTuple):
    """Milliseconds since 1970 and a counter within them."""

    ms: int
    counter: int


def hlc_stamp(text: str | None) -> Stamp | None:
    """Time and counter of a clock text; None when it is not one."""
    found = _FORM.fullmatch(text or "")
    return Stamp(int(found[1]), int(found[2], 16)) if found else None


def hlc_text(stamp: Stamp, device: str) -> str:
    """The text form; texts of one device sort as ASCII in the order of time."""
    return f"{stamp.ms:015d}-{stamp.counter:04x}-{device[:8]}"


def next_hlc(last: str | None, now_ms: float, device: str) -> str:
    """The clock of the device's next event: later than `last` even when the wall clock stands still or goes back.

    `last` None or unreadable: as if nothing was before. `now_ms` is cut to whole milliseconds from 0 to 15 digits.
    """
    now, before = _whole(now_ms), hlc_stamp(last)
    if before is None or now > before.ms:
        return hlc_text(Stamp(now, 0), device)
    if before.counter < TOP_COUNTER:
        return hlc_text(Stamp(before.ms, before.counter + 1), device)
    return hlc_text(Stamp(min(before.ms + 1, TOP_MS), 0), device)


def merge_hlc(local: str | None, foreign: str, now_ms: float) -> str | None:
    """This device's clock after it has read an event of another: the later of both, under this device's name.

    A foreign clock more than a day ahead of this one is not followed: one set to 2031 would push all that follows.
    A foreign clock that cannot be read changes nothing. With no local clock yet the foreign one is kept as it is.
    """
    theirs, ours = hlc_stamp(foreign), hlc_stamp(local)
    if theirs is None or theirs.ms > _whole(now_ms) + DAY_MS:
        return local
    if ours is None or local is None:
        return foreign
    return hlc_text(max(ours, theirs), local.rsplit("-", 1)[1])


def journal_order(event: Mapping[str, Any]) -> tuple[str, str, int]:
    """The sort key of the journal: clock, device, number; texts compared as ASCII."""
    return event["hlc"], event["device"], event["seq"]


def _whole(now_ms: float) -> int:
    return min(max(int(now_ms), 0), TOP_MS)
