"""Service due: several limbs, whichever first, from the actual doing or from a fixed schedule.

Knows hours, kilometres, starts and the calendar as data; invents no interval and calls nothing unknown good.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Value
from benchtrail.domain.bounds import EDGE, bounded, chosen, positive, record_field, several, whole
from benchtrail.domain.dates import add_days, add_months, days_between, iso_date

METERS = ("hours", "km", "starts")
_CALENDAR = ("days", "months")
_STATES = ("overdue", "due_soon", "unknown", "ok", "done")
_DAYS_PER_MONTH = 30.4375
_LEAST_ROOM_DAYS = 28
_LAST_DAY = date(2199, 12, 31)
_MOST_DAYS = 70_000
_LEAST_USE = 1e-6
_UNTIL = (Note("interval_from_maker"), Note("use_changes"))


@dataclass(frozen=True)
class Reading:
    """What the meters showed on a day; a meter that was not read is missing."""

    day: date
    meters: dict[str, float]


@dataclass(frozen=True)
class Task:
    """When a task was last done and how its limbs count; `begun` is the origin of a fixed schedule."""

    done: Reading | None
    begun: Reading | None
    severity: float
    fixed: bool
    once: bool
    paused_days: int


def service_due(*, limbs: Sequence[Mapping[str, object]], today: str, done: Mapping[str, object] | None = None,
                readings: Sequence[Mapping[str, object]] = (), severity: float = 1.0, schedule: str = "drifting",
                once: bool = False, begun: Mapping[str, object] | None = None, paused_days: int = 0) -> Answer:
    """Whether a task is due, by which limb, and about when the next one is.

    Rule: due at last doing + interval · severity (drifting), or at the next point of the schedule (fixed; done up to
    10 % early counts as that point); the worst limb decides; due soon when no more than the greater of 10 % and 7
    days is left; a limb without reading is unknown and never ok. Months end-clamped; days half-open, the day of doing
    is day 0. `limbs` 1 to 5 of `meter` (hours, km, starts, days, months), `every` above 0, `fluid` (true: storage
    does not pause it); `done` and `readings` of `date` and meters; `today`; `severity` 0.1 to 2; `schedule` drifting
    or fixed; `once` for the first service; `begun` when the machine or schedule began; `paused_days` of declared
    storage, 0 to 3650. Returns `state` overdue, due_soon, unknown, ok, done; `governing` meter; `limbs` with
    `due_at`, `left`, `state`, `due_date`, `due_from`, `due_to`; and the same three dates overall, none without enough
    readings. Raises as `bounded`, `chosen`, `several`, `iso_date`.
    Source: our own rules; "hours or calendar, whichever first" TM 5-3805-263-14&P-3. Stops being true when use
    changes.
    """
    day = iso_date(today, "today")
    fixed = chosen({"drifting": False, "fixed": True}, schedule, "schedule")
    last = None if done is None else reading_of(done, "last doing")
    task = Task(last, None if begun is None else reading_of(begun, "beginning"),
                bounded(severity, "severity", "", 0.1, 2), fixed, once is True,
                whole(paused_days, "days of storage", 0, 3650))
    known = sorted((reading_of(reading, "reading") for reading in several(readings, "readings", 0, 2000)),
                   key=lambda reading: reading.day)
    rows = [_limb(limb, task, known, day) for limb in several(limbs, "limbs", 1, 5)]
    if task.once and task.done is not None:
        rows = [{**row, "state": "done", "due_date": None, "due_from": None, "due_to": None} for row in rows]
    worst = min(rows, key=lambda row: (_STATES.index(str(row["state"])), str(row["due_date"] or "9999")))
    dated = [row for row in rows if row["due_date"] is not None]
    first = min(dated, key=lambda row: str(row["due_date"])) if dated else None
    values: dict[str, Value] = {
        "state": worst["state"], "governing": worst["meter"], "limbs": [dict(row) for row in rows],
        **{name: None if first is None else first[name] for name in ("due_date", "due_from", "due_to")}}
    notes = (Note("unknown_is_not_ok"),) if any(row["state"] == "unknown" for row in rows) else ()
    working = Note("service_due", {"state": worst["state"], "meter": worst["meter"], "due_at": worst["due_at"],
                                   "left": worst["left"], "due_date": values["due_date"]})
    return Answer(values, working, (ARITHMETIC,), _UNTIL, notes)


def reading_of(record: object, what: str) -> Reading:
    """A record of a date and meters, checked."""
    meters = {meter: bounded(value, f"reading in {meter}", "", 0, 1e7) for meter in METERS
              if (value := record_field(record, meter, what)) is not None}
    return Reading(iso_date(record_field(record, "date", what), what), meters)


def _limb(limb: object, task: Task, readings: list[Reading], today: date) -> dict[str, Value]:
    names = {name: name for name in (*METERS, *_CALENDAR)}
    meter = chosen(names, record_field(limb, "meter", "limb"), "limb")
    every = positive(record_field(limb, "every", "limb"), "interval", "", 1e6)
    if meter in METERS:
        return _by_meter(meter, every, task, readings, today)
    paused = 0 if record_field(limb, "fluid", "limb") is True else task.paused_days
    return _by_calendar(meter, bounded(every, "interval", meter, 1, 1e4), task, today, paused)


def _row(meter: str, limit: float | None, due_at: Value, left: float | None, soon: float,
         dates: tuple[date, date, date] | None) -> dict[str, Value]:
    """One limb as data; `left` and `limit` in the limb's own unit, days for the calendar."""
    state, overdue = "unknown", None
    if left is not None and limit is not None:
        overdue = -left / limit * 100
        state = "overdue" if left <= EDGE else "due_soon" if left <= soon + EDGE else "ok"
    likely, first, last = (None, None, None) if dates is None else (day.isoformat() for day in dates)
    return {"meter": meter, "limit": limit, "due_at": due_at, "left": left, "overdue_percent": overdue, "state": state,
            "due_date": likely, "due_from": first, "due_to": last}


