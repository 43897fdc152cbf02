"""How long a step took and what went on there, from the entries of one job."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from benchtrail.domain.journal import fold_journal
from benchtrail.domain.step_trace import StepTrace, step_trace
from benchtrail.services.jobs import NO_PACK

PHONE = "3f2a1b4c-0000-4000-8000-00000000000a"
START = datetime(2025, 11, 25, 8, tzinfo=UTC)
ID = "01928b6e-7c00-7000-8000-%012d"
JOB = "01928b6e-7c00-7000-8000-0000000000aa"
STARTED = {"machine": None, "procedure": "p", "revision": 1, "title": "T"}
Entry = tuple[float, str, dict[str, Any]]


def trace(*entries: Entry) -> StepTrace:
    """The trace of entries given as minutes since the start, kind, body."""
    events = written([(0, "JobStarted", STARTED), *entries])
    return step_trace(events, fold_journal({**NO_PACK, "steps": [{"id": "a", "when": None, "do": []}]}, events))


def written(entries: list[Entry]) -> list[dict[str, Any]]:
    return [{"id": ID % (1 + n), "device": PHONE, "seq": n + 1, "job": JOB, "kind": kind, "body": body,
             "hlc": f"{int(1764057600000 + minutes * 60000):015d}-{n:04x}-{PHONE[:8]}",
             "wall": (START + timedelta(minutes=minutes)).isoformat(), "pack": "ab" * 32, "prev": None, "schema": 1}
            for n, (minutes, kind, body) in enumerate(entries)]


def done(step: str, away_s: int = 0) -> dict[str, Any]:
    return {"step": step, "away_s": away_s}


def test_times_are_those_of_the_journal_and_what_it_cannot_tell_is_named() -> None:
    made = trace(
        (2, "StepDone", done("a")), (9, "StepDone", done("b")), (9.02, "StepDone", done("c")), (600, "StepDone", done("d", 35_340)))
    assert made["minutes"] == pytest.approx({"a": 2, "d": 1.98})
    assert made["untold"] == ["b", "c"]


def test_where_people_stop_go_back_skip_and_ask() -> None:
    made = trace(
        (1, "JobPaused", {"step": "a"}), (2, "JobResumed", {"step": "a"}), (3, "StepDone", done("a")),
        (4, "Retracted", {"event": ID % 4}), (5, "StepDone", done("a")),
        (6, "NoteWritten", {"step": "a", "text": "Which way round?"}), (7, "NoteWritten", {"step": "a", "text": "Found it."}),
        (8, "NoteWritten", {"step": None, "text": "Cold?"}), (9, "StepSkipped", {"step": "b", "reason": "none"}),
        (10, "ReadingTaken", {"step": "c", "check": "gap", "value": 2, "unit": "mm", "as_typed": "2 mm", "verdict": "outside"}))
    assert [made[name] for name in ("stopped", "back", "asked", "notes", "skipped", "outside")] == [  # type: ignore[literal-required]
        {"a": 1}, {"a": 1}, {"a": 1}, {"a": 2}, {"b": 1}, {"c": 1}]
    assert made["reached"] == ["a", "b"]


def test_a_job_given_up_stopped_at_its_place() -> None:
    made = trace((1, "JobClosed", {"outcome": "given_up", "words": ""}))
    assert made["stopped"] == {"a": 1}
