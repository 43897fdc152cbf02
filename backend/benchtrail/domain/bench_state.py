"""The state of a machine on the bench while a procedure is done: what is off, loose, drained, aside, not yet renewed.

Knows what every action does to the state (shared/README.md §7). Must not know whether an action was wise: it never
refuses one; after an odd order the state is what the author meant, so that one fault gives one finding.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from typing import Any, TypedDict, TypeVar

from benchtrail.domain.guards import Variant, guard_holds

Pack = Mapping[str, Any]
Action = Mapping[str, Any]
Literal = list[str]
T = TypeVar("T")

GUARDED_TABLES = ("parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids",
                  "cautions", "checks", "follow_ons", "isolations")
CHECK_VERBS = ("measure", "adjust", "test", "run", "bleed", "level")


class BenchState(TypedDict):
    """Only what differs from the start is listed; lists are sorted as ASCII. Order numbers count touches and checks."""

    parts: dict[str, str]
    joints: dict[str, str]
    stages: dict[str, int]
    fluids: dict[str, str]
    aids: list[str]
    poses: dict[str, str]
    settings: dict[str, str]
    renewed: list[str]
    disturbed: list[str]
    treated: list[list[str]]
    checks: dict[str, int]
    touched: dict[str, int]


class VariantPack(dict[str, Any]):
    """A pack for one variant, which is not changed any more: what is worked out from it may be kept with it (`kept`)."""

    def __init__(self, pack: Pack) -> None:
        super().__init__(pack)
        self.known: dict[Hashable, Any] = {}


def kept(pack: Pack, key: Hashable, make: Callable[[], T]) -> T:
    """What `make` works out from a pack; kept with it under `key` if the pack is one that is not changed any more."""
    if not isinstance(pack, VariantPack):
        return make()
    if key not in pack.known:
        pack.known[key] = make()
    found: T = pack.known[key]
    return found


def for_variant(pack: Pack, variant: Variant | None) -> VariantPack:
    """The pack with everything guarded out removed, also from memberships, needs and conditions.

    A literal about what is absent is true, so it is dropped. Takes a procedure pack or a model pack. With no variant
    nothing is removed. Raises Refused("guard_unknown").
    """
    whole = dict(pack)
    for table in GUARDED_TABLES:
        entries = pack.get(table, {})
        whole[table] = {key: entry for key, entry in entries.items() if guard_holds(entry.get("when"), variant)}
    if "steps" in pack:
        whole["steps"] = [step for step in pack["steps"] if guard_holds(step["when"], variant)]
    absent = {key for table in GUARDED_TABLES for key in pack.get(table, {}) if key not in whole[table]}
    return VariantPack(_without(whole, absent))


def _without(pack: dict[str, Any], absent: set[str]) -> dict[str, Any]:
    """Takes what is absent out of memberships and conditions; texts and steps stay as they are."""
    for table, fields in (("joints", ("joins", "holds")), ("units", ("parts",)), ("follow_ons", ("needs",)),
                          ("aids", ("catches", "covers", "carries"))):
        pack[table] = {key: entry | {f: [i for i in entry[f] if i not in absent] for f in fields if entry.get(f)}
                       for key, entry in pack[table].items()}
    for table, fields in (("joints", ("reach",)), ("parts", ("exit", "aside")), ("units", ("exit",)),
                          ("poses", ("needs",)), ("checks", ("reach",)), ("isolations", ("needs",))):
        pack[table] = {key: entry | {f: [_present(every, absent) for every in entry[f]] for f in fields if entry.get(f)}
                       for key, entry in pack[table].items()}
    return pack | ({"goal": _present(pack["goal"], absent)} if "goal" in pack else {})


def _present(literals: Iterable[Literal], absent: Collection[str]) -> list[Literal]:
    return [literal for literal in literals if literal[1] not in absent]


def start_state(pack: Pack) -> BenchState:
    """The state before step 1: everything made, on and full, poses and settings as declared, nothing listed."""
    return {"parts": {}, "joints": {}, "stages": {}, "fluids": {}, "aids": [], "poses": {}, "settings": {},
            "renewed": [], "disturbed": [], "treated": [], "checks": {}, "touched": {}}


def apply_steps(pack: Pack, step_ids: Collection[str]) -> BenchState:
    """The state after the steps named, applied in the order of the pack whatever the order of the ids."""
    state = start_state(pack)
    for step in pack["steps"]:
        if step["id"] in step_ids:
            state = apply_step(pack, state, step)
    return state


def apply_step(pack: Pack, state: BenchState, step: Mapping[str, Any]) -> BenchState:
    """The state after all actions of one step."""
    for action in step["do"]:
        state = apply_action(pack, state, action)
    return state


def apply_action(pack: Pack, state: BenchState, action: Action) -> BenchState:
    """The state after one action; `state` stays as it was. An action on what the pack does not hold changes nothing.

    What the action leaves alone is shared by both states: neither is ever changed in place."""
    new = state.copy()
    effect, changed = _EFFECTS.get(action["verb"], (None, ()))
    if effect:
        for table in changed:
            new[table] = new[table].copy()  # type: ignore[literal-required]
        effect(pack, new, action)
    return new


def start_pose(pack: Pack, family: str) -> str | None:
    """The pose of a family before step 1; None when the procedure does not say."""
    poses = [literal[1] for literal in pack["start"] if literal[0] == "pose"]
    return next((pose for pose in poses if pose_family(pack, pose) == family), None)


def pose_family(pack: Pack, pose: str) -> str | None:
    """The family of a pose: of one family the machine is in one pose. None for a pose that the pack does not hold."""
    entry = pack["poses"].get(pose)
    return entry["family"] if entry else None


def start_setting(pack: Pack, setting: str) -> str | None:
    """The value of a setting before step 1: as the procedure says, else as the map says."""
    said = next((lit[2] for lit in pack["start"] if lit[0] == "set" and lit[1] == setting), None)
    entry = pack["settings"].get(setting)
    return said if said is not None or entry is None else entry["start"]


def parts_of(pack: Pack, thing: str) -> list[str]:
    """The parts that a part or unit stands for; empty for anything else."""
    if thing in pack["units"]:
        return [part for part in pack["units"][thing]["parts"] if part in pack["parts"]]
    return [thing] if thing in pack["parts"] else []


def is_single_use(pack: Pack, thing: str) -> bool:
    """True for a part, or a joint's fasteners, that must be renewed once opened."""
    entry = pack["parts"].get(thing) or pack["joints"].get(thing)
    return entry is not None and entry["renew"] == "always"


