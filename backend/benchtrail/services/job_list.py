"""The list of jobs. Folding hundreds of journals takes seconds, so each row is kept until anything of its job changes.

Knows what a row depends on; how a job is folded and shown is elsewhere. Losing the kept rows loses nothing.
"""

import contextlib
import hashlib
import inspect
import json
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache

from benchtrail.domain import bench_state, end_items, journal, step_times, verdict
from benchtrail.domain import step_trace as traces
from benchtrail.domain.difference.change import Change
from benchtrail.domain.difference.difference import difference
from benchtrail.domain.difference.on_job import OnJob, on_job
from benchtrail.domain.guards import Variant
from benchtrail.domain.refused import Refused
from benchtrail.domain.step_trace import StepTrace, step_trace, whole_trace
from benchtrail.services import desk_jobs, jobs
from benchtrail.services.desk_jobs import job_row, superseded_of
from benchtrail.services.desk_records import JobSummary
from benchtrail.services.jobs import Job, Shelf, gather_job
from benchtrail.services.ports import JobMark, Ports, Unit
from benchtrail.services.records import JsonObject

MOST_KEPT = 30_000
LEAST_TO_STORE = 10


@dataclass(frozen=True)
class _Kept:
    mark: tuple[JobMark, tuple[int, int]]
    row: JsonObject
    devices: frozenset[str]
    pack: str | None
    fold: JsonObject


@dataclass
class KeptRows:
    """Rows by dealer and job, for this process; the oldest give way. What was folded here and is not stored yet is
    remembered until there is enough of it to be worth a write."""

    _rows: dict[tuple[str, str], _Kept] = field(default_factory=dict)
    _guard: threading.Lock = field(default_factory=threading.Lock)

    _read: set[str] = field(default_factory=set)
    _new: dict[str, dict[str, _Kept]] = field(default_factory=dict)

    def first_time(self, dealer: str) -> bool:
        """True once for each dealer of this process."""
        with self._guard:
            new = dealer not in self._read
            self._read.add(dealer)
            return new

    def folded(self, dealer: str, job: str, kept: _Kept) -> None:
        """Keeps a row that was folded just now."""
        self.put((dealer, job), kept)
        with self._guard:
            self._new.setdefault(dealer, {})[job] = kept

    def to_store(self, dealer: str) -> dict[str, _Kept]:
        """What is to be stored now; empty while it is too little."""
        with self._guard:
            return self._new.pop(dealer, {}) if len(self._new.get(dealer, {})) >= LEAST_TO_STORE else {}

    def get(self, key: tuple[str, str]) -> _Kept | None:
        with self._guard:
            return self._rows.get(key)

    def put(self, key: tuple[str, str], kept: _Kept) -> None:
        with self._guard:
            self._rows.pop(key, None)
            self._rows[key] = kept
            if len(self._rows) > MOST_KEPT:
                del self._rows[next(iter(self._rows))]


def job_list(ports: Ports, kept: KeptRows, dealer: str) -> list[JsonObject]:
    """A row for every job of the dealer, newest news first."""
    with ports.storage.reading() as unit:
        shelf = Shelf(ports, unit, dealer)
        rows = [found.row | _changing(shelf, found) for found in _rows(unit, shelf, kept, dealer)]
    _store(ports, kept, dealer)
    return rows


def jobs_on_replaced_packs(ports: Ports, kept: KeptRows, dealer: str) -> list[tuple[JsonObject, OnJob]]:
    """Rows of the jobs whose pack was replaced, each with `to`, the hash of the one in force, and what that means for it."""
    with ports.storage.reading() as unit:
        shelf = Shelf(ports, unit, dealer)
        pairs = [(found, _means(shelf, found)) for found in _rows(unit, shelf, kept, dealer)]
        return [(found.row | _changing(shelf, found) | {"to": shelf.bulletins[found.pack or ""].to_sha256},
                 _named(shelf, mine)) for found, mine in pairs if mine]


def jobs_if_replaced(
    ports: Ports, kept: KeptRows, dealer: str, revisions: set[str], new: JsonObject
) -> list[JsonObject]:
    """Of the jobs on these packs: `{row, used, redo}` as they would stand if the new pack replaced them, those first that
    have something to do again."""
    found: list[JsonObject] = []
    with ports.storage.reading() as unit:
        shelf = Shelf(ports, unit, dealer)
        changes: dict[str, list[Change]] = {}
        for one in _rows(unit, shelf, kept, dealer):
            pack = shelf.pack(one.pack) if one.pack in revisions else None
            if pack is None or one.pack is None:
                continue
            if one.pack not in changes:
                changes[one.pack] = difference(pack, new)
            mine = on_job(changes[one.pack], pack["steps"], one.fold)
            found.append({"row": one.row | _changing(shelf, one), "used": len(mine["used"]), "redo": len(mine["steps"])})
    return sorted(found, key=lambda one: -int(one["redo"]))


def jobs_of_procedure(
    ports: Ports, kept: KeptRows, dealer: str, procedure: str
) -> list[tuple[JsonObject, StepTrace, Variant | None]]:
    """Rows of the jobs of a procedure, of every revision, each with its trace and variant; newest news first."""
    with ports.storage.reading() as unit:
        rows = _rows(unit, Shelf(ports, unit, dealer), kept, dealer)
        found = [(one.row, whole_trace(one.fold["trace"]), one.fold["variant"]) for one in rows
                 if one.row["procedure"] == procedure]
    _store(ports, kept, dealer)
    return found


