"""D19: an opening into the machine does not stand open without a cover.

Knows the state after each step, and which parts leave an opening when they are off. Source: common practice; the number
of steps and minutes is our own.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from benchtrail.domain.bench_state import BenchState, kept
from benchtrail.domain.checks.play import Fault, Log, Pack
from benchtrail.domain.checks.subject import name_of
from benchtrail.domain.findings import Severity

MOST_STEPS_OPEN = 4
LONGEST_PAUSE_MIN = 10


def check_openings(pack: Pack, state: BenchState, step: Mapping[str, Any], log: Log) -> Iterator[tuple[str, Fault]]:
    """D19: what a part leaves open stands without cover for more than four steps that are not done through it, or over a
    wait of ten minutes; found at the step that took the part off."""
    openings = kept(pack, "openings", lambda: {key: entry["leaves_open"] for key, entry in pack["parts"].items()
                                               if entry["leaves_open"] is not None})
    for part, opening in openings.items():
        if part not in state["parts"] or f"open {part}" in log.blamed or not opens_machine(pack, state, part):
            continue
        if _is_covered(pack, state, part) or _works_through(pack, step, part):
            log.openings.steps[part] = 0
            continue
        taken_now = log.last_step.get(part) == step["id"]
        log.openings.steps[part] = 0 if taken_now else log.openings.steps.get(part, 0) + 1
        if log.openings.steps[part] > MOST_STEPS_OPEN or _waits(step):
            log.blamed.add(f"open {part}")
            yield log.last_step.get(part, step["id"]), Fault(
                "D19", Severity.WARNING, "left_open", {"object": name_of(pack, part), "opening": opening,
                                                       "until": step["id"], "cover": _cover_of(pack, part)})


def opens_machine(pack: Pack, state: BenchState, part: str) -> bool:
    """True if something that the part was joined to is still on the machine: what lies on the bench with it is no opening."""
    return any(other not in state["parts"] for other in kept(pack, ("beside", part), lambda: _beside(pack, part)))


def _beside(pack: Pack, part: str) -> list[str]:
    """What a part is joined to, the frame too."""
    return list(dict.fromkeys(other for joint in pack["joints"].values() if part in joint["joins"]
                              for other in joint["joins"] if other != part))


def _is_covered(pack: Pack, state: BenchState, part: str) -> bool:
    return any(part in pack["aids"][aid]["covers"] for aid in state["aids"])


def _cover_of(pack: Pack, part: str) -> str:
    return next((name_of(pack, key) for key, aid in pack["aids"].items() if part in aid["covers"]), "a clean cloth")


def _waits(step: Mapping[str, Any]) -> bool:
    return any(action["verb"] == "wait" and action["minutes"] >= LONGEST_PAUSE_MIN for action in step["do"])


def _works_through(pack: Pack, step: Mapping[str, Any], part: str) -> bool:
    """True if the step acts on the part itself or on something that can be reached only when it is off."""
    near = behind(pack, part)
    return any({action["object"], action.get("to", "")} & near for action in step["do"])


def behind(pack: Pack, part: str) -> set[str]:
    """The part, and everything whose conditions name it, or name something behind it; units with such a part."""
    return kept(pack, ("behind", part), lambda: _behind(pack, part))


def _behind(pack: Pack, part: str) -> set[str]:
    near = kept(pack, "near", lambda: _near(pack))
    found, waiting = {part}, [part]
    while waiting:
        new = near.get(waiting.pop(), set()) - found
        found |= new
        waiting.extend(new)
    return found | {key for key, unit in pack["units"].items() if not found.isdisjoint(unit["parts"])}


def _near(pack: Pack) -> dict[str, set[str]]:
    """Thing → the parts, joints and checks whose conditions name it to be off; joints also by what they join."""
    found: dict[str, set[str]] = {}
    for table, field in (("parts", "exit"), ("joints", "reach"), ("checks", "reach")):
        for key, entry in pack[table].items():
            for every in entry[field] or ():
                for literal in every:
                    if literal[0] in ("out", "aside"):
                        found.setdefault(literal[1], set()).add(key)
    for key, joint in pack["joints"].items():
        for part in joint["joins"]:
            if part in pack["parts"] and pack["parts"][part]["exit"]:
                found.setdefault(part, set()).add(key)
    return found