def next_order(state: BenchState) -> int:
    """The order number of the next touch or check: one past the highest so far."""
    return 1 + max((*state["touched"].values(), *state["checks"].values()), default=0)


def _undo(pack: Pack, state: BenchState, action: Action) -> None:
    joint = action["object"]
    if joint not in pack["joints"]:
        return
    was_tight = state["joints"].get(joint) not in ("undone", "started")
    _set_joint(state, joint, "undone")
    state["touched"][f"undone {joint}"] = next_order(state)
    _drop_treatment(state, [joint])
    if was_tight:
        _disturb(pack, state, [joint, *pack["joints"][joint]["joins"]])


def _slacken(pack: Pack, state: BenchState, action: Action) -> None:
    joint = action["object"]
    if joint in pack["joints"]:
        _set_joint(state, joint, "slack")
        # what it held may have moved: a follow-on of undoing it is due as well
        state["touched"][f"undone {joint}"] = next_order(state)


def _start(pack: Pack, state: BenchState, action: Action) -> None:
    if action["object"] in pack["joints"]:
        _set_joint(state, action["object"], "started")


def _tighten(pack: Pack, state: BenchState, action: Action) -> None:
    joint = action["object"]
    if joint not in pack["joints"]:
        return
    stage = action.get("stage")
    if stage is None or stage >= len(pack["joints"][joint]["stages"]):
        _set_joint(state, joint, None)
        return
    _set_joint(state, joint, "staged")
    state["stages"][joint] = stage


def _set_joint(state: BenchState, joint: str, value: str | None) -> None:
    state["stages"].pop(joint, None)
    state["joints"].pop(joint, None)
    if value is not None:
        state["joints"][joint] = value


def _remove(pack: Pack, state: BenchState, action: Action) -> None:
    thing = action["object"]
    parts = parts_of(pack, thing)
    order = next_order(state)
    for part in parts:
        # what is off already does not leave with the unit, and does not come back with it
        if thing not in pack["units"] or state["parts"].get(part) != "out":
            state["touched"][f"out {part}"] = order
        state["parts"][part] = "out"
    if parts:
        state["touched"][f"out {thing}"] = order
    if thing in pack["units"]:
        _disturb(pack, state, [part for part in parts if _on_boundary(pack, part, parts)])
    else:
        _disturb(pack, state, parts)
        _drop_treatment(state, parts)


def _on_boundary(pack: Pack, part: str, unit: Collection[str]) -> bool:
    """True if a joint holds the part to something outside the unit; what is held inside leaves undisturbed."""
    return any(part in joint["joins"] and not set(joint["joins"]) <= set(unit) for joint in pack["joints"].values())


def _hang(pack: Pack, state: BenchState, action: Action) -> None:
    order = next_order(state)
    for part in parts_of(pack, action["object"]):
        state["parts"][part] = "aside"
        state["touched"][f"aside {part}"] = order


