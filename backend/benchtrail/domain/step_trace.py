"""What one job says of each of its steps: how long it took, and whether somebody stopped, went back, skipped or asked there.

Knows events of one job and how times are taken from them (domain/step_times.py); nothing of other jobs.
"""

from collections.abc import Iterable, Mapping
from typing import Any, TypedDict

from benchtrail.domain.journal import JournalFold, counting_events
from benchtrail.domain.step_times import step_times


class StepTrace(TypedDict):
    """Of one job. `minutes`: step → active minutes; `untold`: finished steps whose time the journal cannot tell; `reached`:
    steps that the job came to; then step → how often."""

    minutes: dict[str, float]
    untold: list[str]
    reached: list[str]
    stopped: dict[str, int]
    back: dict[str, int]
    skipped: dict[str, int]
    asked: dict[str, int]
    notes: dict[str, int]
    outside: dict[str, int]


def step_trace(events: Iterable[Any], fold: JournalFold) -> StepTrace:
    """The trace of a job's events; `fold` is their fold over the job's pack."""
    every = list(events)
    counting, _ = counting_events(every)
    minutes = {one["step"]: one["minutes"] for one in step_times(every)}
    notes = [row for row in fold["notes"] if row["step"]]
    stopped = _count(event["body"]["step"] for event in counting if event["kind"] == "JobPaused")
    if (fold["closed"] or {}).get("outcome") == "given_up" and fold["place"]:
        stopped[fold["place"]] = stopped.get(fold["place"], 0) + 1
    skipped = _count(fold["skipped"])
    return {
        "minutes": minutes, "untold": sorted(fold["done"].keys() - minutes.keys()),
        "reached": sorted({*fold["done"], *skipped, *stopped, *(row["step"] for row in notes)}),
        "stopped": stopped, "skipped": skipped, "back": _taken_back(every, {event["id"] for event in counting}),
        "asked": _count(row["step"] for row in notes if "?" in row["text"]), "notes": _count(row["step"] for row in notes),
        "outside": _count(step for step, _ in {(row["step"], row["check"]) for row in fold["readings"] if row["verdict"] == "outside"}),
    }


def _count(steps: Iterable[str | None]) -> dict[str, int]:
    found: dict[str, int] = {}
    for step in steps:
        if step:
            found[step] = found.get(step, 0) + 1
    return found


def _taken_back(every: Iterable[Mapping[str, Any]], counts: set[str]) -> dict[str, int]:
    """Ticks that were taken back, each once."""
    gone = {event["id"]: event["body"].get("step") for event in every if event["kind"] == "StepDone" and event["id"] not in counts}
    return _count(gone.values())


def whole_trace(kept: Mapping[str, Any]) -> StepTrace:
    """The trace of which what is empty was not kept."""
    return {"minutes": {}, "untold": [], "reached": [], "stopped": {}, "back": {}, "skipped": {}, "asked": {}, "notes": {}, "outside": {},
            **kept}  # type: ignore[typeddict-item]