def jobs_with_readings(ports: Ports, kept: KeptRows, dealer: str) -> list[tuple[JsonObject, list[JsonObject]]]:
    """Rows of the jobs in which something was measured, each with its readings."""
    with ports.storage.reading() as unit:
        found = [(one.row, one.fold["readings"]) for one in _rows(unit, Shelf(ports, unit, dealer), kept, dealer) if one.fold["readings"]]
    _store(ports, kept, dealer)
    return found


def _named(shelf: Shelf, mine: OnJob) -> OnJob:
    """With the words for the phone on which it was read."""
    seen = mine["seen"]
    device = shelf.devices.get(seen["device"]) if seen else None
    return {**mine, "seen": seen and {**seen, "device": device.label if device else "a phone that is not known"}}


def _rows(unit: Unit, shelf: Shelf, kept: KeptRows, dealer: str) -> Iterator[_Kept]:
    events, photos = unit.events.marks(dealer), unit.photos.marks(dealer)
    if kept.first_time(dealer):
        for one in unit.job_summaries.all(dealer):
            if one.made_with == made_with():
                kept.put((dealer, one.job), _restored(one))
    for job in unit.events.jobs(dealer):
        mark = (events[job], photos.get(job, (0, 0)))
        found = kept.get((dealer, job))
        if found is None or found.mark != mark:
            found = _folded(unit, shelf, dealer, job, mark)
            kept.folded(dealer, job, found)
        yield found


def _means(shelf: Shelf, kept: _Kept) -> OnJob | None:
    bulletin = shelf.bulletins.get(kept.pack or "")
    pack = shelf.pack(kept.pack) if bulletin else None
    return on_job(bulletin.changes, pack["steps"], kept.fold) if bulletin and pack else None


def _folded(unit: Unit, shelf: Shelf, dealer: str, id: str, mark: tuple[JobMark, tuple[int, int]]) -> _Kept:
    job = gather_job(unit, shelf, dealer, id, unit.events.of_job(dealer, id))
    pack = job.published.sha256 if job.published else None
    # A job whose pack is not known here yet is folded anew each time: the pack may come.
    kept = {field: job.fold[field] for field in ("variant", "closed", "answers")} | {"done": dict.fromkeys(job.fold["done"])}
    trace = {name: value for name, value in step_trace(job.envelopes, job.fold).items() if value}
    told = {"trace": trace, "readings": [_measured(job, row) for row in job.fold["readings"]]}
    return _Kept(mark if pack else ((-1, -1, -1), (-1, -1)), job_row(job), frozenset(job.phones), pack, kept | told)


def _measured(job: Job, row: JsonObject) -> JsonObject:
    """A reading with its name and the limits that it was held against, in the reading's own unit."""
    limits = verdict.reading_limits(job.pack, row["step"]) or {"low": None, "high": None}
    told = {name: row[name] for name in ("step", "check", "value", "unit", "as_typed", "verdict", "wall")}
    return told | {"name": desk_jobs.name_in(job.pack, row["check"]), "low": limits["low"], "high": limits["high"]}


def _changing(shelf: Shelf, kept: _Kept) -> JsonObject:
    """What can change though nothing of the job does: a newer revision, the words for a phone."""
    labels = sorted({shelf.devices[device].label for device in kept.devices if device in shelf.devices})
    superseded = superseded_of(_means(shelf, kept))
    return superseded | {"superseded": kept.pack is not None and kept.pack not in shelf.current, "device": ", ".join(labels)}


def _store(ports: Ports, kept: KeptRows, dealer: str) -> None:
    """Stores what was folded, so that the next start of the server reads it instead of folding every journal again."""
    new = kept.to_store(dealer)
    if not new:
        return
    with contextlib.suppress(Refused), ports.storage.writing() as unit:  # others write: it is folded again, nothing is lost
        for job, one in new.items():
            if one.pack:
                unit.job_summaries.put(JobSummary(dealer, job, json.dumps(one.mark), made_with(), _plain(one)))


@cache
def made_with() -> str:
    """Names the code that folds and forms a row: a summary made by other code is not believed."""
    modules = (bench_state, journal, end_items, step_times, traces, verdict, desk_jobs, jobs)
    sources = "".join(inspect.getsource(module) for module in modules)
    return hashlib.sha256(sources.encode()).hexdigest()


def _plain(one: _Kept) -> JsonObject:
    last = one.row["last_at"]
    return {"row": one.row | {"last_at": last and last.isoformat()}, "devices": sorted(one.devices), "pack": one.pack, "fold": one.fold}


def _restored(summary: JobSummary) -> _Kept:
    (count, position, apart), (photos, bad) = json.loads(summary.mark)
    kept, row = summary.summary, summary.summary["row"]
    last = row["last_at"] and datetime.fromisoformat(row["last_at"])
    return _Kept(((count, position, apart), (photos, bad)), row | {"last_at": last}, frozenset(kept["devices"]), kept["pack"], kept["fold"])
