"""Properties of the ways out, on every procedure of the library, in every variant and after every eighth step: what is told is played
again here and must end where it says; nothing is told safe that is not known."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from benchtrail.domain.bench_state import GUARDED_TABLES, apply_action, apply_steps, for_variant
from benchtrail.domain.standing import is_hot, may_be_left, may_be_pushed
from benchtrail.domain.variants import variants_of
from benchtrail.domain.way_out import way_out
from benchtrail.messages import way_texts
from benchtrail.services.compile_library import compile_library
from benchtrail.wiring import read_library

LIBRARY = compile_library(*read_library([Path(__file__).resolve().parents[2] / "procedures"]))
PACKS = {entry.text.head["procedure"]: entry.compiled.pack for entry in LIBRARY.procedures if entry.compiled}


def in_variants(pack: Any) -> Iterator[dict[str, Any]]:
    guards = [*(entry.get("when") for table in GUARDED_TABLES for entry in pack[table].values()), *(s["when"] for s in pack["steps"])]
    seen = set()
    for variant in variants_of(pack["model"], guards, pack["applies"]).variants:
        whole = for_variant(pack, variant if pack["model"] else None)
        steps = tuple(step["id"] for step in whole["steps"])
        if steps not in seen:
            seen.add(steps)
            yield whole


def stands(pack: dict[str, Any], state: Any, hot: bool | None, aim: str) -> bool:
    told = may_be_left(pack, state, hot) if aim == "leave" else may_be_pushed(pack, state)
    return not told["against"] and not told["unknown"]


def played(pack: dict[str, Any], state: Any, hot: bool | None, rows: list[dict[str, Any]]) -> tuple[Any, bool | None]:
    """The state after the rows of a way, and whether it may be hot then."""
    steps = {step["id"]: step for step in pack["steps"]}
    for row in rows:
        for act in steps[row["object"]]["do"] if row["verb"] == "do" else [row]:
            state = apply_action(pack, state, act)
            cold = act["verb"] == "pose" and pack["poses"][act["object"]]["family"] == "heat"
            hot = True if act["verb"] == "run" else False if cold or (act["verb"] == "wait" and row["verb"] != "do") else hot
    return state, hot


@pytest.mark.parametrize("name", sorted(PACKS))
def test_every_way_told_ends_where_it_says(name: str) -> None:
    for pack in in_variants(PACKS[name]):
        ids = [step["id"] for step in pack["steps"]]
        for n in range(0, len(ids) + 1, 8):
            done = ids[:n]
            state = apply_steps(pack, done)
            hot = is_hot(pack, pack["steps"][:n])
            for aim, way in way_out(pack, done).items():
                assert way["now"] == stands(pack, state, hot, aim)
                if way["on"]:
                    reached = [*done, *(row["object"] for row in way["on"]["rows"])]
                    assert stands(pack, apply_steps(pack, reached), is_hot(pack, [s for s in pack["steps"] if s["id"] in reached]), aim)
                for told in (each for each in (way["back"], way["mixed"]) if each):
                    assert stands(pack, *played(pack, state, hot, told["rows"]), aim)
                assert way["shorter"] in ("now", "on", "back", "mixed")


@pytest.mark.parametrize("name", sorted(PACKS))
def test_nothing_is_safe_on_a_map_that_does_not_say_how_it_stands(name: str) -> None:
    pack = next(in_variants(PACKS[name]))
    pack["poses"] = {key: {**pose, "steady": None} for key, pose in pack["poses"].items()}
    found = way_out(pack, [pack["steps"][0]["id"]])["leave"]
    assert (found["now"], found["on"], found["back"], found["mixed"], found["shorter"]) == (False, None, None, None, None)
    assert found["unknown"]


def test_every_reason_has_its_words() -> None:
    codes = {kind: set() for kind in ("against", "unknown", "see_to", "acts")}
    for pack in (whole for each in PACKS.values() for whole in [next(in_variants(each))]):
        ids = [step["id"] for step in pack["steps"]]
        for n in range(0, len(ids) + 1, 9):
            for way in way_out(pack, ids[:n]).values():
                for kind in ("against", "unknown", "see_to"):
                    codes[kind] |= {row["code"] for row in way[kind]}  # type: ignore[literal-required]
                codes["acts"] |= {row["verb"] for told in (way["back"], way["mixed"]) if told for row in told["rows"]} - {"do"}
    assert all(found <= way_texts()[kind].keys() for kind, found in codes.items())
    assert len(codes["against"]) > 8
