"""Single faults put into the steps of a clean procedure, as a tired author would make them. Knows steps; no checker.

A mutant is a new list of steps and the step at which the fault stands. Each operator yields every mutant it can make.
STATE operators change what is done: whether that is a fault at all is asked of the machine's model (machine_model.py),
for two steps that have nothing to do with each other may well be swapped. The others are always faults.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from copy import deepcopy
from typing import Any

Steps = list[dict[str, Any]]
Mutants = Iterator[tuple[str, Steps]]
Operator = Callable[[Steps, dict[str, Any]], Mutants]

CHECKING = ("measure", "adjust", "test", "run", "bleed", "level")
# what changes the machine, or proves that it is as it must be; looking and cleaning leave no trace in the model
ACTS = ("undo", "slacken", "remove", "hang", "drain", "fit", "start", "tighten", "fill", "renew", "set", "pose", "aid_on")
AMOUNT = re.compile(r"\b(\d+) ml\b")
TIME = re.compile(r"\b(one|two|three|four|five|eight|ten|\d+) (minutes?)\b")
LENGTH = re.compile(r"\b(\d+) mm\b(?! (?:\w+ )?(?:socket|spanner|key|bit))")


# --- deleted, doubled, swapped -------------------------------------------------------------------------------------

def without_act(verbs: Iterable[str]) -> Operator:
    """Leaves out one act; the step goes with it when it had no other."""
    def operator(steps: Steps, pack: dict[str, Any]) -> Mutants:
        for at, step in enumerate(steps):
            for n, action in enumerate(step["do"]):
                if action["verb"] in verbs:
                    yield step["id"], _without(steps, at, n)
    return operator


def _without(steps: Steps, at: int, n: int) -> Steps:
    step = steps[at]
    rest = [other for k, other in enumerate(step["do"]) if k != n]
    return [*steps[:at], *([{**step, "do": rest}] if rest else []), *steps[at + 1:]]


def follow_on_dropped(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """Leaves out a check that a follow-on asks for."""
    needed = {check for rule in pack["follow_ons"].values() for check in rule["needs"]}
    for at, step in enumerate(steps):
        for n, action in enumerate(step["do"]):
            if action["verb"] in CHECKING and action["object"] in needed:
                yield step["id"], _without(steps, at, n)


def step_deleted(steps: Steps, pack: dict[str, Any]) -> Mutants:
    for at, step in enumerate(steps):
        yield step["id"], [*steps[:at], *steps[at + 1:]]


def step_doubled(steps: Steps, pack: dict[str, Any]) -> Mutants:
    for at, step in enumerate(steps):
        again = {**deepcopy(step), "id": step["id"] + "-again"}
        yield again["id"], [*steps[: at + 1], again, *steps[at + 1:]]


def steps_swapped(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """Two neighbours of the same machines."""
    for at in range(len(steps) - 1):
        if steps[at]["when"] == steps[at + 1]["when"]:
            yield steps[at + 1]["id"], [*steps[:at], steps[at + 1], steps[at], *steps[at + 2:]]


def step_late(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A step moved three places down."""
    for at in range(len(steps) - 3):
        yield steps[at]["id"], [*steps[:at], *steps[at + 1: at + 4], steps[at], *steps[at + 4:]]


# --- another object, amount, figure, tool --------------------------------------------------------------------------

def _changed(steps: Steps, verbs: tuple[str, ...], changes: Callable[[dict[str, Any]], list[dict[str, Any]]]) -> Mutants:
    for at, step in enumerate(steps):
        for n, action in enumerate(step["do"]):
            if action["verb"] in verbs:
                for other in changes(action):
                    done = [other if k == n else kept for k, kept in enumerate(step["do"])]
                    yield step["id"], [*steps[:at], {**step, "do": done}, *steps[at + 1:]]


def wrong_fluid(steps: Steps, pack: dict[str, Any]) -> Mutants:
    fluids = sorted(pack["fluids"])
    yield from _changed(steps, ("fill", "drain"), lambda action: [
        {**action, "object": other} for other in fluids if other != action["object"]])


