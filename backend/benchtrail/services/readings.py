"""Readings across machines: what was measured at which hours, with the limits it was held against. For the desk's plots and tables.

Knows the kept rows of jobs; nothing of how a plot looks.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from benchtrail.services.job_list import KeptRows, jobs_with_readings
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject

COLUMNS = ("machine", "hours", "value", "unit", "as_typed", "verdict", "lowest", "highest", "measured_at", "job", "step")
FIELDS = ("machine", "hours", "value", "unit", "as_typed", "verdict", "low", "high", "wall", "job", "step")


@dataclass(frozen=True)
class Measured:
    """One check of one model (None: of any machine): how often it was read, on how many machines, how often outside."""

    model: str | None
    check: str
    name: str
    unit: str
    readings: int
    machines: int
    outside: int


@dataclass(frozen=True)
class Readings:
    """All readings of one check. `low`, `high`: the limits that the newest reading was held against, None where there is no such
    end; `other_limits`: how many were held against others. A point's `hours` is None when the job did not state them."""

    model: str | None
    check: str
    name: str
    unit: str
    low: float | None
    high: float | None
    other_limits: int
    points: list[JsonObject]


def measured(ports: Ports, kept: KeptRows, dealer: str) -> list[Measured]:
    """Every check that was read, by model and name."""
    groups: dict[tuple[str | None, str], list[JsonObject]] = {}
    for point in _points(ports, kept, dealer):
        groups.setdefault((point["model"], point["check"]), []).append(point)
    rows = [Measured(model, check, points[-1]["name"], points[-1]["unit"], len(points), len({point["machine_id"] for point in points}),
                     sum(point["verdict"] == "outside" for point in points)) for (model, check), points in groups.items()]
    return sorted(rows, key=lambda row: (row.model or "", row.name, row.check))


def readings_of(ports: Ports, kept: KeptRows, dealer: str, model: str | None, check: str) -> Readings | None:
    """The readings of one check of one model, oldest first; None when there is none. One in another unit than the newest is left
    out of `points`: it cannot stand on one scale with it."""
    points = [point for point in _points(ports, kept, dealer) if (point["model"], point["check"]) == (model, check)]
    if not points:
        return None
    newest = points[-1]
    limits = (newest["low"], newest["high"])
    shown = [point for point in points if point["unit"] == newest["unit"]]
    return Readings(model, check, newest["name"], newest["unit"], *limits, sum((one["low"], one["high"]) != limits for one in shown), shown)


def _points(ports: Ports, kept: KeptRows, dealer: str) -> list[JsonObject]:
    found = []
    for row, readings in jobs_with_readings(ports, kept, dealer):
        machine = row["machine"]
        of = {"job": row["job"], "machine_id": machine["id"] or row["job"], "machine": machine["name"], "model": machine["model"],
              "hours": machine["hours"]}
        found += [of | reading for reading in readings]
    return sorted(found, key=lambda point: (point["wall"], point["job"]))


def as_table(found: Readings) -> Iterator[tuple[Any, ...]]:
    """A head line and a line for each reading."""
    yield COLUMNS
    for one in found.points:
        yield tuple(one[name] for name in FIELDS)
