"""D1, D2, D5, D8: nothing is touched before it can be reached, taken off while it is held, or closed over.

Knows one action and the state before it.
"""

from collections.abc import Iterator

from benchtrail.domain.checks.conditions import (
    Alternatives,
    boundary,
    carrier_of,
    exits_of,
    in_words,
    missing_of,
    pose_now,
    sits_in_unit,
)
from benchtrail.domain.checks.play import Fault, Moment, assume
from benchtrail.domain.findings import Severity
from benchtrail.domain.map_text import FRAME

ERROR = Severity.ERROR
TURNING = ("undo", "slacken", "start", "tighten")
CHECKING = ("measure", "adjust", "test", "run", "bleed", "level")


def check_reach(moment: Moment) -> Iterator[Fault]:
    """D1: a joint, part or check is touched though no way to it is free; names what the nearest way lacks."""
    if moment.verb == "hang" and moment.parts and _cannot_hang(moment):
        yield Fault("D1", ERROR, "cannot_hang", {"object": moment.name(moment.key)})
        return
    missing = moment.missing(_ways(moment))
    if missing:
        yield Fault("D1", ERROR, "not_reachable", {"object": moment.name(moment.key), "verb": moment.verb,
                                                  "missing": in_words(moment.pack, missing)}, (), assume(missing))


def _ways(moment: Moment) -> Alternatives:
    """The ways to what an action touches."""
    if moment.verb in TURNING and moment.joint:
        return list(moment.joint["reach"])
    if moment.verb in CHECKING and moment.key in moment.pack["checks"]:
        return list(moment.pack["checks"][moment.key]["reach"])
    if moment.verb == "remove":
        return exits_of(moment.pack, moment.key)
    if moment.verb == "hang" and moment.parts:
        held = [["undone", joint] for joint in boundary(moment.pack, moment.parts)]
        exits = exits_of(moment.pack, moment.key) or [[]]
        return [*(moment.pack["parts"].get(moment.key, {}).get("aside") or []), *([*way, *held] for way in exits)]
    return []


def _cannot_hang(moment: Moment) -> bool:
    """True if the map gives no way to hang the part, and it is not free to be taken off either."""
    return moment.pack["parts"].get(moment.key, {}).get("aside") is None and bool(moment.missing(_ways(moment)))


def check_held(moment: Moment) -> Iterator[Fault]:
    """D2: a part or unit is taken off while a joint still holds it."""
    if moment.verb != "remove":
        return
    for joint in boundary(moment.pack, moment.parts):
        place = moment.state["joints"].get(joint)
        others = [part for part in moment.pack["joints"][joint]["joins"] if part not in moment.parts]
        known = joint in moment.log.blamed or any(moment.assumed_off(part) for part in others)
        if place != "undone" and not known and ("undone", joint) not in moment.log.assumed:
            code = "held_by_slack_joint" if place == "slack" else "held_by_joint"
            yield Fault("D2", ERROR, code, {"object": moment.name(moment.key), "joint": moment.name(joint)}, (joint,))


def check_pose_needs(moment: Moment) -> Iterator[Fault]:
    """D5: a pose is taken before what it needs is true."""
    pose = moment.pack["poses"].get(moment.key) if moment.verb == "pose" else None
    missing = moment.missing(pose["needs"]) if pose else []
    if missing:
        yield Fault("D5", ERROR, "pose_too_early", {"object": moment.name(moment.key),
                                                    "missing": in_words(moment.pack, missing)}, (), assume(missing))


def check_pose_lasts(moment: Moment) -> Iterator[Fault]:
    """D5: what the pose of now needs is taken away in it: a battery goes in while the machine lies on its side."""
    if moment.verb not in ("fit", "set"):
        return
    for key, pose in moment.pack["poses"].items():
        if not pose["needs"] or pose_now(moment.pack, moment.state, pose["family"]) != key:
            continue
        ended = missing_of(moment.pack, moment.after, pose["needs"])
        if ended and missing_of(moment.pack, moment.state, pose["needs"]) is None:
            yield Fault("D5", ERROR, "pose_need_ended", {"object": moment.name(moment.key), "pose": moment.name(key),
                                                         "missing": in_words(moment.pack, ended)})


