"""Writes the strip-down of one variant, and what is looked at while it is apart.

Knows the acts of a plan in their order and the draftsman; the rebuild is in draft_rebuild.py.
"""

from collections.abc import Mapping, Sequence

from benchtrail.domain.checks.conditions import exits_of, is_true, missing_of, subject_of
from benchtrail.domain.planning.draft_steps import LOOK, PREPARE, STRIP, Draftsman, DraftStep, carrier_of, write_check
from benchtrail.domain.planning.draft_words import LOOK_AGAIN, circlip_of
from benchtrail.domain.planning.plan import Plan
from benchtrail.domain.planning.rebuild import acts_needed, loose_parts, members, parts_off
from benchtrail.domain.planning.words import thing_name


def write_strip(man: Draftsman, loose: Sequence[str]) -> list[str]:
    """The acts of the plan in order; a drain is opened and emptied in one step; loose parts are taken out. Answers the
    loose parts that cannot come out: they stay where they are."""
    machine = man.plan.machine
    drains = {machine["fluids"][key[8:]]["drain"]: key[8:] for key, _ in man.plan.work if key.startswith("drained:")}
    waiting = list(loose)
    acts = _heavy_in_hand(man.plan, _filler_before_drain(man.plan, drains))
    poses = {key: [pose for pose in label[2:] if pose] for key, label in man.plan.work}
    for key, following in zip(acts, [*acts[1:], ""], strict=False):
        kind, _, name = key.partition(":")
        for pose in poses[key]:
            man.pose(STRIP, pose)
        if kind == "un":
            man.ensure(STRIP, machine["joints"][name]["reach"])
            _undo(man, name, drains.get(name))
        elif kind == "free":
            _remove(man, _freeing(man, name.split("/")[-1]))
        elif kind == "go":
            _remove(man, name)
        elif kind == "aside":
            hang(man, STRIP, name)
        elif kind == "set":
            setting, _, value = name.partition("=")
            if not is_true(man.pack, man.state, ["set", setting, value]):
                man.write(PREPARE if not man.steps else STRIP, {"verb": "set", "object": setting, "value": value})
        elif kind == "check":
            write_check(man, LOOK, name)
        if not following.startswith("go:") or not _is_heavy(man.plan, following):
            waiting = _take_out_loose(man, waiting)
    return waiting


def _heavy_in_hand(plan: Plan, acts: list[str]) -> list[str]:
    """The acts, each heavy part (or its unit) taken off right after the act that freed it."""
    needed = acts_needed(plan)
    for key in [key for key in acts if key.startswith("go:") and _is_heavy(plan, key)]:
        last = max((acts.index(need) for need in needed[key] if need in acts), default=None)
        if last is not None and acts.index(key) > last + 1:
            acts.remove(key)
            acts.insert(last + 1, key)
    return acts


def _is_heavy(plan: Plan, act: str) -> bool:
    return any(plan.machine["parts"][part]["hold"] for part in members(plan, act))


def hang(man: Draftsman, section: str, part: str) -> None:
    """Hangs a part aside; a heavy one on what carries it."""
    carrier = carrier_of(man.plan, part) if man.plan.machine["parts"][part]["hold"] else None
    if carrier and carrier not in man.state["aids"]:
        man.write(section, {"verb": "hang", "object": part}, {"verb": "aid_on", "object": carrier})
    else:
        man.write(section, {"verb": "hang", "object": part})


def _filler_before_drain(plan: Plan, drains: Mapping[str, str]) -> list[str]:
    """The acts, each filler moved before its drain where nothing but the drain's place kept it behind."""
    acts = [key for key, _ in plan.work]
    for drain, fluid in drains.items():
        filler = f"un:{plan.machine['fluids'][fluid]['fill']}"
        if filler in acts and f"un:{drain}" in acts and acts.index(filler) > acts.index(f"un:{drain}"):
            between = acts[acts.index(f"un:{drain}"):acts.index(filler)]
            if not any(act in acts_needed(plan)[filler] for act in between):
                acts.remove(filler)
                acts.insert(acts.index(f"un:{drain}"), filler)
    return acts


def _undo(man: Draftsman, key: str, fluid: str | None) -> None:
    if fluid is None:
        joint = man.plan.machine["joints"][key]
        dry = any(is_true(man.pack, man.state, ["pose", pose]) for pose in joint["dry_in"])
        for held in () if dry else joint["holds"]:
            if man.state["fluids"].get(held) != "drained":
                man.tray_on(STRIP, held)
        man.write(STRIP, {"verb": "undo", "object": key})
        return
    man.tray_on(STRIP, fluid)
    man.write(STRIP, {"verb": "undo", "object": key}, {"verb": "drain", "object": fluid})


