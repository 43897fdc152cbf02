"""Every goal that a map of the library can be asked for, the draft for it, and whether it is as it must be; for tests and
the benchmark.

P1: a draft passes the checks with no finding above a note, in every variant. P5: when it is done, the machine is as it was,
but for what is new. Source: our own planning model, (a.8).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from time import process_time
from typing import Any

from benchtrail.domain.bench_state import apply_steps, for_variant
from benchtrail.domain.compile_pack import compile_procedure
from benchtrail.domain.end_items import end_items
from benchtrail.domain.findings import Severity
from benchtrail.domain.map_text import TABLES, MapText
from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.variants import variants_of
from benchtrail.resources import resource_dir
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.services.draft import Drafted, draft_procedure

MODELS = ("hobmoor-fell-250", "hobmoor-ghyll-125", "hobmoor-packer-400")
DAY = "2026-11-25"
AS_BEFORE = ("parts", "joints", "stages", "fluids", "aids", "settings", "disturbed")


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


def compiled(model: str, made: Drafted) -> Any:
    """The draft as a pack."""
    pack = model_pack(model)
    head = {key: value for key, value in pack.items() if key not in (*TABLES, "format", "dealer")}
    machine = MapText(head, {table: dict(pack[table]) for table in TABLES}, Notes("map.yaml"), True)
    return compile_procedure(made.read, machine, "bench", lambda path: None).pack


def each_variant(pack: Any) -> list[Any]:
    """The pack in every variant that it or its machine tells apart."""
    guards = [step["when"] for step in pack["steps"]] + [entry["when"] for table in TABLES for entry in pack[table].values()
                                                         if "when" in entry]
    return [for_variant(pack, variant) for variant in variants_of(pack["model"], guards, pack["applies"]).variants]


def not_as_before(model: str, made: Drafted) -> list[str]:
    """P5: what is not on, made, full, off, set or new again when every step is done, in any variant."""
    found: set[str] = set()
    for pack in each_variant(compiled(model, made)):
        state = apply_steps(pack, [step["id"] for step in pack["steps"]])
        found.update(f"P5 {name}" for name in AS_BEFORE if state[name])
        found.update(f"P5 {item['code']}" for item in end_items(pack, state))
    return sorted(found)


def is_free(model: str, goal: str) -> bool:
    """True if a joint is only to be reached, and the map asks for nothing to get there but a pose, or a setting that stands
    so from the start."""
    word, _, key = goal.partition(" ")
    pack = model_pack(model)
    reach = pack["joints"][key]["reach"] if word == "reach" else [[["out", key]]]
    return not reach or any(all(literal[0] == "pose" or (literal[0] == "set" and pack["settings"][literal[1]]["start"] == literal[2])
                                for literal in every) for every in reach)


def outcome(goal: tuple[str, str]) -> tuple[list[str], float]:
    """What is wrong with the draft for a goal, by check and code, and the seconds it took on the processor; `free` when
    nothing is to do, and the map says so itself."""
    model_pack(goal[0])
    begun = process_time()
    try:
        made = drafted(*goal)
    except Refused as refusal:
        free = refusal.code == "draft_nothing_to_do" and is_free(*goal)
        return ["free"] if free else [f"refused {refusal.code}"], process_time() - begun
    seconds = process_time() - begun
    found = [f"{finding.check} {finding.code}" for finding in made.findings if finding.severity > Severity.NOTE]
    return [*found, *not_as_before(goal[0], made)], seconds
