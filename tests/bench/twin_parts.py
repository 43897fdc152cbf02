"""Random pieces of inputs: amounts, bolts, wrenches, holes, valves, readings, kits.

Knows what makes sense in the trade; knows no calculation.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from random import Random
from typing import Any

Inputs = dict[str, Any]

THREADS = [
    "M4x0.7",
    "M5x0.8",
    "M6x1",
    "M8x1.25",
    "M8x1",
    "M10x1.5",
    "M10x1.25",
    "M12x1.75",
    "M12 × 1.5",
    "M14x2",
    "M16x2",
    "M20x2.5",
    "M7x1",
    "M6x0,75",
]
GRADES = ["4.6", "5.8", "8.8", "10.9", "12.9", "unknown"]
LUBRICATIONS = ["dry", "oiled", "zinc", "cadmium", "phosphate_oiled", "stainless_dry", "threadlocker"]
GLYCOLS = ["ethylene", "propylene"]
FLUIDS = ["water", *(f"{glycol}_{share}" for glycol in GLYCOLS for share in (30, 40, 50, 60))]
TORQUE_UNITS = ["N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm", "N·cm"]
BAD_NUMBERS = [None, -1, 0, 1e12, "x", True, 1e-12]
BAD_LISTS: list[Any] = [None, [], "x"]


def spoiled(rng: Random, inputs: Inputs) -> Inputs:
    """The inputs, one in twelve with one field that makes no sense."""
    names = [name for name, value in inputs.items() if not isinstance(value, bool | dict)]
    if rng.random() > 1 / 12 or not names:
        return inputs
    name = rng.choice(names)
    value = inputs[name]
    bad = rng.choice(BAD_LISTS if isinstance(value, list) else ["", "x"] if isinstance(value, str) else BAD_NUMBERS)
    return {**inputs, name: bad}


def near(rng: Random, low: float, high: float) -> float:
    """A number in a range, often with few decimals, sometimes exactly at an end."""
    if rng.random() < 0.05:
        return rng.choice([low, high])
    number = rng.uniform(low, high)
    return round(number, rng.choice([0, 1, 2, 3])) if rng.random() < 0.6 else number


def maybe(rng: Random, value: Any) -> Any:
    return value if rng.random() < 0.5 else None


def day(rng: Random) -> str:
    return (date(2024, 1, 1) + timedelta(days=rng.randrange(1200))).isoformat()


def lever(rng: Random) -> Inputs:
    return {
        "lever_mm": near(rng, 1, 1200),
        "adapter_mm": near(rng, 0, 400),
        "adapter_angle_deg": near(rng, -360, 360),
    }


def bolt(rng: Random) -> Inputs:
    return {"thread": rng.choice(THREADS), "grade": rng.choice(GRADES)}


def wrench(rng: Random) -> Inputs:
    low = near(rng, 0, 60)
    return {
        "name": rng.choice("abcdef"),
        "low": low,
        "high": low + near(rng, 0, 200),
        "unit": rng.choice(TORQUE_UNITS),
        "step": rng.choice([0, 0.1, 0.25, 0.5, 1, 2]),
        "checked": maybe(rng, day(rng)),
        "dropped": rng.random() < 0.1,
    }


def written(rng: Random) -> str:
    """An amount as people print it, sometimes in two units, sometimes none."""
    units = rng.choice([TORQUE_UNITS, ["mm", "in", "thou"], ["ml", "l", "US fl oz", "imp pt"], ["kPa", "psi", "bar"],
                        ["°C", "°F"], ["kg", "lb"], ["km/h", "mph"], ["°"], ["foo", ""]])
    one = f"{near(rng, 0, 200)} {rng.choice(units)}"
    kind = rng.random()
    if kind < 0.1:
        return f"{rng.randrange(4)}/{rng.randrange(1, 9)} {rng.choice(units)}"
    return one if kind < 0.6 else f"{one} {rng.choice(['/', '(', '='])} {near(rng, 0, 200)} {rng.choice(units)}"


def holes(rng: Random) -> list[list[float]]:
    count = rng.randrange(1, 18)
    kind = rng.random()
    if kind < 0.3:
        return [[20.0 * n, near(rng, 0, 2)] for n in range(count)]
    return [[near(rng, -100, 100), near(rng, -100, 100 if kind < 0.7 else -60)] for _ in range(count)]


def valve(rng: Random) -> Inputs:
    low = rng.choice([0.05, 0.10, 0.15])
    return {
        "name": rng.choice(["A", "B", "C", "D"]),
        "clearance_mm": near(rng, 0, 0.4),
        "shim_mm": round(rng.uniform(2, 3), 2),
        "low_mm": low,
        "high_mm": low + rng.choice([0.05, 0.06, 0.1]),
    }


def bar(rng: Random) -> Inputs:
    return {"below_level_deg": near(rng, -80, 80), "bar_mass_kg": near(rng, 0, 2), "bar_centre_mm": near(rng, 0, 600)}


def places(rng: Random) -> Inputs:
    return {
        "from_c": near(rng, -40, 90),
        "to_c": near(rng, -40, 90),
        "from_altitude_m": near(rng, -500, 6000),
        "to_altitude_m": near(rng, -500, 6000),
    }


def reading(rng: Random) -> Inputs:
    meters = {meter: near(rng, 0, 200) for meter in ("hours", "km", "starts") if rng.random() < 0.6}
    return {"date": day(rng), **meters}


def limb(rng: Random) -> Inputs:
    meter = rng.choice(["hours", "km", "starts", "days", "months"])
    every = (
        rng.choice([5, 15, 60, 500]) if meter in {"hours", "km", "starts"} else rng.choice([1, 6, 12, 90, 180, 7.5])
    )
    return {"meter": meter, "every": every, "fluid": rng.random() < 0.2}


def task(rng: Random) -> Inputs:
    return {
        "limbs": [limb(rng) for _ in range(rng.randrange(1, 4))],
        "severity": rng.choice([1, 1, 0.5, 0.7]),
        "schedule": rng.choice(["drifting", "fixed"]),
        "once": rng.random() < 0.2,
        "begun": maybe(rng, reading(rng)),
        "paused_days": rng.choice([0, 0, 30]),
    }


def entry(rng: Random) -> Inputs:
    return {**reading(rng), "task": rng.choice("abcd")}


def rising(rng: Random, records: list[Inputs]) -> list[Inputs]:
    """Records as they come from one machine, mostly: meters that never fall with the day."""
    if rng.random() < 0.1:
        return records
    days = sorted(one["date"] for one in records)
    return [{**one, "date": when, **{meter: 50.0 * n + one[meter] / 5 for meter in ("hours", "km", "starts") if meter in one}}
            for n, (when, one) in enumerate(zip(days, records, strict=True))]


def replaced(rng: Random) -> Inputs:
    return {"date": day(rng), "meter": rng.choice(["hours", "km", "starts"]), "before": near(rng, 0, 200), "after": near(rng, 0, 5)}


def kit_pack(rng: Random) -> Inputs:
    tools = {
        f"t{n}": {
            "name": f"{rng.choice([8, 10, 12])} mm {rng.choice(['socket', 'ring spanner', 'plug socket'])}"
            if rng.random() < 0.7 else "thing",
            "kind": rng.choice(["socket", "spanner", "pliers", "screwdriver", "torque_wrench", "none", "filling"]),
        }
        for n in range(6)
    }
    figures = {
        f"f{n}": {
            "kind": rng.choice(["torque", "torque", "length"]),
            "value": maybe(rng, near(rng, 1, 60)),
            "low": maybe(rng, 5.0),
            "high": maybe(rng, 70.0),
        }
        for n in range(3)
    }
    joints = {
        f"j{n}": {
            "tools": rng.sample(sorted(tools), rng.randrange(3)),
            "figure": maybe(rng, rng.choice(["f0", "f1", "f2"])),
            "safety": rng.choice(["normal", "brakes"]),
        }
        for n in range(4)
    }
    steps = [
        {
            "id": f"s{n}",
            "tools": rng.sample(sorted(tools), rng.randrange(2)),
            "figure": maybe(rng, "f0"),
            "do": [{"verb": rng.choice(["undo", "tighten", "fit"]), "object": rng.choice(sorted(joints))}],
        }
        for n in range(4)
    ]
    return {"tools": tools, "figures": figures, "joints": joints, "steps": steps}


def carried(rng: Random) -> Inputs:
    kind = rng.choice(["socket", "spanner", "pliers", "adjustable", "multi_tool", "torque_wrench", "weight", "scale"])
    return {
        "kind": kind,
        "size_mm": rng.choice([None, 8, 10, 12]),
        "low_nm": 2.0,
        "high_nm": rng.choice([25.0, 60.0, 150.0]),
        "tool": rng.choice([None, None, "t1", "t2"]),
    }


def many(rng: Random, make: Callable[[Random], Any], least: int, most: int) -> list[Any]:
    return [make(rng) for _ in range(rng.randint(least, most))]


def concern(rng: Random) -> Inputs:
    return {
        "name": rng.choice("xyz"),
        "safety": rng.choice(["normal", "normal", "normal", "brakes", "wheels"]),
        "state": rng.choice(["by_lever", "not_final", "single_use_reused", "undone", "fluid_low"]),
    }
