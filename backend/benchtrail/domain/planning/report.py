"""A plan as plain data: what comes off, leaves as one, hangs, is drained, kept in, renewed, checked, in order.

Knows plans and words; the result holds only JSON types. Every minute in it is of the map or of our own estimates.
"""

from collections.abc import Iterable
from typing import Any

from benchtrail.domain.planning.acts import families_of
from benchtrail.domain.planning.operations import Label
from benchtrail.domain.planning.plan import ExtraWork, OtherWay, Plan
from benchtrail.domain.planning.windows import Windows
from benchtrail.domain.planning.words import said, thing_name

Data = dict[str, Any]
VERBS = {"un": "undo", "go": "remove", "free": "remove", "aside": "hang", "drained": "drain", "set": "set",
         "check": "check", "renewed": "renew", "pose": "pose"}


def minutes(seconds: int) -> float:
    """Minutes to one decimal, for reading."""
    return round(seconds / 60, 1)


def plan_data(plan: Plan) -> Data:
    """The whole plan."""
    return {
        "minutes": minutes(plan.closure.cost_s), "at_least_minutes": minutes(plan.closure.bound_s),
        "proven": plan.closure.proven, "operations": operations(plan), "leaves_as_one": leaving_units(plan),
        "aside": _named(plan, "aside", "part"), "drained": _drained(plan), "kept_in": kept_in(plan),
        "renew": renewals(plan), "rebuild_checks": _named(plan, "follow", "check"),
        "ends_in": [{"pose": goal[1], "name": thing_name(plan.machine, goal[1])} for goal in plan.goals if goal[0] == "pose"],
        "changes": changes(plan), "other_ways": [other_way(plan, way) for way in plan.other_ways],
    }


def operations(plan: Plan) -> list[Data]:
    """The acts in order, with tool, side and poses in hand."""
    families = families_of(plan.machine)
    found = []
    for number, (key, label) in enumerate(plan.work, 1):
        kind, _, name = key.partition(":")
        tool, side, poses = label[0], label[1], dict(zip(families, label[2:], strict=True))
        own_tool = tool if _asks_tool(plan, key, tool) else None
        found.append({
            "number": number, "item": key, "verb": VERBS[kind], "object": name.split("/")[-1].partition("=")[0],
            "words": said(plan.machine, key), "minutes": minutes(plan.whole.items[key].cost_s), "tool": own_tool,
            "tool_name": plan.machine["tools"].get(own_tool, {}).get("name", own_tool) if own_tool else None,
            "side": side, "poses": {family: pose for family, pose in poses.items() if pose},
            "pose_names": {family: thing_name(plan.machine, pose) for family, pose in poses.items() if pose},
        })
    return found


def _asks_tool(plan: Plan, key: str, tool: str | None) -> bool:
    return key.startswith("un:") and tool in plan.machine["joints"][key[3:]]["tools"]


def _named(plan: Plan, kind: str, noun: str) -> list[Data]:
    names = [key.partition(":")[2] for key in plan.closure.chosen if key.startswith(f"{kind}:")]
    return [{noun: name, "name": thing_name(plan.machine, name)} for name in sorted(names)]


def leaving_units(plan: Plan) -> list[Data]:
    """Units that leave as one, with the parts that stay on them: those that the plan does not take out on the bench."""
    freed = {key.partition("/")[2] for key in plan.done if key.startswith("free:")}
    freed |= {key[3:] for key in plan.done if key.startswith("go:")}
    found = []
    for key in sorted(plan.closure.chosen):
        name = key[3:]
        if key.startswith("go:") and name in plan.machine["units"]:
            stay = [part for part in plan.machine["units"][name]["parts"] if part not in freed]
            found.append({"unit": name, "name": thing_name(plan.machine, name), "stay_on_it": [
                {"part": part, "name": thing_name(plan.machine, part)} for part in stay]})
    return found


def _drained(plan: Plan) -> list[Data]:
    return [entry | {"refill_ml": plan.machine["fluids"][entry["fluid"]]["refill_ml"]}
            for entry in _named(plan, "drained", "fluid")]


def kept_in(plan: Plan) -> list[Data]:
    """Fluids that are not drained, though a joint under them is opened, because of a pose."""
    windows = Windows(plan.machine, plan.problem)
    found = {(fluid, pose, key[3:]) for key, way in plan.closure.ways.items()
             for fluid, pose in windows.dodges(plan.problem.items[key], way) if f"drained:{fluid}" not in plan.done}
    return [{"fluid": fluid, "name": thing_name(plan.machine, fluid), "pose": pose, "joint": joint,
             "pose_name": thing_name(plan.machine, pose), "joint_name": thing_name(plan.machine, joint)}
            for fluid, pose, joint in sorted(found)]


def renewals(plan: Plan) -> list[Data]:
    """What must be bought: single-use parts and fasteners that the plan disturbs, and what the goals renew."""
    parts, joints = plan.machine["parts"], plan.machine["joints"]
    names = {key.partition(":")[2] for key in plan.done if key.startswith(("new:", "renewed:"))}
    names |= {key[3:] for key in plan.done if key.startswith("un:") and joints[key[3:]]["renew"] == "always"}
    found = []
    for name in sorted(names & (parts.keys() | joints.keys())):
        entry = parts.get(name) or joints[name]
        count = entry["count"] if name in parts else len(entry["positions"])
        found.append({"object": name, "name": entry["name"], "number": entry["number"], "count": count})
    return found


def changes(plan: Plan) -> Data:
    """How often tool, side and pose change, and whether that is proven to be the least."""
    counted = [0, 0, 0]
    before: Label | None = None
    for _, label in plan.order.steps:
        if before is not None:
            counted[0] += label[0] != before[0]
            counted[1] += label[1] != before[1]
            counted[2] += label[2:] != before[2:]
        before = label
    return {"tools": counted[0], "sides": counted[1], "poses": counted[2], "cost": plan.order.cost,
            "at_least": plan.order.bound, "proven": plan.order.proven}


def other_way(plan: Plan, way: OtherWay) -> Data:
    """A plan not taken, with what it does instead of what."""
    return {"minutes_more": minutes(way.more_s), "instead": _words(plan, way.instead),
            "without": _words(plan, way.without)}


def _words(plan: Plan, keys: Iterable[str]) -> list[str]:
    return [said(plan.machine, key) for key in keys]


def extra_data(plan_machine: Any, extra: ExtraWork) -> Data:
    """A due task: minutes more now, minutes on its own."""
    return {"task": extra.task, "minutes_more": minutes(extra.extra_s), "minutes_alone": minutes(extra.alone_s),
            "acts": [said(plan_machine, key) for key in extra.acts], "proven": extra.proven}
