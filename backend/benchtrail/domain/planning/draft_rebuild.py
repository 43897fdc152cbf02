"""Writes the rebuild of one variant: tasks in their order, each with what makes it ready.

Knows tasks and the draftsman; which task waits for which is in rebuild.py.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from benchtrail.domain.checks.conditions import exits_of, is_true, missing_of
from benchtrail.domain.planning.draft_steps import CHECK, FILL, REBUILD, Draftsman, write_check
from benchtrail.domain.planning.draft_strip import hang
from benchtrail.domain.planning.rebuild import Rebuild, members


def write_rebuild(man: Draftsman, rebuild: Rebuild) -> None:
    """All tasks: those that are ready, lowest rank first; a pose that keeps a fluid in is not left before it may be."""
    left = dict(rebuild.tasks)
    fitted: set[str] = set()
    while left:
        ready = [task for task in left.values() if not task.after & left.keys()]
        ready.sort(key=lambda task: (not _poses_free(man, task.key), not _goes_on(man, task.key, fitted), task.rank, task.key))
        task = ready[0]
        if not any(_puts_together(man, key) for key in left):
            _treat_late(man)
        del left[task.key]
        kind, _, name = task.key.partition(":")
        fitted = set(members(man.plan, name)) if kind == "fit" else fitted
        _WRITE[kind](man, rebuild, name, left.keys())
    write_end(man)


def _goes_on(man: Draftsman, key: str, fitted: Collection[str]) -> bool:
    """True for making a joint of what was fitted just before."""
    kind, _, name = key.partition(":")
    return kind == "make" and bool(set(man.plan.machine["joints"][name]["joins"]) & set(fitted))


def _puts_together(man: Draftsman, key: str) -> bool:
    """True for a task that fits a part or makes a joint, the fillers aside."""
    kind, _, name = key.partition(":")
    fillers = {fluid["fill"] for fluid in man.plan.machine["fluids"].values()}
    return kind in ("fit", "final") or (kind == "make" and name not in fillers)


def _treat_late(man: Draftsman) -> None:
    """What goes on a part once all is together, such as chain oil."""
    for part in sorted(man.bare - set(man.state["parts"])):
        _treat(man, part, "end")


def _poses_free(man: Draftsman, key: str) -> bool:
    """True if the task needs no change of a pose that keeps a fluid in now."""
    locks = {pose["family"] for pose in _locking(man)}
    return not any(man.plan.machine["poses"][pose]["family"] in locks for pose in _poses_asked(man, key))


def _locking(man: Draftsman) -> list[dict[str, Any]]:
    """Poses in which the machine must stay: a joint is open under a full fluid and dry only here."""
    found = []
    for key, value in man.state["joints"].items():
        joint = man.plan.machine["joints"][key]
        wet = [fluid for fluid in joint["holds"] if man.state["fluids"].get(fluid) != "drained"]
        here = [pose for pose in joint["dry_in"] if is_true(man.pack, man.state, ["pose", pose])]
        if wet and here and value == "undone":
            found.append(man.plan.machine["poses"][here[0]])
    return found


def _poses_asked(man: Draftsman, key: str) -> list[str]:
    """The poses that a task would change to."""
    kind, _, name = key.partition(":")
    machine = man.plan.machine
    if kind == "fit":
        alternatives = exits_of(man.pack, name.partition(":")[2].split("/")[-1])
    elif kind == "check":
        alternatives = machine["checks"][name]["reach"]
    else:
        alternatives = machine["joints"][name]["reach"] if kind in ("make", "final") else []
    asked = [literal[1] for literal in missing_of(man.pack, man.state, alternatives) or [] if literal[0] == "pose"]
    if kind == "final":
        asked.append(machine["joints"][name]["stages"][-1]["pose"])
    if kind == "fit":
        asked += man.poses_ended({"verb": "fit", "object": name.partition(":")[2].split("/")[-1]})
    return [pose for pose in asked if not is_true(man.pack, man.state, ["pose", pose])]


def _write_fit(man: Draftsman, rebuild: Rebuild, act: str, left: Collection[str]) -> None:
    """Renews what is single-use or asked for, then fits the part or unit, with what the eye must see."""
    name = act.partition(":")[2].split("/")[-1]
    man.ensure(REBUILD, exits_of(man.pack, name))
    if not act.startswith("aside:") and f"aside:{name}" in man.plan.done and f"fit:aside:{name}" in left:
        hang(man, REBUILD, name)
        return
    put_on = man.instead.get(name, name) if act.startswith("free:") else name
    for part in members(man.plan, act):
        asked = f"renewed:{part}" in man.plan.done and part not in man.state["renewed"] and part == name
        if part in man.state["disturbed"] or asked:
            man.write(REBUILD, {"verb": "renew", "object": part})
        if part in man.state["parts"]:
            _treat(man, part, "fit")
    if put_on != name and put_on not in man.state["parts"]:
        return
    entry = man.plan.machine["parts"].get(put_on)
    carriers = [key for key in man.state["aids"] if set(man.plan.machine["aids"][key]["carries"]) & {name, *members(man.plan, act)}]
    fit = {"verb": "fit", "object": put_on}
    off = [{"verb": "aid_off", "object": key} for key in carriers[:1]]
    man.write(REBUILD, fit, *off, look_for=entry["look_for"] if entry else None)
    _join_last_two_same(man)
    for part in members(man.plan, act):
        if part != name and f"aside:{part}" in man.plan.done and f"fit:aside:{part}" in left:
            hang(man, REBUILD, part)


def _treat(man: Draftsman, part: str, due: str) -> None:
    """Puts on a part what belongs on it, when it was off, new or cleaned."""
    treatment = man.plan.machine["parts"][part]["treatment"]
    if treatment["supply"] and treatment["due"] == due and part in man.bare:
        man.write(REBUILD, {"verb": "apply", "object": treatment["supply"], "to": part})
        if len(man.steps) > 1 and man.steps[-2].do == (f"renew {part}",):
            _merge_last(man)


def _join_last_two_same(man: Draftsman) -> None:
    """“Take the new gasket. Fit the gasket.” is one step."""
    if len(man.steps) > 1:
        one, two = man.steps[-2:]
        name = two.do[0].split()[1]
        if one.do == (f"renew {name}",) and two.do == (f"fit {name}",):
            _merge_last(man)


def _merge_last(man: Draftsman) -> None:
    one, two = man.steps[-2:]
    minutes = round((one.minutes or 0) + (two.minutes or 0), 1) or None
    man.steps[-2:] = [replace(two, do=one.do + two.do, say=f"{one.say} {two.say}", minutes=minutes,
                              caution=tuple(dict.fromkeys(one.caution + two.caution)))]


def _write_make(man: Draftsman, rebuild: Rebuild, key: str, left: Collection[str]) -> None:
    machine = man.plan.machine
    for thing in (*machine["joints"][key]["joins"], key):
        off = thing == key or thing in man.state["parts"]
        if off and f"renewed:{thing}" in man.plan.done and thing not in man.state["renewed"]:
            man.write(REBUILD, {"verb": "renew", "object": thing})
    _put_on_the_carrier(man, rebuild, key, left)
    filling = any(key == fluid["fill"] and name in man.state["fluids"] for name, fluid in machine["fluids"].items())
    section = FILL if filling else REBUILD
    man.make(section, key, last=f"final:{key}" not in rebuild.tasks)
    for fluid, entry in machine["fluids"].items():
        if entry["drain"] == key or (fluid in man.overflowing and not _stands_open(man, fluid)):
            man.tray_off(section, fluid)


def _put_on_the_carrier(man: Draftsman, rebuild: Rebuild, key: str, left: Collection[str]) -> None:
    """The outside of a unit on the bench is put on to the part that carries it, before their joint is made there."""
    joins, units = man.plan.machine["joints"][key]["joins"], man.plan.machine["units"]
    freed = [act.partition(":")[2].split("/") for act in rebuild.off if act.startswith("free:") and f"fit:{act}" in left]
    carriers = {part: set(units[unit]["parts"]) for unit, part in freed if part in joins}
    own = {act.partition(":")[2].split("/")[-1] for act in rebuild.off if f"fit:{act}" in left}
    for inside in carriers.values():
        for part in joins:
            outer = any(part in joint["joins"] and not set(joint["joins"]) <= inside for joint in man.plan.machine["joints"].values())
            if outer and man.state["parts"].get(part) == "out" and part not in own:
                _treat(man, part, "fit")
                man.write(REBUILD, {"verb": "fit", "object": part}, look_for=man.plan.machine["parts"][part]["look_for"])


def _write_final(man: Draftsman, rebuild: Rebuild, key: str, left: Collection[str]) -> None:
    man.tighten(REBUILD, key, len(man.plan.machine["joints"][key]["stages"]))


def _write_fill(man: Draftsman, rebuild: Rebuild, key: str, left: Collection[str]) -> None:
    fluid = man.plan.machine["fluids"][key]
    filler = man.plan.machine["joints"].get(fluid["fill"] or "")
    opened = []
    if filler is not None:
        if filler["dry_in"] and not any(is_true(man.pack, man.state, ["pose", pose]) for pose in filler["dry_in"]):
            man.pose(FILL, filler["dry_in"][0])
        if fluid["fill"] not in man.state["joints"]:
            opened = man.open_again(FILL, fluid["fill"])
    amount_ml = fluid["refill_ml"] or fluid["capacity_ml"]
    if amount_ml is None:
        man.leave_open("draft_amount_missing", object=fluid["name"])
    action = {"verb": "fill", "object": key} | ({"amount_ml": amount_ml} if amount_ml else {})
    man.write(FILL, action, detail=_specified(fluid["specification"]))
    for joint in opened:
        man.make(FILL, joint)


def _specified(specification: str | None) -> str | None:
    return f"Take only this: {specification}." if specification and len(specification.split()) < 20 else None


def _write_check(man: Draftsman, rebuild: Rebuild, key: str, left: Collection[str]) -> None:
    """A check with what must be open, set or posed for it; what was opened again is shut at once."""
    check = man.plan.machine["checks"][key]
    if check["kind"] == "run":
        man.ran = False
    else:
        man.say_poses_again(CHECK, check["reach"])
    for fluid in _running_out(man, check):
        man.tray_on(CHECK, fluid)
        man.overflowing.add(fluid)
    opened = man.ensure(CHECK, check["reach"], reopen=True)
    filling = check["kind"] in ("bleed", "level") and check["fluid"] in man.state["fluids"] and not opened
    finals = any(task.startswith("final:") for task in left)
    write_check(man, REBUILD if man.state["parts"] or finals else FILL if filling else CHECK, key)
    if check["kind"] == "run":
        man.ran = True
    for joint in reversed(opened):
        man.make(CHECK, joint)
    for fluid in list(man.trays):
        if not _stands_open(man, fluid):
            man.tray_off(CHECK, fluid)


def _stands_open(man: Draftsman, fluid: str) -> bool:
    """True while the drain of a fluid is not made, or anything else through which it runs out as the machine stands."""
    entry, joints = man.plan.machine["fluids"][fluid], man.plan.machine["joints"]
    return any(joint == entry["drain"] or (
        joint != entry["fill"] and fluid in joints[joint]["holds"] and man.state["fluids"].get(fluid) != "drained"
        and not any(is_true(man.pack, man.state, ["pose", pose]) for pose in joints[joint]["dry_in"]))
        for joint in man.state["joints"])


def _running_out(man: Draftsman, check: Mapping[str, Any]) -> list[str]:
    """The fluid of a level that is read through an opening kept dry by a pose until now: what is too much runs out there
    when the machine comes into the pose of the check."""
    dry = {pose["family"] for pose in _locking(man)}
    asked = [literal[1] for literal in missing_of(man.pack, man.state, check["reach"]) or [] if literal[0] == "pose"]
    turns = any(man.plan.machine["poses"][pose]["family"] in dry for pose in asked)
    return [check["fluid"]] if check["kind"] == "level" and turns else []


def write_end(man: Draftsman) -> None:
    """The machine safe on the ground, aids off, settings back as they were."""
    _treat_late(man)
    _come_down(man)
    for aid in list(man.state["aids"]):
        man.write(CHECK, {"verb": "aid_off", "object": aid})
    for setting in sorted(man.state["settings"]):
        start = next((literal[2] for literal in man.pack["start"] if literal[:2] == ["set", setting]),
                     man.plan.machine["settings"][setting]["start"])
        man.write(CHECK, {"verb": "set", "object": setting, "value": start})


def _come_down(man: Draftsman) -> None:
    """Back to a pose of the start, from one that is not steady or that stands on aids."""
    machine = man.plan.machine
    held = {trigger[1] for isolation in machine.get("isolations", {}).values() for trigger in isolation["during"]
            if trigger[0] == "pose"}
    for word, key, *_ in man.start:
        pose = man.state["poses"].get(machine["poses"][key]["family"]) if word == "pose" and key in machine["poses"] else None
        if pose and pose != key and (not machine["poses"][pose]["steady"] or pose in held):
            man.pose(CHECK, key)


_WRITE = {"fit": _write_fit, "make": _write_make, "final": _write_final, "fill": _write_fill, "check": _write_check}
