"""How long an act takes where the map does not say: our own estimates by kind, in minutes. A map's own minutes go first.

Source: our own estimates for one practised person with the tools at hand; no published times. They serve to compare two
ways of doing a job, not to promise how long it takes; a dealer's map should state its own where it matters.
"""

from collections.abc import Mapping
from typing import Any

Entry = Mapping[str, Any]

# kind of joint → (to undo once, and for each fastener; to make once, and for each fastener)
JOINT_MINUTES: dict[str, tuple[float, float, float, float]] = {
    "threaded": (0.3, 0.3, 0.3, 0.5), "clip": (0.1, 0.2, 0.1, 0.3), "clamp": (0.2, 0.4, 0.2, 0.5),
    "hose": (0.2, 0.4, 0.2, 0.4), "plug": (0.1, 0.2, 0.1, 0.2), "press": (0.5, 2.0, 1.0, 2.0),
    "pin": (0.2, 0.5, 0.2, 0.8), "cable": (0.3, 0.7, 0.5, 1.0), "spring": (0.2, 0.5, 0.3, 0.7),
}
TREATMENT_MINUTES = {"none": 0.0, "dry": 0.0, "oil": 0.2, "grease": 0.2, "locker": 0.5, "sealant": 2.0}
NEW_FASTENERS = 0.2
PART_MINUTES = 0.3
HEAVY_PART_MINUTES = 1.5
HEAVY_KG = 10.0
NEW_PART_MINUTES = 0.5
ASIDE_MINUTES = 0.5
POSE_MINUTES = 2.0
SETTING_MINUTES = 0.2
FLUID_MINUTES = {"drain": 5.0, "fill": 5.0}
CHECK_MINUTES = {"measure": 3.0, "adjust": 5.0, "test": 1.0, "run": 5.0, "level": 2.0, "bleed": 10.0}


def seconds(minutes: float) -> int:
    """Whole seconds, the unit in which plans are compared: two sums of minutes never differ by a rounding of theirs."""
    return round(minutes * 60)


def undo_minutes(joint: Entry) -> float:
    """Minutes to undo a joint."""
    once, each, _, _ = JOINT_MINUTES[joint["kind"]]
    return _stated(joint, "undo", once + each * len(joint["positions"]))


def make_minutes(joint: Entry) -> float:
    """Minutes to make a joint again, treatment of its threads and new fasteners included."""
    _, _, once, each = JOINT_MINUTES[joint["kind"]]
    extra = TREATMENT_MINUTES[joint["treatment"]["kind"]] + (NEW_FASTENERS if joint["renew"] == "always" else 0)
    return _stated(joint, "make", once + each * len(joint["positions"]) + extra)


def part_minutes(part: Entry) -> float:
    """Minutes to take a part off and put it on again, its joints apart."""
    if part["minutes"] is not None:
        return float(part["minutes"])
    if part["renew"] == "always":
        return NEW_PART_MINUTES
    return HEAVY_PART_MINUTES if part["hold"] or (part["mass_kg"] or 0) >= HEAVY_KG else PART_MINUTES


def fluid_minutes(fluid: Entry, act: str) -> float:
    """Minutes to `drain` or to `fill` a fluid."""
    return _stated(fluid, act, FLUID_MINUTES[act])


def stated_minutes(entry: Entry, otherwise: float) -> float:
    """The minutes of a pose, setting, unit or check, or `otherwise`."""
    return otherwise if entry["minutes"] is None else float(entry["minutes"])


def _stated(entry: Entry, act: str, otherwise: float) -> float:
    minutes = (entry["minutes"] or {}).get(act)
    return otherwise if minutes is None else float(minutes)
