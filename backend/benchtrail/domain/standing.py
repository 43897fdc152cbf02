"""Whether a machine in the middle of a job can be left standing as it is, or pushed away, and what speaks against it.

Knows the bench state and the pack for one variant. What the pack does not say is unknown, and unknown is never safe.
Our own rules, from common practice, no published source; see vectors way-out.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, TypedDict

from benchtrail.domain.bench_state import BenchState, Pack, parts_of, pose_family, start_pose
from benchtrail.domain.checks.conditions import is_true, pose_now
from benchtrail.domain.end_items import NORMAL, end_items

MOVING = ("wheels", "brakes", "steering", "throttle", "lifting", "fuel")
BEARING = ("steering", "lifting", "fuel")
HEAT = "heat"
HEAVY_KG = 5.0
CHECKING = ("inspect", "measure", "adjust", "test", "run", "bleed", "level")
FLEXIBLE = ("hose", "cable", "plug")
BURNS = ("fuel", "fire")


class Row(TypedDict):
    """One reason: its code and the id of what it is about, "" for the machine as a whole."""

    code: str
    object: str


class Standing(TypedDict):
    """`against`: what work can settle; `unknown`: what nobody has said; `see_to`: what the person must see to."""

    against: list[Row]
    unknown: list[Row]
    see_to: list[Row]


class Doubts(TypedDict):
    """What a journal leaves open: ids of steps that were skipped, ids of checks whose last reading was not within."""

    skipped: Sequence[str]
    outside: Sequence[str]


NO_DOUBTS: Doubts = {"skipped": [], "outside": []}


def row(code: str, thing: str = "") -> Row:
    return {"code": code, "object": thing}


def holds(standing: Standing) -> bool:
    """True when nothing speaks against it and nothing is unknown."""
    return not standing["against"] and not standing["unknown"]


def may_be_left(pack: Pack, state: BenchState, hot: bool | None, doubts: Doubts = NO_DOUBTS) -> Standing:
    """Whether the machine can stand alone for a night: steady, cold, nothing under load or loose, no fluid behind an open
    joint, no fuel that can run, nothing heavy hung. `hot`: of `is_hot`. Stops being true when someone moves it."""
    against, unknown = _poses(pack, state)
    see_to: list[Row] = []
    for joint, how in state["joints"].items():
        code, good = _open_joint(pack, state, joint, how)
        (see_to if good else against).extend([row(code, joint)] if code else [])
    carried = _by_aids(pack, state, "carries")
    for part in sorted(_taken(pack)):
        if _loose(pack, state, part) and part not in carried:
            falls = pack["parts"][part]["hold"]
            (against if falls else see_to).append(row("part_loose" if falls else "lies_loose", part))
    for part, place in state["parts"].items():
        if place == "aside" and part not in carried:
            _hung(pack, part, against, unknown, see_to)
        elif place == "out" and pack["parts"][part].get("leaves_open") and part not in _by_aids(pack, state, "covers"):
            see_to.append(row("open_port", part))
    see_to += [row("drained_fuel" if set(pack["fluids"][fluid]["hazards"]) & set(BURNS) else "drained", fluid)
               for fluid, how in state["fluids"].items() if how == "drained"]
    against += [row("hot")] if hot else []
    see_to += [row("heat_not_said")] if hot is None and _has_heat(pack) else []
    see_to += [*_settings(state), *([row("not_ready")] if end_items(pack, state) else [])]
    unknown += [row("skipped", step["id"]) for step in _skipped(pack, doubts) if _about_stance(pack, step)]
    return _sorted(against, unknown, see_to)


def may_be_pushed(pack: Pack, state: BenchState, doubts: Doubts = NO_DOUBTS) -> Standing:
    """Whether the machine rolls: wheels, axles, brakes, steering and controls as they were, their fluids full and their
    checks done, nothing loose or hanging, no aid left on it. It says nothing of riding."""
    against, _ = _poses(pack, state)
    for joint in state["joints"]:
        entry = pack["joints"][joint]
        if entry["safety"] in MOVING:
            against.append(row("joint_not_final", joint))
        elif not any(part in state["parts"] for part in entry["joins"]):
            against.append(row("joint_loose", joint))
    for part, place in state["parts"].items():
        if place == "aside" or pack["parts"][part]["safety"] in MOVING:
            against.append(row("part_aside" if place == "aside" else "part_off", part))
    left = end_items(pack, state)
    kept = {"fluid_not_filled": "fluid_not_full", "level_not_checked": "fluid_not_full", "single_use_reused": "single_use"}
    against += [row(kept[item["code"]], item["object"]) for item in left if item["code"] in kept and item["safety"] != NORMAL]
    against += [row("check_due", item["object"]) for item in left if item["code"] == "follow_on_missing"
                and item["safety"] != NORMAL and _due_before_pushing(pack, state, item["object"])]
    against += [row("aid_on", aid) for aid in state["aids"]]
    unknown = [row("reading", check) for check in sorted(set(doubts["outside"]))]
    unknown += [row("skipped", step["id"]) for step in _skipped(pack, doubts)]
    see_to = [row("standing", pose) for family in sorted({pose["family"] for pose in pack["poses"].values()} - {HEAT})
              if (pose := pose_now(pack, state, family))]
    see_to += [] if see_to else [row("standing_not_said")]
    see_to += [row("engine_off")] if left else []
    return _sorted(against, unknown, [*see_to, *_settings(state)])


def _due_before_pushing(pack: Pack, state: BenchState, follow_on: str) -> bool:
    """True if one of its checks is due that is no run: a run is for whoever rides."""
    since = last_touch(pack, state, follow_on)
    return any(pack["checks"][check]["kind"] != "run" and state["checks"].get(check, 0) < since
               for check in pack["follow_ons"][follow_on]["needs"] if check in pack["checks"])


def last_touch(pack: Pack, state: BenchState, follow_on: str) -> int:
    """The order number of what a follow-on follows from last; 0 for never."""
    return max((state["checks"].get(literal[1], 0) if literal[0] == "done" else state["touched"].get(f"{literal[0]} {literal[1]}", 0)
                for literal in pack["follow_ons"][follow_on]["after"]), default=0)


def is_hot(pack: Pack, steps: Iterable[Mapping[str, Any]]) -> bool | None:
    """Whether engine or brakes may be hot after these steps; None when neither start nor steps say it. A run makes hot;
    only a pose of the family `heat` that is steady says that it is cold again."""
    before = start_pose(pack, HEAT)
    hot = None if before is None else pack["poses"][before].get("steady") is not True
    for step in steps:
        hot = heat_after(pack, hot, step)
    return hot


def heat_after(pack: Pack, hot: bool | None, step: Mapping[str, Any]) -> bool | None:
    """Whether it may be hot after a step, from whether it was before."""
    for action in step["do"]:
        if action["verb"] == "run":
            hot = True
        elif action["verb"] == "pose" and pose_family(pack, action["object"]) == HEAT:
            hot = pack["poses"][action["object"]].get("steady") is not True
    return hot


def _families(pack: Pack) -> list[str]:
    """The families that say how the machine stands: those with a pose that the map calls steady or not."""
    return sorted({pose["family"] for pose in pack["poses"].values() if pose.get("steady") is not None} - {HEAT})


def _has_heat(pack: Pack) -> bool:
    return any(pose["family"] == HEAT for pose in pack["poses"].values())


def _poses(pack: Pack, state: BenchState) -> tuple[list[Row], list[Row]]:
    """How it stands: only a pose that the map calls steady will do."""
    against: list[Row] = []
    unknown: list[Row] = []
    families = _families(pack)
    for family in families:
        pose = pose_now(pack, state, family)
        if pose is None:
            unknown.append(row("pose_not_said", family))
        elif pack["poses"][pose].get("steady") is None:
            unknown.append(row("pose_not_known", pose))
        elif not pack["poses"][pose]["steady"]:
            against.append(row("pose_not_steady", pose))
    return against, unknown if families else [row("pose_not_said")]


def _open_joint(pack: Pack, state: BenchState, joint: str, how: str) -> tuple[str | None, bool]:
    """The reason that a joint which is not final gives, and whether it is only to be seen to."""
    entry, fluids = pack["joints"][joint], _fluids_behind(pack, joint)
    if any(state["fluids"].get(fluid) != "drained" for fluid in fluids):
        return "fluid_behind", False
    if entry["safety"] == "fuel" and "frame" not in entry["joins"] and not (fluids or _shut(pack, state, entry)):
        return "fuel_open", False
    if entry["kind"] == "spring" and how != "undone":
        return "spring_held", False
    if entry["safety"] in BEARING and not any(part in state["parts"] for part in entry["joins"]):
        return "joint_loose", False
    parts = [part for part in entry["joins"] if part in pack["parts"]]
    inside = any(pack["parts"][part]["inside"] for part in parts)
    if any(part in state["parts"] and (pack["parts"][part].get("leaves_open") or part in _by_aids(pack, state, "covers"))
           for part in parts):
        return None, True  # the part says what stands open, or an aid closes it
    return ("cover" if how == "undone" and (fluids or inside or entry["kind"] in ("hose", "plug")) else None), True


def _fluids_behind(pack: Pack, joint: str) -> list[str]:
    """The fluids that a joint keeps in: those it holds, and those that go in or out by it."""
    held = pack["joints"][joint]["holds"]
    return [key for key, fluid in pack["fluids"].items() if key in held or joint in (fluid["fill"], fluid["drain"])]


def _by_aids(pack: Pack, state: BenchState, how: str) -> set[str]:
    """The parts that an aid which is on covers or carries."""
    return {part for aid in state["aids"] for thing in pack["aids"][aid].get(how) or [] for part in parts_of(pack, thing)}


def _shut(pack: Pack, state: BenchState, joint: Mapping[str, Any]) -> bool:
    """True if a valve that the joint asks for is set, so that no fuel can run to it."""
    return any(literal[0] == "set" and is_true(pack, state, literal) for every in joint["reach"] for literal in every)


def _taken(pack: Pack) -> set[str]:
    """The parts that steps take off: of these the pack holds every joint."""
    things = (action["object"] for step in pack["steps"] for action in step["do"] if action["verb"] in ("remove", "hang"))
    return {part for thing in things for part in parts_of(pack, thing)}


def _loose(pack: Pack, state: BenchState, part: str) -> bool:
    """True if a part is on the machine and nothing firm holds it: every joint but hoses, cables and plugs is undone, or
    all is undone that the map asks for before it is hung aside."""
    if part in state["parts"]:
        return False
    joints = [key for key, joint in pack["joints"].items() if part in joint["joins"] and joint["kind"] not in FLEXIBLE]
    if joints and all(state["joints"].get(joint) == "undone" for joint in joints):
        return True
    return any(any(literal[0] == "undone" for literal in every) and all(_freed(pack, state, literal) for literal in every)
               for every in pack["parts"][part]["aside"] or [])


def _freed(pack: Pack, state: BenchState, literal: Sequence[str]) -> bool:
    if literal[0] == "undone" and literal[1] in pack["joints"]:
        return state["joints"].get(literal[1]) == "undone"
    return is_true(pack, state, literal)


def _hung(pack: Pack, part: str, against: list[Row], unknown: list[Row], see_to: list[Row]) -> None:
    mass, hold = pack["parts"][part]["mass_kg"], pack["parts"][part]["hold"]
    if mass is not None and mass > HEAVY_KG:
        against.append(row("hung_heavy", part))
    elif mass is None and hold:
        unknown.append(row("mass_not_known", part))
    else:
        see_to.append(row("hung", part))


def _settings(state: BenchState) -> list[Row]:
    return [row("setting", setting) for setting in sorted(state["settings"])]


def _skipped(pack: Pack, doubts: Doubts) -> Iterator[Mapping[str, Any]]:
    """The skipped steps that would have found something out."""
    return (step for step in pack["steps"] if step["id"] in doubts["skipped"]
            and any(action["verb"] in CHECKING for action in step["do"]))


def _about_stance(pack: Pack, step: Mapping[str, Any]) -> bool:
    """True for a check that is made in a pose, such as a push at the machine on its stand."""
    reaches = (pack["checks"].get(action["object"], {"reach": []})["reach"] for action in step["do"])
    return any(literal[0] == "pose" for reach in reaches for every in reach for literal in every)


def _sorted(against: list[Row], unknown: list[Row], see_to: list[Row]) -> Standing:
    against, unknown, see_to = (sorted(rows, key=lambda item: (item["code"], item["object"])) for rows in (against, unknown, see_to))
    return {"against": against, "unknown": unknown, "see_to": see_to}
