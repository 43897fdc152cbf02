"""Every goal that a map of the library can be asked for, and the draft for it; for tests and the benchmark."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from time import perf_counter
from typing import Any

from benchtrail.domain.findings import Severity
from benchtrail.domain.refused import Refused
from benchtrail.resources import resource_dir
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.services.draft import Drafted, draft_procedure

MODELS = ("hobmoor-fell-250", "hobmoor-ghyll-125", "hobmoor-packer-400")
DAY = "2026-11-25"


@cache
def model_pack(model: str) -> Any:
    content = (resource_dir("procedures") / model / "map.yaml").read_bytes()
    return compile_library([LibraryFile(f"{model}/map.yaml", content)], lambda path: None).maps[0].pack


def all_goals(pack: Any) -> Iterator[str]:
    """Every part out, renewed and, where it can hang, aside; every unit out; every joint reached and undone; every fluid
    changed; every check done."""
    for key, part in pack["parts"].items():
        yield from (f"out {key}", f"renewed {key}")
        if part["aside"] is not None:
            yield f"aside {key}"
    yield from (f"out {key}" for key in pack["units"])
    for key in pack["joints"]:
        yield from (f"reach {key}", f"undone {key}")
    yield from (f"changed {key}" for key in pack["fluids"])
    yield from (f"done {key}" for key in pack["checks"])


def drafted(model: str, *goals: str) -> Drafted:
    """The draft over the library's map. Raises as `draft_procedure`."""
    return draft_procedure(model_pack(model), f"{model}/map.yaml", goals, DAY)


def outcome(goal: tuple[str, str]) -> tuple[list[str], float]:
    """What is wrong with the draft for a goal, by check and code, and the seconds it took; `free` when nothing is to do."""
    begun = perf_counter()
    try:
        found = [f"{finding.check} {finding.code}" for finding in drafted(*goal).findings if finding.severity > Severity.NOTE]
    except Refused as refusal:
        found = ["free"] if refusal.code == "draft_nothing_to_do" else [f"refused {refusal.code}"]
    return found, perf_counter() - begun