def _remove(man: Draftsman, key: str) -> None:
    """Takes a part off, in one step with the joint just undone when that joint held it."""
    man.ensure(STRIP, exits_of(man.pack, key))
    _write_removal(man, key)
    join_last_two(man, "undo", "remove")


def _freeing(man: Draftsman, part: str) -> str:
    """What comes off to free a part of a unit on the bench: the part, or another that the map wants off it first and that
    left with it: then this one is taken off the part."""
    subject = subject_of(man.pack, [part], None)
    lacking = missing_of(man.pack, man.state, exits_of(man.pack, part), subject) or []
    on_it = [literal[1] for literal in lacking if literal[0] == "out" and is_true(man.pack, man.state, literal)]
    if len(on_it) == len(lacking) == 1:
        man.instead[part] = on_it[0]
    return man.instead.get(part, part)


def _write_removal(man: Draftsman, key: str) -> None:
    """Parts that look alike and go back to their own places are marked as they come off."""
    part = man.plan.machine["parts"].get(key)
    kept = part is not None and part["own_place"] and f"renewed:{key}" not in man.plan.done
    look_for = f"Each of the {thing_name(man.plan.machine, key)} is marked with its own place." if kept else None
    man.write(STRIP, {"verb": "remove", "object": key}, look_for=look_for)


def join_last_two(man: Draftsman, first: str, second: str) -> None:
    """Makes one step of the last two when they are one movement on the same things."""
    if len(man.steps) < 2:
        return
    one, two = man.steps[-2:]
    if len(one.do) != 1 or len(two.do) != 1 or not one.do[0].startswith(f"{first} "):
        return
    joint, part = one.do[0].split()[1], two.do[0].split()[1]
    joint, part = (joint, part) if first == "undo" else (part, joint)
    parts = members(man.plan, f"go:{part}")
    if not two.do[0].startswith(f"{second} ") or not set(parts) & set(man.plan.machine["joints"][joint]["joins"]):
        return
    minutes = round((one.minutes or 0) + (two.minutes or 0), 1) or None
    pulled = man.plan.machine["joints"][joint]["kind"] == "press" or circlip_of(man.plan.machine, joint)
    say = one.say if first == "undo" and pulled and thing_name(man.plan.machine, part) in one.say else f"{one.say} {two.say}"
    man.steps[-2:] = [DraftStep(two.section, one.do + two.do, say, one.detail or two.detail,
                                two.look_for or one.look_for, one.tools + two.tools,
                                tuple(dict.fromkeys(one.caution + two.caution)), (), minutes)]


def _take_out_loose(man: Draftsman, waiting: Sequence[str]) -> list[str]:
    left = []
    for part in waiting:
        joints = [key for key, joint in man.plan.machine["joints"].items() if part in joint["joins"]]
        free = all(man.state["joints"].get(key) == "undone" for key in joints)
        if free and not missing_of(man.pack, man.state, exits_of(man.pack, part)):
            _write_removal(man, part)
        else:
            left.append(part)
    return left


def write_looks(man: Draftsman) -> None:
    """Looks at what is to be judged, and cleans faces that get a new gasket or seal."""
    machine = man.plan.machine
    renewed = {key.partition(":")[2] for key in man.plan.done if key.startswith(("renewed:", "new:"))}
    seen = parts_off(man.plan) | set(loose_parts(man.plan))
    for part in sorted(seen - renewed):
        if machine["parts"][part]["renew"] == "inspect" and _can_be_seen(man, part):
            man.write(LOOK, {"verb": "inspect", "object": part}, detail=LOOK_AGAIN)
    for part in sorted(_faces(man, renewed)):
        man.write(LOOK, {"verb": "clean", "object": part})


def _can_be_seen(man: Draftsman, part: str) -> bool:
    """A part that stays inside a unit is not looked at."""
    alone = {key.partition(":")[2].split("/")[-1] for key, _ in man.plan.work if key.startswith(("go:", "free:", "aside:"))}
    return part in alone or part not in parts_off(man.plan)


def _faces(man: Draftsman, renewed: set[str]) -> set[str]:
    """Parts that came off by themselves and seal a fluid against a single-use part."""
    machine = man.plan.machine
    alone = {key.partition(":")[2].split("/")[-1] for key, _ in man.plan.work if key.startswith(("go:", "free:"))}
    single = {part for part in renewed if part in machine["parts"] and machine["parts"][part]["renew"] == "always"}
    return {part for joint in machine["joints"].values() if joint["holds"] and single & set(joint["joins"])
            for part in joint["joins"] if part in alone - single and machine["parts"][part]["renew"] != "always"}