def wrong_pose(steps: Steps, pack: dict[str, Any]) -> Mutants:
    poses = pack["poses"]
    def changes(action: dict[str, Any]) -> list[dict[str, Any]]:
        family = poses[action["object"]]["family"] if action["object"] in poses else None
        return [{**action, "object": key} for key, pose in sorted(poses.items())
                if pose["family"] == family and key != action["object"]]
    yield from _changed(steps, ("pose",), changes)


def wrong_setting(steps: Steps, pack: dict[str, Any]) -> Mutants:
    yield from _changed(steps, ("set",), lambda action: [
        {**action, "value": value} for value in pack["settings"].get(action["object"], {}).get("values", [])
        if value != action.get("value")])


def wrong_joint(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The tightening of one joint written for another that the procedure also undoes."""
    touched = sorted({action["object"] for step in steps for action in step["do"] if action["verb"] == "undo"})
    yield from _changed(steps, ("tighten",), lambda action: [
        {**action, "object": other} for other in touched if other != action["object"]][:2])


def wrong_part(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The fitting of one part written for another that the procedure also takes off."""
    taken = sorted({action["object"] for step in steps for action in step["do"] if action["verb"] == "remove"})
    yield from _changed(steps, ("fit",), lambda action: [{**action, "object": other} for other in taken if other != action["object"]][:2])


def wrong_supply(steps: Steps, pack: dict[str, Any]) -> Mutants:
    kinds = {key: supply["kind"] for key, supply in pack["supplies"].items()}
    yield from _changed(steps, ("apply",), lambda action: [
        {**action, "object": other} for other in sorted(kinds) if kinds[other] != kinds.get(action["object"])
        and kinds[other] in ("oil", "grease", "locker", "sealant")][:2])


def treatment_elsewhere(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """What belongs on one thing is put on another that the procedure fits or tightens."""
    others = sorted({action["object"] for step in steps for action in step["do"] if action["verb"] in ("fit", "tighten")
                     and action["object"] not in pack["units"]})
    supplies = {key for key, supply in pack["supplies"].items() if supply["kind"] in ("oil", "grease", "locker", "sealant")}
    yield from _changed(steps, ("apply",), lambda action: [
        {**action, "to": other} for other in others if other != action["to"]][:2] if action["object"] in supplies else [])


def wrong_amount(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The value of an amount or a wait, in what is done or in its words."""
    def changes(action: dict[str, Any]) -> list[dict[str, Any]]:
        if action["verb"] == "wait":
            return [{**action, "minutes": action["minutes"] * factor} for factor in (0.2, 3)]
        fluid = pack["fluids"].get(action["object"], {})
        amount = action.get("amount_ml") or fluid.get("refill_ml") or fluid.get("capacity_ml")
        return [{**action, "amount_ml": round(amount * factor)} for factor in (0.5, 1.5)] if amount else []
    yield from (mutant for mutant in _changed(steps, ("fill", "wait"), changes) if _tells_time_or_amount(mutant))
    yield from _reworded(steps, "say", AMOUNT, ("fill",), lambda match: f"{int(match[1]) * 2} ml")
    yield from _reworded(steps, "say", TIME, ("wait",), lambda match: f"25 {match[2]}")


def _tells_time_or_amount(mutant: tuple[str, Steps]) -> bool:
    """A wait that neither words nor anything else holds to a time is not wrong at any other length."""
    step = next(step for step in mutant[1] if step["id"] == mutant[0])
    return any(action["verb"] == "fill" for action in step["do"]) or bool(TIME.search(step["say"]))


def wrong_unit(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """Litres for millilitres, hours for minutes, in what is done or in its words."""
    yield from _changed(steps, ("fill",), lambda action: [
        {**action, "amount_ml": action["amount_ml"] * 1000}] if "amount_ml" in action else [])
    yield from (mutant for mutant in _changed(steps, ("wait",), lambda action: [{**action, "minutes": action["minutes"] * 60}])
                if _tells_time_or_amount(mutant))
    yield from _reworded(steps, "say", AMOUNT, ("fill",), lambda match: f"{match[1]} l")
    yield from _reworded(steps, "say", TIME, ("wait",), lambda match: f"{match[1]} {match[2].replace('minute', 'hour')}")


def wrong_length(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A fastener's length in words: that of another position, or ten millimetres more."""
    for at, step in enumerate(steps):
        joints = [pack["joints"][action["object"]] for action in step["do"] if action["object"] in pack["joints"]]
        lengths = sorted({position["length_mm"] for joint in joints for position in joint["positions"] if position["length_mm"]})
        for name in ("say", "detail"):
            for match in LENGTH.finditer(step[name] or ""):
                if int(match[1]) in lengths:
                    others = [*(int(length) for length in lengths if length != int(match[1])), int(match[1]) + 10]
                    for other in others:
                        words = step[name][: match.start()] + f"{other} mm" + step[name][match.end():]
                        yield step["id"], [*steps[:at], {**step, name: words}, *steps[at + 1:]]


def _reworded(steps: Steps, name: str, pattern: re.Pattern[str], verbs: tuple[str, ...], new: Callable[[re.Match[str]], str]) -> Mutants:
    for at, step in enumerate(steps):
        match = pattern.search(step[name] or "") if any(action["verb"] in verbs for action in step["do"]) else None
        if match:
            words = step[name][: match.start()] + new(match) + step[name][match.end():]
            yield step["id"], [*steps[:at], {**step, name: words}, *steps[at + 1:]]


def wrong_figure(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A tightening with the figure of another joint, more than a fifth away from its own."""
    figures = {key: entry["value"] for key, entry in pack["figures"].items() if entry["kind"] == "torque" and entry["value"]}
    for at, step in enumerate(steps):
        joint = next((pack["joints"].get(a["object"]) for a in step["do"] if a["verb"] == "tighten"), None)
        own = figures.get(joint["figure"]) if joint else None
        others = [key for key, value in sorted(figures.items()) if own and abs(value / own - 1) > 0.2]
        for other in others[:2]:
            yield step["id"], [*steps[:at], {**step, "figure": other}, *steps[at + 1:]]


def wrong_limit(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A reading held to the limit of something else, or to one limit too few."""
    for at, step in enumerate(steps):
        limits = step["limits"]
        for name in ("at_least", "at_most"):
            own = pack["figures"].get((limits or {}).get(name) or "")
            if own is None:
                continue
            others = [key for key, figure in sorted(pack["figures"].items()) if figure["kind"] == own["kind"] and figure["value"]
                      and own["value"] and abs(figure["value"] / own["value"] - 1) > 0.2]
            for other in others[:2]:
                yield step["id"], [*steps[:at], {**step, "limits": {**limits, name: other}}, *steps[at + 1:]]
            if limits["at_least"] and limits["at_most"]:
                yield step["id"], [*steps[:at], {**step, "limits": {**limits, name: None}}, *steps[at + 1:]]


def wrong_tool(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The torque wrench of a tightening left out or of another range; the instrument of a measurement left out or another."""
    wrenches = {key: tool for key, tool in pack["tools"].items() if tool["kind"] == "torque_wrench"}
    gauges = sorted(key for key, tool in pack["tools"].items() if tool["kind"] == "measure")
    for at, step in enumerate(steps):
        for name in step["tools"]:
            rest = [tool for tool in step["tools"] if tool != name]
            if name in wrenches and any(action["verb"] == "tighten" for action in step["do"]):
                low, high = wrenches[name]["low_nm"], wrenches[name]["high_nm"]
                others = [key for key, tool in sorted(wrenches.items()) if tool["low_nm"] > high or tool["high_nm"] < low]
            elif name in gauges and any(action["verb"] == "measure" for action in step["do"]):
                checks = [pack["checks"].get(action["object"], {}) for action in step["do"] if action["verb"] == "measure"]
                if any(name not in (check.get("tools") or [name]) for check in checks) or len(rest) > 0:
                    continue
                others = [key for key in gauges if all(key not in (check.get("tools") or [key]) for check in checks)][:1]
            else:
                continue
            for tools in ([*rest, *([other] if other else [])] for other in (None, *others)):
                yield step["id"], [*steps[:at], {**step, "tools": tools}, *steps[at + 1:]]


# --- messages and machines -----------------------------------------------------------------------------------------

def note_dropped(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The message of a hazard taken out, at its step and at the one before."""
    for at, step, key in _warned(steps, pack):
        before = [_silenced(steps[at - 1], key)] if at else []
        yield step["id"], [*steps[:max(0, at - 1)], *before, _silenced(step, key), *steps[at + 1:]]


def note_after_act(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The message of a hazard moved behind its step."""
    for at, step, key in _warned(steps, pack):
        if at + 1 < len(steps):
            late = {**steps[at + 1], "caution": [*(each for each in steps[at + 1]["caution"] if each != key), key]}
            before = [_silenced(steps[at - 1], key)] if at else []
            yield step["id"], [*steps[:max(0, at - 1)], *before, _silenced(step, key), late, *steps[at + 2:]]


def _silenced(step: dict[str, Any], key: str) -> dict[str, Any]:
    return {**step, "caution": [each for each in step["caution"] if each != key]}


def _warned(steps: Steps, pack: dict[str, Any]) -> Iterator[tuple[int, dict[str, Any], str]]:
    for at, step in enumerate(steps):
        for key in step["caution"]:
            caution = pack["cautions"].get(key) if isinstance(key, str) else None
            acts = {(action["verb"], action["object"]) for action in step["do"]}
            if caution and any(tuple(trigger) in acts for trigger in caution["triggers"]):
                yield at, step, key


def look_for_dropped(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """What shows that a part sits the right way round, taken out of the step that fits it."""
    for at, step in enumerate(steps):
        parts = [pack["parts"].get(action["object"]) for action in step["do"] if action["verb"] == "fit"]
        if step["look_for"] and any(part and part["look_for"] for part in parts):
            yield step["id"], [*steps[:at], {**step, "look_for": None}, *steps[at + 1:]]


def guard_lost(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A step of one generation or option offered to all."""
    for at, step in enumerate(steps):
        if step["when"]:
            yield step["id"], [*steps[:at], {**step, "when": None}, *steps[at + 1:]]


def guard_turned(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A step of one generation or option given to the others."""
    for at, step in enumerate(steps):
        if step["when"]:
            yield step["id"], [*steps[:at], {**step, "when": ["not", step["when"]]}, *steps[at + 1:]]


def guard_wrong(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A step for all kept from the newer machines."""
    if not pack["model"] or pack["model"]["years"][0] == pack["model"]["years"][1]:
        return
    first = pack["model"]["years"][0]
    for at, step in enumerate(steps):
        if step["when"] is None:
            yield step["id"], [*steps[:at], {**step, "when": ["year", "<=", first]}, *steps[at + 1:]]


STATE: dict[str, Operator] = {
    **{f"{verb.replace('_', ' ')} left out": without_act([verb]) for verb in ACTS},
    "follow-on dropped": follow_on_dropped, "aid left": without_act(["aid_off"]), "treatment left out": without_act(["apply"]),
    "step deleted": step_deleted, "step doubled": step_doubled, "steps swapped": steps_swapped, "step late": step_late,
    "wrong fluid": wrong_fluid, "wrong pose": wrong_pose, "wrong setting": wrong_setting, "wrong joint": wrong_joint,
    "wrong part": wrong_part, "guard lost": guard_lost, "guard turned": guard_turned, "guard wrong": guard_wrong,
}
ALWAYS: dict[str, Operator] = {
    "wrong supply": wrong_supply, "treatment elsewhere": treatment_elsewhere, "wrong value": wrong_amount, "wrong unit": wrong_unit,
    "wrong length": wrong_length, "wrong figure": wrong_figure, "wrong limit": wrong_limit, "wrong tool": wrong_tool,
    "note dropped": note_dropped, "note after act": note_after_act, "look-for dropped": look_for_dropped,
}
OPERATORS: dict[str, Operator] = {**STATE, **ALWAYS}
