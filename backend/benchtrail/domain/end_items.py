"""What is not as it must be at the end of a job; the ledger of joints; the tray of what is off the machine.

Knows the bench state and the pack for one variant; must not know who asks: checker and close-out use the same lists.
"""

from collections import Counter
from collections.abc import Iterator
from typing import Any, TypedDict

from benchtrail.domain.bench_state import BenchState, Pack, pose_family, start_pose, start_setting

CODES = ("joint_not_made", "joint_not_final", "part_not_on", "fluid_not_filled", "level_not_checked", "aid_left",
         "pose_not_restored", "setting_not_restored", "single_use_reused", "follow_on_missing")
BLOCK = "BLOCK"
ERROR = "ERROR"
NORMAL = "normal"


class EndItem(TypedDict):
    """One thing that stands in the way of closing: `object` is its id, `severity` BLOCK (may injure) or ERROR."""

    code: str
    object: str
    safety: str
    severity: str


def end_items(pack: Pack, state: BenchState) -> list[EndItem]:
    """What is not as it must be at the end, BLOCK first, then by kind and id; empty when the job may be closed.

    Severity is BLOCK for anything with a safety class, an unfilled or unchecked fluid, and an aid that locks a control.
    Source: check group E of the project's planning model (our derivation, see vectors end-items).
    """
    finders = (_joints, _parts, _fluids, _aids, _poses, _settings, _reused, _follow_ons)
    found = [item for find in finders for item in find(pack, state)]
    return sorted(found, key=lambda item: (item["severity"] != BLOCK, CODES.index(item["code"]), item["object"]))


def ledger(pack: Pack, state: BenchState) -> list[dict[str, Any]]:
    """The joints touched, in the order of their last touch: state `final` or as in the bench state, name, fasteners."""
    order = {key.removeprefix("undone "): n for key, n in state["touched"].items() if key.startswith("undone ")}
    joints = sorted({*order, *state["joints"]}, key=lambda joint: (order.get(joint, 0), joint))
    return [_ledger_row(pack, state, joint) for joint in joints]


def _ledger_row(pack: Pack, state: BenchState, joint: str) -> dict[str, Any]:
    entry = pack["joints"][joint]
    return {"joint": joint, "state": state["joints"].get(joint, "final"), "name": entry["name"],
            "count": len(entry["positions"]), "figure": entry["figure"], "safety": entry["safety"]}


def tray(pack: Pack, state: BenchState) -> dict[str, list[dict[str, Any]]]:
    """Parts that are out or aside and fasteners that are off, in the order they came off; `renew`: not to go back."""
    parts = sorted(state["parts"], key=lambda part: (_off_since(state, part), part))
    undone = sorted((joint for joint, value in state["joints"].items() if value == "undone"),
                    key=lambda joint: (state["touched"].get(f"undone {joint}", 0), joint))
    return {"parts": [_part_row(pack, state, part) for part in parts],
            "fasteners": [_fastener_row(pack, state, joint) for joint in undone if _lies_loose(pack, state, joint)]}


def _off_since(state: BenchState, part: str) -> int:
    return state["touched"].get(f"{state['parts'][part]} {part}", 0)


def _part_row(pack: Pack, state: BenchState, part: str) -> dict[str, Any]:
    entry = pack["parts"][part]
    return {"part": part, "name": entry["name"], "count": entry["count"], "place": state["parts"][part],
            "renew": part in state["disturbed"]}


def _fastener_row(pack: Pack, state: BenchState, joint: str) -> dict[str, Any]:
    entry = pack["joints"][joint]
    counted = Counter(position["length_mm"] for position in entry["positions"])
    lengths = [{"length_mm": mm, "count": counted[mm]} for mm in sorted(counted, key=lambda mm: (mm is None, mm or 0))]
    return {"joint": joint, "name": entry["name"], "count": len(entry["positions"]), "lengths": lengths,
            "renew": joint in state["disturbed"]}


