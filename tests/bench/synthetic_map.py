"""Synthetic machines of any size for the planner's benchmark and tests: assemblies of parts from outside to inside.

Not a benchmark itself. A map holds joints with alternatives of access, units, parts to hang aside, fluids with drains and
poses that keep them in, and is the same for the same size and seed. `tangled`: every act asks for far more, so that most
of the machine takes part in every plan; harder than any machine we know.
"""

from __future__ import annotations

from random import Random
from typing import Any

ASSEMBLY = 25
KINDS = ("threaded", "threaded", "threaded", "clip", "clamp", "hose", "plug")


def synthetic_map(parts: int, seed: int, tangled: bool = False) -> dict[str, Any]:
    """A model pack of `parts` parts, for one variant."""
    random = Random(f"{parts}/{seed}/{tangled}")
    pack: dict[str, Any] = {
        "format": "benchtrail.model/1", "dealer": "bench", "model": f"synthetic-{parts}-{seed}", "name": "Synthetic",
        "invented": True, "years": [2024, 2024], "options": [], "revision": 1, "issued": "2026-01-01", "figures": {},
        "tools": {}, "supplies": {}, "aids": {}, "cautions": {}, "checks": {}, "follow_ons": {},
        "parts": {}, "units": {}, "joints": {}, "fluids": {}, "poses": _poses(), "settings": {
            "valve": {"name": "valve", "values": ["on", "off"], "start": "on", "when": None, "minutes": None}},
    }
    for index in range(parts):
        _add_part(pack, index, parts, random, tangled)
    carried: dict[str, list[str]] = {}
    for joint in pack["joints"].values():
        carried.setdefault(joint["joins"][0], []).extend(key for key in joint["joins"][1:] if key != "frame")
    for index in range(0, parts, 8 if not tangled else 4):
        _add_unit(pack, index, carried.get(f"part_{index}", []), random)
    joints = sorted(pack["joints"])
    outer = [key for key in joints if int(key.split("_")[1]) % ASSEMBLY < 3]
    inner = [key for key in joints if int(key.split("_")[1]) % ASSEMBLY >= 3] or joints
    for index in range(max(1, parts // 80)):
        _add_fluid(pack, index, outer, inner, random)
    return pack


def synthetic_goals(pack: dict[str, Any], seed: int, count: int = 3) -> list[list[str]]:
    """Goals deep inside `count` assemblies."""
    random = Random(f"goals/{seed}")
    parts = len(pack["parts"])
    deep = [index for index in range(parts) if index % ASSEMBLY > ASSEMBLY * 2 // 3] or list(range(parts))
    return [["out", f"part_{index}"] for index in sorted(random.sample(deep, min(count, len(deep))))]


def _poses() -> dict[str, Any]:
    needs = [[["set", "valve", "off"], ["out", "part_0"]]]
    return {
        "upright": {"name": "upright", "family": "stance", "when": None, "minutes": 1, "needs": []},
        "on_left": {"name": "on its left side", "family": "stance", "when": None, "minutes": 3, "needs": needs},
        "on_right": {"name": "on its right side", "family": "stance", "when": None, "minutes": 3, "needs": needs},
    }


def _outer(index: int, random: Random, tangled: bool) -> list[str] | None:
    """One or two parts further out, mostly of the same assembly."""
    first = index - index % ASSEMBLY
    near = list(range(max(first, index - 6), index)) if not tangled else list(range(max(0, index - 36), index))
    if random.random() < 0.12 and index > ASSEMBLY:
        other = random.randrange(index // ASSEMBLY) * ASSEMBLY
        near = list(range(other, other + 6))
    if not near:
        return None
    return random.sample(near, min(len(near), random.choice([1, 2, 3] if tangled else [1, 1, 2])))


def _access(index: int, random: Random, tangled: bool, free: float) -> list[list[list[str]]]:
    if random.random() < (free / 3 if tangled else free):
        return []
    ways = [_outer(index, random, tangled) for _ in range(random.choice([1, 1, 2, 2, 3]))]
    return [[["out", f"part_{p}"] for p in way] for way in ways if way]


def _add_part(pack: dict[str, Any], index: int, parts: int, random: Random, tangled: bool) -> None:
    key = f"part_{index}"
    aside = _access(index, random, tangled, 0.3) if random.random() < 0.1 else None
    pack["parts"][key] = {
        "name": key, "side": random.choice(["left", "right", "top", None]), "number": None, "count": 1, "when": None,
        "renew": random.choice(["never"] * 6 + ["always"]), "hold": False, "mass_kg": None, "look_for": None,
        "exit": _access(index, random, tangled, 0.6), "aside": aside or None, "safety": "normal", "inside": False,
        "minutes": random.randint(1, 20) / 10,
    }
    for n in range(random.choice([1, 1, 2, 3])):
        inner = range(index + 1, min(parts, index - index % ASSEMBLY + ASSEMBLY, index + 5))
        carrier = f"part_{random.choice(inner)}" if inner and random.random() < 0.65 else "frame"
        pack["joints"][f"joint_{index}_{n}"] = {
            "name": f"joint {index} {n}", "joins": [key, carrier], "kind": random.choice(KINDS), "thread": None,
            "tools": [f"tool_{random.randrange(8)}"], "positions": [{"at": [0, 0], "length_mm": None, "label": None}],
            "reach": _access(index, random, tangled, 0.45), "holds": [], "dry_in": [], "figure": None, "hand": "tight",
            "treatment": {"kind": "none", "supply": None}, "pattern": "any", "order": None,
            "stages": [{"share": 100, "pose": None}], "renew": random.choice(["never"] * 8 + ["always"]),
            "number": None, "safety": random.choice(["normal"] * 5 + ["brakes"]), "when": None,
            "minutes": {"undo": random.randint(2, 60) / 10, "make": random.randint(3, 80) / 10},
        }


def _add_unit(pack: dict[str, Any], index: int, inner: list[str], random: Random) -> None:
    """A part and those that it is joined to, as one."""
    if inner:
        pack["units"][f"unit_{index}"] = {"name": f"unit {index}", "parts": sorted({f"part_{index}", *inner}),
                                          "when": None, "exit": None, "minutes": random.randint(5, 30) / 10}


def _add_fluid(pack: dict[str, Any], index: int, outer: list[str], inner: list[str], random: Random) -> None:
    drain, fill = random.sample(outer, 2)
    pack["fluids"][f"fluid_{index}"] = {
        "name": f"fluid {index}", "capacity_ml": 1000, "refill_ml": 900, "specification": "any", "fill": fill,
        "drain": drain, "level": None, "hazards": [], "disposal": None, "when": None,
        "minutes": {"drain": random.randint(2, 9), "fill": random.randint(2, 9)},
    }
    pack["joints"][drain]["reach"] = [[["pose", "upright"]]]
    for key in random.sample(inner, min(4, len(inner))):
        pack["joints"][key] |= {"holds": [f"fluid_{index}"], "dry_in": [random.choice(["on_left", "on_right"])]}
