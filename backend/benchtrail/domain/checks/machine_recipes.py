"""M4, M5, M6, M8, D13: every joint can be made again, every figure says where it comes from and can be believed,
every fluid can be drained, filled and checked.

Knows the objects of a map, or of a procedure without one; nothing of steps.
"""

from collections.abc import Mapping
from typing import Any

from benchtrail.domain.checks.subject import Gathered, Machine
from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.plausible import plausible_torque
from benchtrail.domain.refused import Refused

ERROR, WARNING = Severity.ERROR, Severity.WARNING
NORMAL = "normal"
# a figure of another map for the same thread and id that differs by more than this asks for a look at both
MOST_DIFFERENCE = 0.20


def check_rebuild_recipe(machine: Machine) -> list[Finding]:
    """M4: a joint that can be undone and nothing says how tight it is made again; E. With a safety class and only words
    for it, in a map: W."""
    found = machine.gather()
    for key, joint in machine.tables["joints"].items():
        if machine.is_broken("joints", key):
            continue
        staged = all(stage.get("figure") or stage.get("angle_deg") for stage in joint["stages"])
        if not joint["figure"] and not joint["hand"] and not staged:
            found.add("M4", ERROR, "joint_without_recipe", machine.where("joints", key), object=machine.name(key))
        elif machine.model and not joint["figure"] and not staged and joint["kind"] == "threaded" \
                and joint["safety"] != NORMAL:
            found.add("M4", WARNING, "safety_joint_by_hand", machine.where("joints", key, "hand"),
                      object=machine.name(key), safety=joint["safety"])
        if any(stage.get("share") for stage in joint["stages"]) and joint["hand"] and len(joint["stages"]) > 1 \
                and not joint["figure"]:
            found.add("M4", ERROR, "share_without_figure", machine.where("joints", key, "stages"),
                      object=machine.name(key))
    return found.findings()


def check_provenance(machine: Machine) -> list[Finding]:
    """M5: a figure without its condition or its source; E with a safety class, else W. (A missing unit is found when
    the figure is read.)"""
    found = machine.gather()
    for key, figure in machine.tables["figures"].items():
        if machine.is_broken("figures", key):
            continue
        severity = WARNING if figure["safety"] == NORMAL else ERROR
        for field, code in (("condition", "figure_without_condition"), ("source", "figure_without_source")):
            if not figure[field]:
                found.add("M5", severity, code, machine.where("figures", key), figure=key,
                          written=figure["as_published"])
    return found.findings()


def check_plausible_torque(machine: Machine) -> list[Finding]:
    """M6: a torque that no bolt of the joint's thread bears, or that hardly holds it. Covers and drain plugs are
    rightly low, so low alone is no finding."""
    found = machine.gather()
    for key, joint in machine.tables["joints"].items():
        figure = machine.tables["figures"].get(joint["figure"] or "")
        if joint["thread"] is None or joint["kind"] != "threaded":
            continue
        try:
            verdict = _verdict(figure, joint["thread"]) if figure and figure["kind"] == "torque" else None
        except Refused as refusal:
            found.add("M6", WARNING, "thread_not_usable", machine.where("joints", key, "thread"),
                      object=machine.name(key), thread=joint["thread"], reason=_REASONS.get(refusal.code, "unreadable"))
            continue
        if verdict is not None and figure is not None:
            found.add("M6", WARNING, verdict[0], machine.where("figures", joint["figure"]),
                      figure=joint["figure"], written=figure["as_published"], thread=joint["thread"],
                      object=machine.name(key), usual=verdict[1], maybe=verdict[2])
    return found.findings()


_REASONS = {"pitch_missing": "the pitch is missing, as in M8x1.25", "pitch_impossible": "no thread has that pitch"}


def _verdict(figure: Mapping[str, Any], thread: str) -> tuple[str, str, str] | None:
    """The code, the usual band and what else the digits may mean; None when the torque can be believed."""
    target = figure["value"] if figure["value"] is not None else figure["high"]
    if target is None or not target > 0:
        return None
    answer = plausible_torque(value=target, unit="N·m", thread=thread, grade="8.8")
    verdict = str(answer.values["verdict"])
    if verdict not in ("impossible", "high", "very_low"):
        return None
    usual = f"{answer.values['usual_low_nm']:.1f} to {answer.values['usual_high_nm']:.1f} N·m"
    readings = answer.values["candidates"]
    rows = readings if isinstance(readings, list) else []
    maybe = ", ".join(f"{row['value']:g} {row['unit']}" for row in rows if isinstance(row, dict))
    code = "torque_too_low" if verdict == "very_low" else "torque_too_high"
    return code, usual, maybe or "none of the usual slips explains it"