def _lies_loose(pack: Pack, state: BenchState, joint: str) -> bool:
    """True if the fasteners come off as pieces: screws and pins; a clip only while nothing that it joins is off."""
    kind = pack["joints"][joint]["kind"]
    if kind == "clip":
        return not any(part in state["parts"] for part in pack["joints"][joint]["joins"])
    return kind in ("threaded", "pin")


def _item(code: str, thing: str, safety: str = NORMAL, block: bool = False) -> EndItem:
    return {"code": code, "object": thing, "safety": safety, "severity": BLOCK if block or safety != NORMAL else ERROR}


def _joints(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    for joint, value in state["joints"].items():
        code = "joint_not_made" if value == "undone" else "joint_not_final"
        yield _item(code, joint, pack["joints"][joint]["safety"])


def _parts(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    for part in state["parts"]:
        yield _item("part_not_on", part, pack["parts"][part]["safety"])


def _fluids(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    for fluid, value in state["fluids"].items():
        code = "fluid_not_filled" if value == "drained" else "level_not_checked"
        yield _item(code, fluid, fluid_safety(pack, fluid), block=True)


def fluid_safety(pack: Pack, fluid: str) -> str:
    """The safety class of a fluid: that of the joints by which it is drained and filled."""
    joints = (pack["joints"].get(pack["fluids"][fluid].get(way)) for way in ("drain", "fill"))
    return next((joint["safety"] for joint in joints if joint and joint["safety"] != NORMAL), NORMAL)


def _aids(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    for aid in state["aids"]:
        yield _item("aid_left", aid, block=bool(pack["aids"][aid].get("control")))


def _poses(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    """The pose of each family must be one that `ends` names, else that of the start; `object` is the pose wanted."""
    wanted = [literal[1] for literal in pack["ends"] if literal[0] == "pose"]
    families = {family for pose in wanted if (family := pose_family(pack, pose))} | set(state["poses"])
    for family in families:
        start = start_pose(pack, family)
        allowed = [pose for pose in wanted if pose_family(pack, pose) == family] or ([start] if start else [])
        if allowed and state["poses"].get(family, start) not in allowed:
            yield _item("pose_not_restored", allowed[0])


def _settings(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    ends = {literal[1]: literal[2] for literal in pack["ends"] if literal[0] == "set"}
    for setting in {*state["settings"], *(key for key in ends if key in pack["settings"])}:
        start = start_setting(pack, setting)
        if state["settings"].get(setting, start) != ends.get(setting, start):
            yield _item("setting_not_restored", setting)


def _reused(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    """Single-use items opened, not renewed, and in use again; while they are off or open another item says so."""
    for thing in state["disturbed"]:
        if thing in pack["joints"]:
            if state["joints"].get(thing) != "undone":
                yield _item("single_use_reused", thing, pack["joints"][thing]["safety"])
        elif thing not in state["parts"] and not _opened(pack, state, thing):
            yield _item("single_use_reused", thing, pack["parts"][thing]["safety"])


def _opened(pack: Pack, state: BenchState, part: str) -> bool:
    return any(value == "undone" and part in pack["joints"][joint]["joins"] for joint, value in state["joints"].items())


def _follow_ons(pack: Pack, state: BenchState) -> Iterator[EndItem]:
    for key, rule in pack["follow_ons"].items():
        last = max((_last(state, literal) for literal in rule["after"]), default=0)
        if last and any(state["checks"].get(check, 0) < last for check in rule["needs"]):
            yield _item("follow_on_missing", key, rule.get("safety") or NORMAL)


def _last(state: BenchState, literal: list[str]) -> int:
    """The order number of the last time the literal came about; 0 for never. Slackening counts as undoing."""
    if literal[0] == "done":
        return state["checks"].get(literal[1], 0)
    return state["touched"].get(f"{literal[0]} {literal[1]}", 0)