def _by_calendar(meter: str, every: float, task: Task, today: date, paused: int) -> dict[str, Value]:
    span = every * task.severity
    if task.done is None:
        origin = task.begun if task.once else None
        turns = None if origin is None else (origin.day, _turn(meter, span, origin.day, 1))
    elif task.fixed:
        turns = None if task.begun is None else _scheduled(meter, span, task.begun.day, task.done.day)
    else:
        turns = task.done.day, _turn(meter, span, task.done.day, 1)
    if turns is None:
        return _row(meter, None, None, None, 0, None)
    limit = max(days_between(*turns), 1)
    due = add_days(turns[1], paused)
    left = days_between(today, due)
    return _row(meter, float(limit), due.isoformat(), float(left), max(0.1 * limit, 7), (due, due, due))


def _turn(meter: str, span: float, origin: date, turn: int) -> date:
    """The day `turn` spans after `origin`: calendar months where they are whole, else days rounded down."""
    total = span * turn
    if meter == "months" and total == math.floor(total):
        return add_months(origin, int(total))
    return add_days(origin, math.floor(total * (_DAYS_PER_MONTH if meter == "months" else 1) + EDGE))


def _scheduled(meter: str, span: float, begun: date, done: date) -> tuple[date, date]:
    """The last and the next day of a fixed schedule: done up to 10 % early counts as the day it was early for."""
    per_turn = span * (_DAYS_PER_MONTH if meter == "months" else 1)
    turn = max(math.floor(days_between(begun, done) / per_turn) - 1, 1)
    while True:
        before, due = _turn(meter, span, begun, turn - 1), _turn(meter, span, begun, turn)
        if days_between(done, due) > 0.1 * days_between(before, due) or due >= _LAST_DAY:
            return before, due
        turn += 1


def _by_meter(meter: str, every: float, task: Task, readings: list[Reading], today: date) -> dict[str, Value]:
    limit = every * task.severity
    start = 0.0 if task.once and task.done is None else None if task.done is None else task.done.meters.get(meter)
    taken = [reading for reading in readings if meter in reading.meters]
    if task.done is not None and meter in task.done.meters:
        taken = [task.done, *(reading for reading in taken if reading.day >= task.done.day)]
    if start is None or not taken:
        return _row(meter, limit, None, None, 0, None)
    due = (math.floor((start + 0.1 * limit) / limit + EDGE) + 1) * limit if task.fixed else start + limit
    now = taken[-1]
    left = due - now.meters[meter]
    per_day = _rate(meter, taken)
    dates = None if per_day is None else _forecast(left, per_day, now.day, today)
    return _row(meter, limit, due, left, max(0.1 * limit, 7 * (per_day or 0.0)), dates)


def _rate(meter: str, taken: list[Reading]) -> float | None:
    """Use a day from the first to the last reading; None with fewer than two days of readings or no use."""
    days = days_between(taken[0].day, taken[-1].day)
    used = taken[-1].meters[meter] - taken[0].meters[meter]
    return used / days if days > 0 and used > _LEAST_USE else None


def _forecast(left: float, per_day: float, read: date, today: date) -> tuple[date, date, date]:
    """The likely day, and a range: 28 days or 30 % of the time ahead to either side, whichever is more."""
    ahead = math.floor(max(min(left / per_day, _MOST_DAYS), -_MOST_DAYS) + EDGE)
    room = max(_LEAST_ROOM_DAYS, math.floor(0.3 * max(ahead, 0)))
    likely = add_days(read, ahead)
    return likely, max(add_days(likely, -room), min(today, likely)), add_days(likely, room)
