"""Whether conditions of access are true in a state of the bench, and which one is missing.

Knows the bench state and the pack of one variant; no check and no findings.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from benchtrail.domain.bench_state import BenchState, kept, parts_of, pose_family, start_pose, start_setting
from benchtrail.domain.checks.subject import name_of

Pack = Mapping[str, Any]
Literal = Sequence[str]
Alternatives = Sequence[Sequence[Literal]]


def is_true(pack: Pack, state: BenchState, literal: Literal, subject: Collection[str] = ()) -> bool:
    """True if a condition holds for an act on the parts `subject`. What is not fitted counts as met; a joint that is not
    final yet counts as undone, because it no longer holds; a pose or value that nobody has said is not known and does not
    count; a part that only left together with the subject, in one unit, is not out of its way."""
    word, key = literal[0], literal[1]
    match word:
        case "out" | "aside":
            places = ("out",) if word == "out" else ("out", "aside")
            return all(state["parts"].get(part) in places and not _left_with(state, part, subject)
                       for part in _bearing_parts(pack, key))
        case "undone":
            return key not in pack["joints"] or key in state["joints"]
        case "drained":
            return key not in pack["fluids"] or state["fluids"].get(key) == "drained"
        case "pose":
            return key not in pack["poses"] or pose_now(pack, state, str(pose_family(pack, key))) == key
        case "set":
            return key not in pack["settings"] or setting_now(pack, state, key) == literal[2]
        case "renewed":
            return key in state["renewed"]
        case "done":
            return key not in pack["checks"] or key in state["checks"]
        case "aid":
            return key not in pack["aids"] or key in state["aids"]
    return True


def _left_with(state: BenchState, part: str, subject: Collection[str]) -> bool:
    """True if the part left in the same act as one of the subject, and neither has been moved since."""
    if part in subject or state["parts"].get(part) != "out":
        return False
    left = state["touched"].get(f"out {part}")
    return any(state["parts"].get(other) == "out" and state["touched"].get(f"out {other}") == left for other in subject)


def sits_in_unit(pack: Pack, part: str, taken_off: Collection[str]) -> bool:
    """True if the part lies off only because a unit was taken off and all that the part is joined to belongs to it."""
    if part in taken_off:
        return False
    joined = {other for key in _joints_of(pack).get(part, ()) for other in pack["joints"][key]["joins"]}
    return any(joined and joined <= set(pack["units"][unit]["parts"]) for unit in taken_off
               if unit in pack["units"] and part in pack["units"][unit]["parts"])


def carrier_of(pack: Pack, parts: Collection[str]) -> str | None:
    """Of parts that a joint joins the one that more joints hold than any other: the others are put on to it."""
    by_part = _joint_counts(pack)
    counts = sorted(((by_part[part], part) for part in parts), reverse=True)
    return counts[0][1] if len(counts) > 1 and counts[0][0] > counts[1][0] else None


def subject_of(pack: Pack, parts: Collection[str], joint: Mapping[str, Any] | None) -> set[str]:
    """The parts that an act on parts, or on a joint, is about; with one part also what carries it: the parts that it is
    joined to and that more joints hold. That the carrier is out means out with it."""
    if joint is not None:
        return set(joint["joins"])
    if len(parts) != 1:
        return set(parts)
    part = next(iter(parts))
    joined = {other for key in _joints_of(pack).get(part, ()) for other in pack["joints"][key]["joins"]}
    counts = _joint_counts(pack)
    return {part, *(other for other in joined if counts[other] > counts[part])}


def _joint_counts(pack: Pack) -> Counter[str]:
    """By how many joints each part is held."""
    return kept(pack, "joint counts", lambda: Counter(part for joint in pack["joints"].values() for part in joint["joins"]))


def _joints_of(pack: Pack) -> Mapping[str, list[str]]:
    """The joints that hold each part, in the order of the map."""
    def found() -> dict[str, list[str]]:
        joints: dict[str, list[str]] = {}
        for key, joint in pack["joints"].items():
            for part in dict.fromkeys(joint["joins"]):
                joints.setdefault(part, []).append(key)
        return joints
    return kept(pack, "joints of", found)


def _bearing_parts(pack: Pack, thing: str) -> list[str]:
    """The parts by which a thing is on the machine: of a unit those that a joint holds to something outside it. What is
    put on to the others while the unit lies on the bench does not bring the unit back."""
    parts = parts_of(pack, thing)
    if len(parts) < 2:
        return parts

    def bearing() -> list[str]:
        joints, unit = pack["joints"], set(parts)
        return [part for part in parts if any(not unit.issuperset(joints[key]["joins"]) for key in _joints_of(pack).get(part, ()))]
    return kept(pack, ("bearing parts", thing), bearing) or parts


def pose_now(pack: Pack, state: BenchState, family: str) -> str | None:
    """The pose of a family; None when neither start nor steps say it."""
    pose = state["poses"].get(family)
    return kept(pack, ("start pose", family), lambda: start_pose(pack, family)) if pose is None else pose


def setting_now(pack: Pack, state: BenchState, setting: str) -> str | None:
    """The value of a setting."""
    value = state["settings"].get(setting)
    return kept(pack, ("start setting", setting), lambda: start_setting(pack, setting)) if value is None else value


def missing_of(pack: Pack, state: BenchState, alternatives: Alternatives,
               subject: Collection[str] = ()) -> list[Literal] | None:
    """What is missing of the alternative that lacks least; None when one is true (or there is nothing to be true)."""
    least: list[Literal] | None = None
    for every in alternatives:
        lacks = [literal for literal in every if not is_true(pack, state, literal, subject)]
        if not lacks:
            return None
        if least is None or len(lacks) < len(least):
            least = lacks
    return least


def exits_of(pack: Pack, thing: str) -> Alternatives:
    """The alternatives by which a part or unit leaves; a unit without its own takes those of its parts together."""
    if thing not in pack["units"]:
        return pack["parts"][thing]["exit"] if thing in pack["parts"] else []
    return kept(pack, ("exits", thing), lambda: _unit_exits(pack, thing))


def _unit_exits(pack: Pack, thing: str) -> list[list[Literal]]:
    unit = pack["units"][thing]
    if unit["exit"] is not None:
        return list(unit["exit"])
    inner = {*unit["parts"], *(key for key, joint in pack["joints"].items()
                               if set(joint["joins"]) <= set(unit["parts"]))}
    every = [literal for part in parts_of(pack, thing) for literal in (pack["parts"][part]["exit"] or [[]])[0]
             if literal[1] not in inner]
    return [every] if every else []


def boundary(pack: Pack, parts: Collection[str]) -> list[str]:
    """The joints that hold any of the parts to something else."""
    joints, held = pack["joints"], set(parts)
    if len(held) == 1:
        return [key for key in _joints_of(pack).get(next(iter(held)), ()) if not held.issuperset(joints[key]["joins"])]
    return [key for key, joint in joints.items() if not held.isdisjoint(joint["joins"]) and not held.issuperset(joint["joins"])]


def in_words(pack: Pack, literals: Sequence[Literal]) -> str:
    """Conditions as a reader would say them."""
    return " and ".join(_words(pack, literal) for literal in literals)


def _words(pack: Pack, literal: Literal) -> str:
    name = name_of(pack, literal[1])
    forms = {"out": "{} off", "aside": "{} hung aside", "undone": "{} undone", "drained": "{} drained",
             "pose": "pose {}", "set": "{} set to {}", "renewed": "{} renewed", "done": "{} done",
             "aid": "{} on"}
    return forms.get(literal[0], "{}").format(name, *literal[2:])