def check_figures_agree(machine: Machine, others: list[Machine]) -> list[Finding]:
    """M6: the same figure of another map, for the same thread, differs by more than a fifth."""
    found = machine.gather()
    for key, value, thread in _torques(machine):
        for other in others:
            for twin, known, same in _torques(other):
                if twin == key and same == thread and abs(value - known) > MOST_DIFFERENCE * max(value, known):
                    name = other.model["name"] if other.model else other.notes.file
                    found.add("M6", WARNING, "figure_differs_between_maps", machine.where("figures", key), figure=key,
                              thread=thread, value=f"{value:g} N·m", other=f"{known:g} N·m", model=name)
    return found.findings()


def _torques(machine: Machine) -> list[tuple[str, float, str]]:
    """(figure, N·m, thread) of every threaded joint with a figure."""
    figures = machine.tables["figures"]
    rows = {(joint["figure"], figures[joint["figure"]]["value"], joint["thread"])
            for joint in machine.tables["joints"].values()
            if joint["thread"] and joint["figure"] in figures and figures[joint["figure"]]["value"]}
    return sorted(rows)


def check_fluids(machine: Machine) -> list[Finding]:
    """M8: a fluid of which something is missing that draining, filling or checking it needs. Without a model the
    amounts stand in the machine's own manual."""
    found = machine.gather()
    for key, fluid in machine.tables["fluids"].items():
        if machine.is_broken("fluids", key):
            continue
        needed = ["specification", "fill", "drain", "level", *(["capacity_ml"] if machine.model else [])]
        missing = [_FLUID_WORDS[name] for name in needed if fluid[name] is None]
        checks = machine.tables["checks"].values()
        if not any(check["kind"] == "level" and check["fluid"] == key for check in checks):
            missing.append("a check of the kind level (in checks)")
        if missing:
            found.add("M8", ERROR, "fluid_incomplete", machine.where("fluids", key), object=machine.name(key),
                      missing=", ".join(missing))
    return found.findings()


_FLUID_WORDS = {"specification": "specification", "fill": "fill (the joint it is filled by)",
                "drain": "drain (the joint it is drained by)", "level": "level (where it must stand)",
                "capacity_ml": "capacity_ml"}


def check_positions(machine: Machine) -> list[Finding]:
    """M8: fasteners that cannot be told apart: two at one place, or lengths given for some only; and an order or a
    range of a torque wrench that does not fit."""
    found = machine.gather()
    for key, joint in machine.tables["joints"].items():
        if not machine.is_broken("joints", key):
            _note_positions(machine, found, key, joint)
    for key, tool in machine.tables["tools"].items():
        if tool["low_nm"] is not None and tool["high_nm"] is not None and tool["low_nm"] >= tool["high_nm"]:
            found.add("M8", ERROR, "tool_range_empty", machine.where("tools", key, "low_nm"), object=machine.name(key))
    return found.findings()


def _note_positions(machine: Machine, found: Gathered, key: str, joint: Mapping[str, Any]) -> None:
    positions = joint["positions"]
    places = [tuple(position["at"]) for position in positions]
    lengths = [position["length_mm"] for position in positions]
    where = machine.where("joints", key, "positions")
    if len(set(places)) < len(places):
        found.add("M8", ERROR, "positions_coincide", where, object=machine.name(key))
    if None in lengths and any(length is not None for length in lengths):
        found.add("M8", ERROR, "lengths_incomplete", where, object=machine.name(key))
    order = joint["order"]
    if (joint["pattern"] == "listed") != (order is not None) or (
            order is not None and sorted(order) != list(range(1, len(positions) + 1))):
        found.add("M8", ERROR, "order_unfit", machine.where("joints", key, "order", "pattern"),
                  object=machine.name(key), count=len(positions))
    shares = [stage["share"] for stage in joint["stages"] if "share" in stage]
    last = joint["stages"][-1]
    if shares != sorted(set(shares)) or last.get("share", 100) != 100:
        found.add("M4", ERROR, "stages_unfit", machine.where("joints", key, "stages"), object=machine.name(key))
