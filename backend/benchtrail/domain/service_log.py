"""From a log to what counts: meters that were replaced, tasks that contain others, the list of all that is due.

Knows the order of entries by day; the state of one task is `intervals.service_due`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Value
from benchtrail.domain.bounds import EDGE, bounded, chosen, record_field, several
from benchtrail.domain.dates import iso_date
from benchtrail.domain.intervals import METERS, service_due
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import snapped, with_unit

_ORDER = ("overdue", "due_soon", "unknown", "ok", "done")


def meter_total(*, entries: Sequence[Mapping[str, object]]) -> Answer:
    """Total of a meter over its replacements: every reading with what older meters had counted.

    Rule: total = reading + offset; a new meter's offset is the total before it less what it shows when fitted.
    `entries` 1 to 2000 of `date`, `reading` (0 to 10⁷), `new_meter` (true on the entry that fits one, with what it
    then shows). Returns `total`, `offset`, `totals` by day. Raises `reading_below_last` unless a new meter is
    declared, as `bounded`, `iso_date`.
    Source: arithmetic. Stops being true for hours ridden with no meter on.
    """
    taken = sorted(enumerate(several(entries, "readings", 1, 2000)), key=lambda item: (_day(item[1]), item[0]))
    total, offset = 0.0, 0.0
    totals: list[Value] = []
    for _, entry in taken:
        reading = bounded(record_field(entry, "reading", "reading"), "reading", "", 0, 1e7)
        if record_field(entry, "new_meter", "reading") is True:
            offset = total - reading
        elif snapped(reading + offset, 12) < total:
            raise Refused("reading_below_last", reading=with_unit(reading, ""), last=with_unit(total - offset, ""))
        total = snapped(reading + offset, 12)
        totals.append({"date": _day(entry).isoformat(), "total": total})
    values: dict[str, Value] = {"total": total, "offset": offset, "totals": totals}
    return Answer(values, Note("meter_total", values), (ARITHMETIC,), (Note("ridden_without_meter"),))


def _day(entry: object) -> date:
    return iso_date(record_field(entry, "date", "entry"), "entry")


def last_done(*, task: str, contains: Mapping[str, Sequence[object]], log: Sequence[Mapping[str, object]]) -> Answer:
    """When a task was last done, itself or within a larger one that contains it.

    Rule: the latest entry of the task or of any task that contains it, through any depth. `contains` task → the tasks
    it includes; `log` up to 5000 entries of `task`, `date` and meters. Returns `done` (the entry or none), `by` (its
    task).
    Source: our own rule. Stops being true when the larger job was cut short: log what was done. Raises
    `record_needed`, as `several`, `bounded`, `iso_date`.
    """
    if not isinstance(contains, Mapping):
        raise Refused("record_needed", what="larger jobs")
    counting = _containing(task, {name: several(inside, "contained tasks", 0, 200) for name, inside in contains.items()})
    entries = [entry for entry in several(log, "log entries", 0, 5000)
               if record_field(entry, "task", "log entry") in counting]
    days = [_day(entry) for entry in entries]
    for entry in entries:
        _check_meters(entry)
    latest = max(enumerate(entries), key=lambda item: (days[item[0]], item[0]), default=(0, None))[1]
    done: dict[str, Value] | None = dict(latest) if isinstance(latest, dict) else None
    by = None if done is None else done["task"]
    values: dict[str, Value] = {"done": done, "by": by}
    working = Note("last_done", {"task": task, "by": by, "date": None if done is None else done["date"]})
    return Answer(values, working, (ARITHMETIC,), (Note("larger_job_complete"),))


def _check_meters(entry: object) -> None:
    """A meter that was read shows 0 to 10⁷."""
    for meter in METERS:
        reading = record_field(entry, meter, "log entry")
        if reading is not None:
            bounded(reading, f"reading in {meter}", "", 0, 1e7)


def _inside(task: object) -> Sequence[object]:
    return several(record_field(task, "contains", "task") or (), "contained tasks", 0, 200)


def _containing(task: str, contains: Mapping[str, Sequence[object]]) -> set[str]:
    """The task and all that contain it."""
    found = {task}
    while True:
        more = {name for name, inside in contains.items()
                if name not in found and any(isinstance(one, str) and one in found for one in inside)}
        if not more:
            return found
        found |= more


@dataclass(frozen=True)
class _Change:
    """A new meter: from `day` on, what it shows is `more` less than the total."""

    day: date
    meter: str
    more: float


def _changes(replaced: Sequence[Mapping[str, object]]) -> list[_Change]:
    found = []
    for one in several(replaced, "replaced meters", 0, 50):
        meter = chosen({name: name for name in METERS}, record_field(one, "meter", "replaced meter"), "meter")
        before, after = (bounded(record_field(one, name, "replaced meter"), f"reading {name} the change", "", 0, 1e7)
                         for name in ("before", "after"))
        found.append(_Change(iso_date(record_field(one, "date", "replaced meter"), "change"), meter, before - after))
    return found


def _more(changes: Sequence[_Change], meter: str, day: date) -> float:
    """What older meters had counted on `day`; on the day of a change the new meter is meant."""
    return sum(change.more for change in changes if change.meter == meter and change.day <= day)


def _as_total(record: object, changes: Sequence[_Change], what: str) -> dict[str, Any]:
    """A record of a day with its meters as totals over all of them."""
    day = iso_date(record_field(record, "date", what), what)
    kept = dict(record) if isinstance(record, Mapping) else {}
    for meter in METERS:
        if kept.get(meter) is not None:
            reading = bounded(kept[meter], f"reading in {meter}", "", 0, 1e7)
            kept[meter] = snapped(reading + _more(changes, meter, day), 12)
    return kept


def _never_fall(records: Sequence[Mapping[str, Any]], changes: Sequence[_Change]) -> None:
    """A meter does not run backwards, unless a new one was declared. Raises `reading_below_last`."""
    for meter in METERS:
        taken = [(iso_date(record["date"], "reading"), record[meter]) for record in records if record.get(meter) is not None]
        for day, total in taken:
            last = max((other for before, other in taken if before < day), default=total)
            if total < last - EDGE:
                more = _more(changes, meter, day)
                raise Refused("reading_below_last", reading=with_unit(total - more, ""), last=with_unit(last - more, ""))


def service_list(*, tasks: Sequence[Mapping[str, object]], log: Sequence[Mapping[str, object]], today: str,
                 readings: Sequence[Mapping[str, object]] = (), replaced: Sequence[Mapping[str, object]] = ()) -> Answer:
    """All tasks of a machine with their states, the most urgent first.

    Rule: each by `last_done` and `service_due`, meters as totals over their replacements. `tasks` up to 200 of `id`,
    `limbs`, and as they apply `contains`, `severity`, `schedule`, `once`, `begun`, `paused_days`; `log` up to 500 of
    `task`, `date` and meters; `readings` up to 500; `replaced` up to 50 of `date`, `meter` (hours, km, starts),
    `before` and `after`: what the old and the new one showed; readings of that day are of the new one. Returns `rows`:
    `id` and all of `service_due`; `older`: what older meters had counted by today. Raises `reading_below_last`, and as
    these. Source and limits as there.
    """
    listed = several(tasks, "tasks", 0, 200)
    changes = _changes(replaced)
    contains = {str(record_field(task, "id", "task")): _inside(task) for task in listed}
    done_log = [_as_total(entry, changes, "log entry") for entry in several(log, "log entries", 0, 500)]
    taken = [_as_total(reading, changes, "reading") for reading in several(readings, "readings", 0, 500)]
    _never_fall([*done_log, *taken], changes)
    rows: list[dict[str, Value]] = []
    for task in listed:
        name = str(record_field(task, "id", "task"))
        done = last_done(task=name, contains=contains, log=done_log).values["done"]
        given = _task_fields(task, changes)
        state = service_due(today=today, done=done if isinstance(done, dict) else None, readings=taken, **given)
        rows.append({"id": name, **state.values})
    rows.sort(key=lambda row: (_ORDER.index(str(row["state"])), str(row["due_date"] or "9999"), str(row["id"])))
    day = iso_date(today, "today")
    older: dict[str, Value] = {meter: _more(changes, meter, day) for meter in METERS}
    values: dict[str, Value] = {"rows": [dict(row) for row in rows], "older": older}
    count = sum(row["state"] in {"overdue", "due_soon"} for row in rows)
    return Answer(values, Note("service_list", {"count": count}), (ARITHMETIC,), (Note("interval_from_maker"),))


def _task_fields(task: object, changes: Sequence[_Change]) -> dict[str, Any]:
    """What a task says of how it counts."""
    given: dict[str, Any] = {key: value for key in ("severity", "schedule", "once", "paused_days")
                             if (value := record_field(task, key, "task")) is not None}
    begun = record_field(task, "begun", "task")
    if begun is not None:
        given["begun"] = _as_total(begun, changes, "beginning")
    return {"limbs": record_field(task, "limbs", "task"), **given}
