"""What a step is about, and whether it finds it as the procedure has it there when earlier steps were left out.

Knows the pack for one variant and the bench; what is safe is not asked here. Our own rules, see vectors way-out.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from benchtrail.domain.bench_state import BenchState, Pack, apply_steps, parts_of, pose_family
from benchtrail.domain.checks.conditions import pose_now, setting_now
from benchtrail.domain.making_good import OPENING, Bench
from benchtrail.domain.standing import Doubts

Step = Mapping[str, Any]
Thing = tuple[str, str]


def make_ready(bench: Bench, step: Step, done: Collection[str], doubts: Doubts) -> bool:
    """True if the step can be done next. What it is about must stand as it does when nothing was left out; what is open
    instead is made good first, on the bench. With no step skipped it always can."""
    if not doubts["skipped"]:
        return True
    before = [each["id"] for each in bench.pack["steps"][:bench.pack["steps"].index(step)]]
    wanted = apply_steps(bench.pack, {*before, *done})
    bench.steps_follow = True
    for thing in _differing(bench, wanted, step):
        if _stands(bench.pack, wanted, thing) is None:
            _make_good(bench, thing)
    return not _differing(bench, wanted, step)


def _differing(bench: Bench, wanted: BenchState, step: Step) -> list[Thing]:
    own = {action["object"] for action in step["do"]}
    own |= {part for thing in own for part in parts_of(bench.pack, thing)}
    things = sorted({thing for action in step["do"] for thing in _about(bench.pack, action) if thing[1] not in own})
    return [thing for thing in things if _stands(bench.pack, wanted, thing) != _stands(bench.pack, bench.state, thing)]


def _stands(pack: Pack, state: BenchState, thing: Thing) -> str | None:
    """How a thing stands; None for a part that is on, a joint that is final, a fluid that is full and checked."""
    table, key = thing
    match table:
        case "parts":
            return state["parts"].get(key)
        case "joints":
            return state["joints"].get(key)
        case "fluids":
            return state["fluids"].get(key)
        case "settings":
            return setting_now(pack, state, key)
        case "aids":
            return "on" if key in state["aids"] else None
    return pose_now(pack, state, key)


def _make_good(bench: Bench, thing: Thing) -> None:
    table, key = thing
    if table == "parts":
        bench.put_on(key)
    elif table == "joints":
        bench.make(key)
    elif table == "fluids":
        bench.fill(key)


def _about(pack: Pack, action: Mapping[str, Any]) -> Iterator[Thing]:
    """What an action rests on: the parts of a joint, the joints of a part, the joints under a fluid, what its access asks
    for, and what it shuts in."""
    verb, key = action["verb"], action["object"]
    ways: Sequence[Sequence[Sequence[str]]] = []
    if key in pack["joints"]:
        yield from (("parts", part) for part in pack["joints"][key]["joins"] if part in pack["parts"])
        ways = pack["joints"][key]["reach"]
    elif parts := parts_of(pack, key):
        if verb in ("remove", "hang"):
            yield from (("joints", joint) for joint, entry in pack["joints"].items() if set(parts) & set(entry["joins"]))
        ways = [every for part in parts for every in pack["parts"][part]["exit"]]
    elif key in pack["fluids"]:
        fluid = pack["fluids"][key]
        yield from (("joints", joint) for joint, entry in pack["joints"].items() if key in entry["holds"] and joint != fluid["fill"])
        if verb == "drain" and fluid["drain"] in pack["joints"]:
            yield "joints", fluid["drain"]
    elif key in pack["checks"]:
        check = pack["checks"][key]
        if check["fluid"] in pack["fluids"]:
            yield "fluids", check["fluid"]
        ways = check["reach"]
    elif key in pack["poses"]:
        ways = pack["poses"][key]["needs"]
    yield from (thing for every in ways for literal in every for thing in _asked(pack, literal))
    if verb in ("fit", "start", "tighten"):
        yield from _shut_in(pack, {key, *(parts_of(pack, key))})


def _asked(pack: Pack, literal: Sequence[str]) -> Iterator[Thing]:
    word, key = literal[0], literal[1]
    if word in ("out", "aside"):
        yield from (("parts", part) for part in parts_of(pack, key))
    elif word == "pose":
        family = pose_family(pack, key)
        yield from [("poses", family)] if family else []
    else:
        table = {"undone": "joints", "drained": "fluids", "set": "settings", "aid": "aids"}.get(word)
        yield from [(table, key)] if table and key in pack[table] else []


def _shut_in(pack: Pack, things: Collection[str]) -> Iterator[Thing]:
    """Parts and joints that may need one of these off or open to be got at."""
    for table, way in (("parts", "exit"), ("joints", "reach")):
        for key, entry in pack[table].items():
            if key not in things and any(lit[0] in OPENING and lit[1] in things for every in entry[way] for lit in every):
                yield table, key