def _fit(pack: Pack, state: BenchState, action: Action) -> None:
    parts = parts_of(pack, action["object"])
    missing = _taken_out_of(state, action["object"], parts) if action["object"] in pack["units"] else []
    for part in parts:
        if part not in missing:
            state["parts"].pop(part, None)


def _taken_out_of(state: BenchState, unit: str, parts: Collection[str]) -> list[str]:
    """Parts that are off but did not leave with the unit that is off as one: each must be fitted itself."""
    left = state["touched"].get(f"out {unit}")
    since = {part: state["touched"].get(f"out {part}", 0) for part in parts if state["parts"].get(part) == "out"}
    if left is None or left not in since.values():
        return []
    return [part for part, order in since.items() if order != left]


def _renew(pack: Pack, state: BenchState, action: Action) -> None:
    thing = action["object"]
    if thing not in pack["parts"] and thing not in pack["joints"]:
        return
    state["renewed"] = sorted({*state["renewed"], thing})
    state["disturbed"] = [item for item in state["disturbed"] if item != thing]
    state["touched"][f"renewed {thing}"] = next_order(state)
    _drop_treatment(state, [thing])


def _clean(pack: Pack, state: BenchState, action: Action) -> None:
    _drop_treatment(state, [action["object"]])


def _apply(pack: Pack, state: BenchState, action: Action) -> None:
    to = action.get("to", "")
    if to in pack["parts"] or to in pack["joints"]:
        state["treated"] = sorted([*(pair for pair in state["treated"] if pair != [action["object"], to]),
                                   [action["object"], to]])


def _drain(pack: Pack, state: BenchState, action: Action) -> None:
    if action["object"] in pack["fluids"]:
        state["fluids"][action["object"]] = "drained"
        state["touched"][f"drained {action['object']}"] = next_order(state)


def _fill(pack: Pack, state: BenchState, action: Action) -> None:
    if action["object"] in pack["fluids"]:
        state["fluids"][action["object"]] = "filled"


def _check(pack: Pack, state: BenchState, action: Action) -> None:
    check = action["object"]
    if check not in pack["checks"]:
        return
    state["checks"][check] = next_order(state)
    fluid = pack["checks"][check].get("fluid")
    if action["verb"] == "level" and fluid and state["fluids"].get(fluid) == "filled":
        del state["fluids"][fluid]


def _set(pack: Pack, state: BenchState, action: Action) -> None:
    setting = action["object"]
    if setting in pack["settings"]:
        _differing(state["settings"], setting, action["value"], start_setting(pack, setting))


def _pose(pack: Pack, state: BenchState, action: Action) -> None:
    family = pose_family(pack, action["object"])
    if family is not None:
        _differing(state["poses"], family, action["object"], start_pose(pack, family))


def _differing(table: dict[str, str], key: str, value: str, start: str | None) -> None:
    if value == start:
        table.pop(key, None)
    else:
        table[key] = value


def _aid_on(pack: Pack, state: BenchState, action: Action) -> None:
    if action["object"] in pack["aids"]:
        state["aids"] = sorted({*state["aids"], action["object"]})


def _aid_off(pack: Pack, state: BenchState, action: Action) -> None:
    state["aids"] = [aid for aid in state["aids"] if aid != action["object"]]


def _disturb(pack: Pack, state: BenchState, things: Iterable[str]) -> None:
    state["disturbed"] = sorted({*state["disturbed"], *(thing for thing in things if is_single_use(pack, thing))})


def _drop_treatment(state: BenchState, things: Collection[str]) -> None:
    state["treated"] = [pair for pair in state["treated"] if pair[1] not in things]


_Effect = Callable[[Pack, BenchState, Action], None]
# what each verb does, and the tables that it changes in place: lists are always made anew. Verbs that change nothing are
# missing here: inspect, wait, photograph, note
_EFFECTS: dict[str, tuple[_Effect, tuple[str, ...]]] = {
    "undo": (_undo, ("joints", "stages", "touched")), "slacken": (_slacken, ("joints", "stages", "touched")),
    "start": (_start, ("joints", "stages")), "tighten": (_tighten, ("joints", "stages")),
    "remove": (_remove, ("parts", "touched")), "hang": (_hang, ("parts", "touched")), "fit": (_fit, ("parts",)),
    "renew": (_renew, ("touched",)), "clean": (_clean, ()), "apply": (_apply, ()),
    "drain": (_drain, ("fluids", "touched")), "fill": (_fill, ("fluids",)), "set": (_set, ("settings",)),
    "pose": (_pose, ("poses",)), "aid_on": (_aid_on, ()), "aid_off": (_aid_off, ()),
    **dict.fromkeys(CHECK_VERBS, (_check, ("checks", "fluids"))),
}
