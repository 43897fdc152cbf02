"""D19: an opening into the machine does not stand open without a cover.

Knows the state after each step, and which parts leave an opening when they are off. Source: common practice; the number
of steps and minutes is our own.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from benchtrail.domain.bench_state import BenchState
from benchtrail.domain.checks.play import Fault, Log, Pack
from benchtrail.domain.checks.subject import name_of
from benchtrail.domain.findings import Severity
from benchtrail.domain.map_text import FRAME

MOST_STEPS_OPEN = 4
LONGEST_PAUSE_MIN = 10


def check_openings(pack: Pack, state: BenchState, step: Mapping[str, Any], log: Log) -> Iterator[tuple[str, Fault]]:
    """D19: what a part leaves open stands without cover for more than four steps that are not done through it, or over a
    wait of ten minutes; found at the step that took the part off."""
    for part in state["parts"]:
        opening = pack["parts"][part]["leaves_open"]
        if opening is None or f"open {part}" in log.blamed or not opens_machine(pack, state, part):
            continue
        if _is_covered(pack, state, part) or _works_through(pack, step, part, log):
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
    return any(other == FRAME or other not in state["parts"] for joint in pack["joints"].values() if part in joint["joins"]
               for other in joint["joins"] if other != part)


def _is_covered(pack: Pack, state: BenchState, part: str) -> bool:
    return any(part in pack["aids"][aid]["covers"] for aid in state["aids"])


def _cover_of(pack: Pack, part: str) -> str:
    return next((name_of(pack, key) for key, aid in pack["aids"].items() if part in aid["covers"]), "a clean cloth")


def _waits(step: Mapping[str, Any]) -> bool:
    return any(action["verb"] == "wait" and action["minutes"] >= LONGEST_PAUSE_MIN for action in step["do"])


def _works_through(pack: Pack, step: Mapping[str, Any], part: str, log: Log) -> bool:
    """True if the step acts on the part itself or on something that can be reached only when it is off."""
    if part not in log.openings.behind:
        log.openings.behind[part] = behind(pack, part)
    near = log.openings.behind[part]
    return any({action["object"], action.get("to", "")} & near for action in step["do"])


def behind(pack: Pack, part: str) -> set[str]:
    """The part, and everything whose conditions name it, or name something behind it; units with such a part."""
    found, conditions = {part}, list(_conditions(pack))
    grown = True
    while grown:
        new = {key for key, named in conditions if key not in found and named & found}
        found |= new
        grown = bool(new)
    return found | {key for key, unit in pack["units"].items() if found & set(unit["parts"])}


def _conditions(pack: Pack) -> Iterator[tuple[str, set[str]]]:
    """(id, what its conditions name to be off) of parts, joints and checks; joints also by what they join."""
    for table, fields in (("parts", ("exit",)), ("joints", ("reach",)), ("checks", ("reach",))):
        for key, entry in pack[table].items():
            named = {literal[1] for name in fields for every in entry[name] or [] for literal in every
                     if literal[0] in ("out", "aside")}
            yield key, named | ({part for part in entry["joins"] if part in pack["parts"]
                                 and pack["parts"][part]["exit"]} if table == "joints" else set())