def check_fit_way(moment: Moment) -> Iterator[Fault]:
    """D8: a part is put on that is on, or though its way in is closed, or it closes the way of a part that is off."""
    if moment.verb != "fit" or not moment.parts:
        return
    inside = moment.key in moment.pack["parts"] and sits_in_unit(moment.pack, moment.key, moment.log.taken_off)
    if inside or not any(part in moment.state["parts"] for part in moment.parts):
        held = any(joint in moment.log.blamed for joint in boundary(moment.pack, moment.parts))
        if not held and not any(moment.assumed_off(part) for part in moment.parts):
            yield Fault("D8", ERROR, "fitted_already", {"object": moment.name(moment.key)}, (),
                        tuple(("out", part) for part in moment.parts))
        return
    missing = moment.missing(exits_of(moment.pack, moment.key))
    # what was closed over before is known: that it now goes in too late is the same fault
    if missing and not moment.log.blamed & set(moment.parts):
        yield Fault("D8", ERROR, "fit_blocked", {"object": moment.name(moment.key),
                                                 "missing": in_words(moment.pack, missing)}, (), assume(missing))
    yield from _closed_over(moment)


def _closed_over(moment: Moment) -> Iterator[Fault]:
    """Parts that were taken off, could go in now, and cannot any more after this; what stays in a unit is in its place."""
    after = moment.after
    fitted = {moment.key, *moment.parts, *(key for key, unit in moment.pack["units"].items()
                                           if not set(moment.parts).isdisjoint(unit["parts"]))}
    for part, place in moment.state["parts"].items():
        way = moment.pack["parts"][part]["exit"]
        alone = place == "out" and part in moment.log.taken_off
        if alone and part not in moment.parts and _names_any(way, fitted) and part not in moment.log.blamed:
            shut = missing_of(moment.pack, after, way)
            if shut and missing_of(moment.pack, moment.state, way) is None:
                yield Fault("D8", ERROR, "closed_over", {"object": moment.name(moment.key),
                                                         "part": moment.name(part)}, (part,))


def _names_any(ways: Alternatives, things: set[str]) -> bool:
    return any(literal[1] in things for every in ways or () for literal in every)


def check_members_on(moment: Moment) -> Iterator[Fault]:
    """D12: fasteners go in while a part that they hold is not on.

    Work on the bench is no fault: a part that is off may carry what is put on to it, as long as the joint holds nothing
    that never left the machine; and so may a part that hangs aside. What carries is held by more joints than the rest.
    """
    if moment.verb not in ("start", "tighten") or moment.joint is None:
        return
    members = [part for part in moment.joint["joins"] if part in moment.pack["parts"]]
    if any(moment.assumed_off(part) for part in members):
        return
    on_bench = FRAME not in moment.joint["joins"] and not any(_never_left(moment, part) for part in members)
    off = _off_by_themselves(moment, members) if on_bench else [part for part in members if part in moment.state["parts"]]
    missing = tuple(part for part in off if part not in moment.log.blamed
                    and not (moment.state["parts"][part] == "aside" and _reached_hanging(moment, part)))
    if missing:
        names = ", ".join(moment.name(part) for part in missing)
        yield Fault("D12", ERROR, "member_missing", {"object": moment.name(moment.key), "part": names}, missing)


def _off_by_themselves(moment: Moment, members: list[str]) -> list[str]:
    """Members that were taken off, alone or as the outside of a unit, and are not back, but for the one that carries and
    what still lies with it as both came off together."""
    off = [part for part in members if part in moment.state["parts"]
           and not sits_in_unit(moment.pack, part, moment.log.taken_off)]
    carrier = carrier_of(moment.pack, members)
    left = _left_at(moment, carrier) if carrier else None
    return [part for part in off if part != carrier and (left is None or _left_at(moment, part) != left)]


def _left_at(moment: Moment, part: str) -> int | None:
    """The number of the act with which a part that is off came off."""
    return moment.state["touched"].get(f"out {part}") if moment.state["parts"].get(part) == "out" else None


def _reached_hanging(moment: Moment, part: str) -> bool:
    """True if a joint is made while this part of it hangs: it is reached so, or all else that it joins hangs with it. What
    had to be undone so that the part could hang is not made again while it does."""
    joint = moment.joint or {"reach": [], "joins": []}
    members = [each for each in joint["joins"] if each in moment.pack["parts"]]
    if any(literal[:2] == ["aside", part] for every in joint["reach"] for literal in every):
        return True
    if ["undone", moment.key] in [list(literal) for every in moment.pack["parts"][part]["aside"] or [] for literal in every]:
        return False
    others = set(joint["joins"]) - {part}
    return carrier_of(moment.pack, members) == part and all(
        set(other["joins"]) <= set(joint["joins"]) for other in moment.pack["joints"].values()
        if others & set(other["joins"]))


def _never_left(moment: Moment, part: str) -> bool:
    return not any(f"{place} {part}" in moment.state["touched"] for place in ("out", "aside"))
