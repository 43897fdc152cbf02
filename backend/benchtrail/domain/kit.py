"""What can be done of a procedure with the tools one carries, what replaces what, and whether to ride home after it.

Knows kinds and sizes of tools and which joints are safety joints; a substitute is never allowed to decide a safety
joint.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.answer import PRACTICE, Answer, Note, Value
from benchtrail.domain.bounds import bounded, chosen, record_field, several

_VERDICTS = ("own", "substitute", "refused", "missing")
_JOINT_VERBS = {"undo", "slacken", "start", "tighten"}
# needed kind, carried kind → the substitute's code, whether sizes must agree
_SUBSTITUTES = {
    ("socket", "spanner"): ("spanner_for_socket", True), ("spanner", "socket"): ("socket_for_spanner", True),
    ("socket", "adjustable"): ("adjustable_spanner", False), ("spanner", "adjustable"): ("adjustable_spanner", False),
    ("pliers", "multi_tool"): ("multi_tool", False), ("screwdriver", "multi_tool"): ("multi_tool", False),
    ("pliers", "pliers"): ("same_kind", False), ("screwdriver", "screwdriver"): ("same_kind", False),
    ("torque_wrench", "weight"): ("torque_by_lever", False), ("torque_wrench", "scale"): ("torque_by_lever", False),
}
_NEVER_ON_SAFETY = {"adjustable_spanner", "torque_by_lever", "multi_tool"}
# only a plain tool is told by its kind and size: an adapter, a plug socket, a long socket is the tool itself or none
_PLAIN = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?mm (?:(?:ring|open|flat) )?(?:socket|spanner|hex bit|hex key|screwdriver)$")
_TORQUE = "torque wrench"
_RIDE = ("ride", "slow", "do_not_ride")
_SLOW_STATES = {"by_lever", "not_final", "single_use_reused"}
_CONCERNS = {name: name for name in (*sorted(_SLOW_STATES), "undone", "fluid_low")}
_SAFETY = {name: name for name in ("normal", "brakes", "steering", "fuel", "wheels", "throttle", "lifting")}


@dataclass(frozen=True)
class _Item:
    tool: str | None
    kind: str | None
    size_mm: float | None
    low_nm: float
    high_nm: float


def kit_check(*, pack: Mapping[str, Any], kit: Sequence[Mapping[str, object]]) -> Answer:
    """For every step of a procedure: done with one's own tools, with a substitute, refused, or tools missing.

    Rule: a joint needs one of its tools, a step all of its own, a final torque a wrench that covers it. Sizes must
    agree, and only a plain tool is told by kind and size; an adjustable spanner, a multi-tool or a torque by lever is
    refused for tightening a safety joint. `pack` a procedure
    pack already filtered to the variant; `kit` up to 100 of `tool` (an id of the pack) or `kind` with `size_mm`,
    `low_nm`, `high_nm`. Returns `can_do`, `rows` (`step`, `verdict`, `needs`: `tool`, `verdict`, `by`), `missing`
    tools, `check_at_home` joints. Raises as `bounded`, `several`.
    Source: common practice, no source. Stops being true for seized fasteners and for tools that do not reach.
    """
    items = [_item(entry) for entry in several(kit, "carried tools", 0, 100)]
    rows = [_step_row(pack, step, items) for step in pack["steps"]]
    needs = [need for row in rows for need in row["needs"]]
    missing: list[Value] = sorted({need["tool"] for need in needs if need["verdict"] in {"missing", "refused"}})
    home: list[Value] = sorted({need["joint"] for need in needs if need["by"] == "torque_by_lever"
                                and need["verdict"] == "substitute"})
    can_do = all(row["verdict"] in {"own", "substitute"} for row in rows)
    values: dict[str, Value] = {"can_do": can_do, "rows": list(rows), "missing": missing, "check_at_home": home}
    notes = (Note("check_at_home_joints", {"joints": home}),) if home else ()
    working = Note("kit_check", {"steps": len(rows), "able": sum(r["verdict"] in {"own", "substitute"} for r in rows)})
    return Answer(values, working, (PRACTICE,), (Note("fastener_seized"), Note("tool_must_reach")), notes)


def _item(entry: object) -> _Item:
    def text(name: str) -> str | None:
        value = record_field(entry, name, "carried tool")
        return None if value is None else str(value)

    def number(name: str, unit: str, missing: float | None) -> float | None:
        value = record_field(entry, name, "carried tool")
        return missing if value is None else bounded(value, "size of a carried tool", unit, 0, 20_000)
    return _Item(text("tool"), text("kind"), number("size_mm", "mm", None), number("low_nm", "N·m", 0.0) or 0.0,
                 number("high_nm", "N·m", 0.0) or 0.0)


def _step_row(pack: Mapping[str, Any], step: Mapping[str, Any], items: list[_Item]) -> dict[str, Any]:
    joints = [need for action in step["do"] if action["verb"] in _JOINT_VERBS and action["object"] in pack["joints"]
              for need in _joint_needs(pack, step, action, items)]
    # a torque wrench that the step names beside a figure: the figure asks for it already
    asked = any(need["tool"] == _TORQUE for need in joints)
    own = [tool for tool in step["tools"] if not (asked and _kind_and_size(pack, tool)[0] == "torque_wrench")]
    needs = [*(_need(pack, tool, "normal", "undo", None, None, items) for tool in own), *joints]
    worst = max((need["verdict"] for need in needs), key=_VERDICTS.index, default="own")
    return {"step": step["id"], "verdict": worst, "needs": needs}


def _joint_needs(pack: Mapping[str, Any], step: Mapping[str, Any], action: Mapping[str, Any],
                 items: list[_Item]) -> list[dict[str, Any]]:
    """The turning tool of a joint, best of those that fit, and the torque wrench of a figure."""
    name, joint = action["object"], pack["joints"][action["object"]]
    options = [_need(pack, tool, joint["safety"], action["verb"], None, name, items) for tool in joint["tools"]]
    needs = [min(options, key=lambda need: _VERDICTS.index(need["verdict"]))] if options else []
    figure = pack["figures"].get(step["figure"] or joint["figure"]) if action["verb"] == "tighten" else None
    if figure is not None and figure["kind"] == "torque":
        torques = [value for value in (figure["value"], figure["low"], figure["high"]) if value is not None]
        if torques:
            needs.append(_need(pack, _TORQUE, joint["safety"], "tighten", max(torques), name, items))
    return needs


def _need(pack: Mapping[str, Any], tool: str, safety: str, verb: str, torque_nm: float | None, joint: str | None,
          items: list[_Item]) -> dict[str, Any]:
    """How one needed tool is met: by itself, by a substitute, by one that is refused here, or not at all."""
    kind, size = ("torque_wrench", None) if torque_nm is not None else _kind_and_size(pack, tool)
    need = {"tool": tool, "joint": joint}
    if kind == "none" or any(_is_own(item, tool, kind, size, torque_nm) for item in items):
        return {**need, "verdict": "own", "by": None}
    # without a torque to reach there is nothing that a lever could be set to
    no_torque = kind == "torque_wrench" and torque_nm is None
    found = [] if no_torque else [code for item in items if (code := _substitute(kind, size, item)) is not None]
    allowed = [code for code in found if not (verb == "tighten" and safety != "normal" and code in _NEVER_ON_SAFETY)]
    if allowed:
        return {**need, "verdict": "substitute", "by": allowed[0]}
    return {**need, "verdict": "refused", "by": found[0]} if found else {**need, "verdict": "missing", "by": None}


def _kind_and_size(pack: Mapping[str, Any], tool: str) -> tuple[str, float | None]:
    entry = pack["tools"].get(tool)
    if entry is None:
        return "unknown", None
    size = _PLAIN.match(entry["name"])
    return entry["kind"] or "unknown", float(size[1].replace(",", ".")) if size else None


def _is_own(item: _Item, tool: str, kind: str, size: float | None, torque_nm: float | None) -> bool:
    if torque_nm is not None:
        return item.kind == "torque_wrench" and item.low_nm <= torque_nm <= item.high_nm
    return item.tool == tool or (item.kind == kind and size is not None and item.size_mm == size)


def _substitute(kind: str, size: float | None, item: _Item) -> str | None:
    code, sized = _SUBSTITUTES.get((kind, item.kind or ""), (None, False))
    return code if not sized or (size is not None and item.size_mm == size) else None


def ride_home(*, concerns: Sequence[Mapping[str, object]]) -> Answer:
    """Whether to ride home after a repair on the trail: ride, slow with checks, or not at all, and why.

    Rule: anything open or low, and anything not as published on a safety joint, means not at all; by lever, not final
    or a reused single-use part elsewhere means slow, stopping soon to check. `concerns` up to 100 of `name`, `safety`
    (normal, brakes, steering, fuel, wheels, throttle, lifting), `state` (by_lever, not_final, single_use_reused,
    undone, fluid_low). Returns `verdict`, `reasons` (the concerns that decide). Raises `choice_unknown`, as
    `several`.
    Source: common practice, no source: no speed or distance is given, because none is published. Stops being true
    when anything not listed is wrong.
    """
    rows = []
    for concern in several(concerns, "concerns", 0, 100):
        safety = chosen(_SAFETY, record_field(concern, "safety", "concern"), "safety class")
        state = chosen(_CONCERNS, record_field(concern, "state", "concern"), "state")
        verdict = "slow" if safety == "normal" and state in _SLOW_STATES else "do_not_ride"
        rows.append({"name": str(record_field(concern, "name", "concern")), "safety": safety, "state": state,
                     "verdict": verdict})
    worst = max((row["verdict"] for row in rows), key=_RIDE.index, default="ride")
    reasons: list[Value] = [{key: row[key] for key in ("name", "safety", "state")} for row in rows
                            if row["verdict"] == worst]
    values: dict[str, Value] = {"verdict": worst, "reasons": reasons}
    notes = (Note("stop_soon_and_check"),) if worst == "slow" else (Note("get_it_carried"),) if worst != "ride" else ()
    working = Note("ride_home", {"verdict": worst, "count": len(reasons)})
    return Answer(values, working, (PRACTICE,), (Note("only_what_is_listed"),), notes)
