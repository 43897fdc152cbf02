"""Single faults put into the steps of a clean procedure, as a tired author would make them. Knows steps; no checker.

A mutant is a new list of steps and the step at which the fault stands. Each operator yields every mutant it can make.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from typing import Any

Steps = list[dict[str, Any]]
Mutants = Iterator[tuple[str, Steps]]

# What changes the machine, or proves that it is as it must be: leaving one of these out is a fault.
ACTS = ("undo", "remove", "drain", "fit", "start", "tighten", "fill", "bleed", "level", "renew", "apply", "aid_off")
JOINT_ACTS = ("undo", "slacken", "start", "tighten")


def without_act(verb: str) -> Callable[[Steps, dict[str, Any]], Mutants]:
    """An operator that leaves out one act of the verb; the step goes with it when it had no other."""
    def operator(steps: Steps, pack: dict[str, Any]) -> Mutants:
        for at, step in enumerate(steps):
            for n, action in enumerate(step["do"]):
                if action["verb"] == verb:
                    rest = [other for k, other in enumerate(step["do"]) if k != n]
                    yield step["id"], [*steps[:at], *([{**step, "do": rest}] if rest else []), *steps[at + 1:]]
    return operator


def doubled_step(steps: Steps, pack: dict[str, Any]) -> Mutants:
    for at, step in enumerate(steps):
        if any(action["verb"] in ("undo", "remove", "fit", "tighten", "drain") for action in step["do"]):
            again = {**deepcopy(step), "id": step["id"] + "-again"}
            yield again["id"], [*steps[: at + 1], again, *steps[at + 1:]]


def swapped_steps(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """Two neighbours of which the second rests on the first: they act on one object, or on a joint and what it holds."""
    for at in range(len(steps) - 1):
        first, second = steps[at], steps[at + 1]
        if first["when"] == second["when"] and _rests_on(first, second, pack):
            yield second["id"], [*steps[:at], second, first, *steps[at + 2:]]


def _rests_on(first: dict[str, Any], second: dict[str, Any], pack: dict[str, Any]) -> bool:
    pairs = {("undo", "remove"), ("undo", "drain"), ("fit", "start"), ("start", "tighten"), ("fill", "level"),
             ("fill", "bleed"), ("remove", "renew"), ("tighten", "fill")}
    return any((a["verb"], b["verb"]) in pairs and _related(a["object"], b["object"], pack)
               for a in first["do"] for b in second["do"])


def _related(one: str, other: str, pack: dict[str, Any]) -> bool:
    if one == other:
        return True
    for joint, entry in pack["joints"].items():
        if {one, other} <= {joint, *entry["joins"], *entry["holds"]}:
            return True
    return any({one, other} <= {fluid, entry.get("drain"), entry.get("fill")} for fluid, entry in pack["fluids"].items())


def wrong_fluid(steps: Steps, pack: dict[str, Any]) -> Mutants:
    fluids = sorted(pack["fluids"])
    yield from _changed(steps, ("fill",), lambda action: [{**action, "object": other} for other in fluids if other != action["object"]])


def wrong_amount(steps: Steps, pack: dict[str, Any]) -> Mutants:
    def changes(action: dict[str, Any]) -> list[dict[str, Any]]:
        fluid = pack["fluids"].get(action["object"], {})
        amount = action.get("amount_ml") or fluid.get("refill_ml") or fluid.get("capacity_ml")
        return [{**action, "amount_ml": round(amount * factor)} for factor in (0.5, 1.5)] if amount else []
    yield from _changed(steps, ("fill",), changes)


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


def wrong_supply(steps: Steps, pack: dict[str, Any]) -> Mutants:
    kinds = {key: supply["kind"] for key, supply in pack["supplies"].items()}
    yield from _changed(steps, ("apply",), lambda action: [
        {**action, "object": other} for other in sorted(kinds) if kinds[other] != kinds.get(action["object"])][:2])


def wrong_joint(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """The tightening of one joint written for another that the procedure also undoes."""
    touched = sorted({action["object"] for step in steps for action in step["do"] if action["verb"] == "undo"})
    yield from _changed(steps, ("tighten",), lambda action: [
        {**action, "object": other} for other in touched if other != action["object"]][:2])


def _changed(steps: Steps, verbs: tuple[str, ...], changes: Callable[[dict[str, Any]], list[dict[str, Any]]]) -> Mutants:
    for at, step in enumerate(steps):
        for n, action in enumerate(step["do"]):
            if action["verb"] in verbs:
                for other in changes(action):
                    done = [other if k == n else kept for k, kept in enumerate(step["do"])]
                    yield step["id"], [*steps[:at], {**step, "do": done}, *steps[at + 1:]]


def wrong_figure(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A tightening with the figure of another joint, more than a fifth away from its own."""
    figures = {key: entry["value"] for key, entry in pack["figures"].items() if entry["kind"] == "torque" and entry["value"]}
    for at, step in enumerate(steps):
        joint = next((pack["joints"].get(a["object"]) for a in step["do"] if a["verb"] == "tighten"), None)
        own = figures.get(joint["figure"]) if joint else None
        others = [key for key, value in sorted(figures.items()) if own and abs(value / own - 1) > 0.2]
        for other in others[:2]:
            yield step["id"], [*steps[:at], {**step, "figure": other}, *steps[at + 1:]]


