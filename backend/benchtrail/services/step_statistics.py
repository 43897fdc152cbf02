"""Statistics of a procedure's steps over the jobs that came back: for the desk, the command line, and as a table.

Knows which jobs there are; what is said of a step is the domain's.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.labour_estimate import labour_estimate
from benchtrail.domain.step_statistics import StepStatistics, step_statistics
from benchtrail.services.desk_library import newest_revision
from benchtrail.services.job_list import KeptRows, jobs_of_procedure
from benchtrail.services.jobs import Shelf
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject, PublishedPack

COLUMNS = ("number", "step", "say", "minutes_written", "jobs", "times", "median_min", "interval_low_min", "interval_high_min", "coverage",
           "q10_min", "q90_min", "set_aside", "stopped", "went_back", "skipped", "asked", "notes", "outside_limits", "look_at")


@dataclass(frozen=True)
class ProcedureStatistics:
    """Of a procedure's newest revision; `jobs` of any revision, `finished` of them closed as finished; `labour`: how long
    it takes on a machine like that of its newest job (`variant` in words; None: the steps that every machine has); `steps` in
    order, each with its number, words and the author's minutes."""

    procedure: str
    title: str
    revision: int
    jobs: int
    finished: int
    labour: JsonObject
    steps: list[JsonObject]


def procedure_statistics(ports: Ports, kept: KeptRows, dealer: str, procedure: str) -> ProcedureStatistics:
    """What its jobs say of each step. Steps of earlier revisions that are gone are not shown. Raises Refused("no_such_procedure")."""
    newest, steps = steps_of(ports, dealer, procedure)
    jobs = jobs_of_procedure(ports, kept, dealer, procedure)
    traces = [trace for _, trace, _ in jobs]
    rows = step_statistics(steps, traces)
    newest_job, _, variant = jobs[0] if jobs else ({"variant": None}, None, None)
    labour = {"variant": newest_job["variant"] if variant else None, **labour_estimate(steps, variant, traces)}
    finished = sum((row["closed"] or {}).get("outcome") == "finished" for row, _, _ in jobs)
    return ProcedureStatistics(
        procedure, newest.title, newest.revision, len(jobs), finished, labour,
        [_row(number, step, row) for number, (step, row) in enumerate(zip(steps, rows, strict=True), 1)])


def steps_of(ports: Ports, dealer: str, procedure: str) -> tuple[PublishedPack, list[JsonObject]]:
    """The newest revision and its steps. Raises Refused("no_such_procedure")."""
    newest = newest_revision(ports, dealer, procedure)
    with ports.storage.reading() as unit:
        pack = Shelf(ports, unit, dealer).pack(newest.sha256)
    return newest, list(pack["steps"]) if pack else []


def _row(number: int, step: JsonObject, row: StepStatistics) -> JsonObject:
    return {"number": number, "say": step["say"], "section": step["section"], "minutes": step["minutes"], **row}


def as_table(found: ProcedureStatistics) -> Iterator[tuple[Any, ...]]:
    """A head line and a line for each step; a cell is empty where too few jobs say it."""
    yield COLUMNS
    for one in found.steps:
        times = one["times"]
        aside = " ".join(f"{why}={count}" for why, count in sorted(times["aside"].items()))
        yield (one["number"], one["step"], one["say"], one["minutes"], one["jobs"], times["n"],
               *(_rounded(times[name]) for name in ("median_min", "low_min", "high_min", "coverage", "q10_min", "q90_min")), aside,
               *(one[name] for name in ("stopped", "back", "skipped", "asked", "notes", "outside")), " ".join(one["look"]))


def _rounded(number: float | None) -> float | None:
    return None if number is None else round(number, 3)