def caution_dropped(steps: Steps, pack: dict[str, Any]) -> Mutants:
    for at, step in enumerate(steps):
        if _triggered(step, pack):
            yield step["id"], [*steps[:at], {**step, "caution": []}, *steps[at + 1:]]


def caution_after_act(steps: Steps, pack: dict[str, Any]) -> Mutants:
    for at, step in enumerate(steps[:-1]):
        if _triggered(step, pack):
            late = {**steps[at + 1], "caution": [*steps[at + 1]["caution"], *step["caution"]]}
            yield step["id"], [*steps[:at], {**step, "caution": []}, late, *steps[at + 2:]]


def _triggered(step: dict[str, Any], pack: dict[str, Any]) -> bool:
    acts = {(action["verb"], action["object"]) for action in step["do"]}
    named = [pack["cautions"].get(key) for key in step["caution"] if isinstance(key, str)]
    return any(tuple(trigger) in acts for caution in named if caution for trigger in caution["triggers"])


def guard_lost(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A step of one generation or option offered to all."""
    for at, step in enumerate(steps):
        if step["when"] and any(action["verb"] in ACTS for action in step["do"]):
            yield step["id"], [*steps[:at], {**step, "when": None}, *steps[at + 1:]]


def guard_wrong(steps: Steps, pack: dict[str, Any]) -> Mutants:
    """A step for all kept from the newer machines."""
    if not pack["model"] or pack["model"]["years"][0] == pack["model"]["years"][1]:
        return
    first = pack["model"]["years"][0]
    for at, step in enumerate(steps):
        if step["when"] is None and any(action["verb"] in ACTS for action in step["do"]):
            yield step["id"], [*steps[:at], {**step, "when": ["year", "<=", first]}, *steps[at + 1:]]


OPERATORS: dict[str, Callable[[Steps, dict[str, Any]], Mutants]] = {
    **{f"{verb} left out": without_act(verb) for verb in ACTS},
    "step doubled": doubled_step, "steps swapped": swapped_steps, "wrong fluid": wrong_fluid,
    "wrong amount": wrong_amount, "wrong pose": wrong_pose, "wrong setting": wrong_setting,
    "wrong supply": wrong_supply, "wrong joint": wrong_joint, "wrong figure": wrong_figure,
    "caution dropped": caution_dropped, "caution after act": caution_after_act, "guard lost": guard_lost,
    "guard wrong": guard_wrong,
}
