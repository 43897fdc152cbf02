"""Small jobs made at random, for comparing with a search that tries everything.

A machine of a few parts on a frame, one of them over another; a job that takes some off and puts them back, each act a step
of its own or two together. Part of the steps state no time.
"""

from random import Random
from typing import Any

Pack = dict[str, Any]
PART = {"number": None, "side": None, "count": 1, "when": None, "renew": "never", "hold": False, "mass_kg": 1.0, "look_for": None,
        "exit": [], "aside": None, "safety": "normal", "inside": False, "leaves_open": None}
JOINT = {"kind": "threaded", "safety": "normal", "reach": [], "holds": [], "stages": [], "renew": "never", "positions": [],
         "figure": None, "when": None}
CLASSES = ("normal", "normal", "wheels", "brakes", "fuel", "steering")


def small_job(random: Random) -> Pack:
    """A pack for one variant."""
    parts: dict[str, Any] = {}
    joints: dict[str, Any] = {}
    for n in range(random.randint(2, 3)):
        over = random.choice([None, *parts])
        below = parts[over]["exit"] if over else None
        parts[f"p{n}"] = {**PART, "name": f"part {n}", "hold": random.random() < 0.4, "mass_kg": random.choice([None, 1.0, 9.0]),
                          "safety": random.choice(CLASSES), "renew": random.choice(["never", "never", "never", "always"]),
                          "leaves_open": random.choice([None, "an opening"])}
        if below is not None:
            below[:] = [[["out", f"p{n}"]]]
            joints[f"j{over[1:]}"]["reach"] = [[["out", f"p{n}"]]]
        parts[f"p{n}"]["exit"] = []
        joints[f"j{n}"] = joint(random, [f"p{n}", random.choice(["frame", "frame", *list(parts)[:n]])])
        if "frame" not in joints[f"j{n}"]["joins"] and parts[f"p{n}"]["hold"]:
            joints[f"j{n}"]["joins"] = [f"p{n}", "frame"]
        parts[f"p{n}"]["aside"] = [[["undone", f"j{n}"]]]
    if random.random() < 0.5:
        joints["k0"] = joint(random, ["p0", "p1"])
    pack: Pack = {"procedure": "small", "title": "small", "parts": parts, "joints": joints, "units": {}, "figures": {}, "tools": {},
                  "supplies": {}, "settings": {}, "cautions": {}, "isolations": {}, "start": [["pose", "stand"], ["pose", "cold"]],
                  "ends": [], "goal": [], "applies": None, "model": None, "safety": ["normal"], "prepare": {"tools": [], "supplies": []}}
    pack["poses"] = {"stand": pose("stance", True), "side": pose("stance", False), "prop": pose("stance", random.choice([True, None])),
                     "cold": pose("heat", True)}
    aid = {"covers": [], "carries": [], "catches": [], "control": False, "when": None}
    pack["aids"] = {"plug": {**aid, "name": "plug", "covers": ["p0"]},
                    "tray": {**aid, "name": "tray", "carries": random.choice([[], ["p1"]])}}
    pack["fluids"], pack["checks"], pack["follow_ons"] = {}, {}, {}
    if random.random() < 0.5:
        _fluid(random, pack)
    pack["checks"]["walk"] = {"name": "walk", "kind": "test", "fluid": None, "reach": [], "figure": None, "when": None}
    touch = random.choice([["undone", "j0"], ["out", "p1"]])
    pack["follow_ons"]["walked"] = {"after": [touch], "needs": ["walk"], "reason": "", "when": None,
                                    "safety": random.choice(["normal", "brakes"])}
    pack["steps"] = _steps(random, pack, _there(random, pack))
    return pack


def joint(random: Random, joins: list[str]) -> dict[str, Any]:
    return {**JOINT, "name": "joint of " + " and ".join(joins), "joins": joins, "safety": random.choice(CLASSES),
            "kind": random.choice(["threaded", "threaded", "hose", "spring"]), "renew": random.choice(["never", "never", "always"])}


def pose(family: str, steady: bool | None) -> dict[str, Any]:
    return {"name": family, "family": family, "steady": steady, "needs": [], "when": None}


def _fluid(random: Random, pack: Pack) -> None:
    pack["joints"]["plug_screw"] = {**joint(random, ["p0", "frame"]), "kind": "threaded", "holds": ["oil"]}
    pack["joints"]["j1"]["holds"] = random.choice([[], ["oil"]])
    pack["fluids"] = {"oil": {"name": "oil", "hazards": random.choice([[], ["fuel"]]), "fill": None, "drain": "plug_screw", "when": None}}
    pack["checks"]["level"] = {"name": "level", "kind": "level", "fluid": "oil", "reach": [], "figure": None, "when": None}


def _there(random: Random, pack: Pack) -> list[dict[str, Any]]:
    """What the job does: off from the outside in, back from the inside out, now and then a run, a turn or an aid between."""
    order = sorted(pack["parts"], reverse=True)
    off: list[dict[str, Any]] = []
    back: list[dict[str, Any]] = []
    if pack["fluids"]:
        off += [act("undo", "plug_screw"), act("drain", "oil")]
        back = [*renewed(pack, "plug_screw"), act("tighten", "plug_screw"), act("fill", "oil"), act("level", "level")]
    for part in order[:random.randint(1, len(order))]:
        mine = [key for key, each in pack["joints"].items() if part in each["joins"] and key != "plug_screw"]
        mine = [key for key in mine if act("undo", key) not in off]
        hang = random.random() < 0.3 and not any([["out", part]] in each["exit"] for each in pack["parts"].values())
        off += [*(act("undo", key) for key in mine), act("hang" if hang else "remove", part)]
        closed = [a for key in mine for a in (*renewed(pack, key), act("tighten", key))]
        back = [*renewed(pack, part), act("fit", part), *closed, *back]
    between = random.sample([act("aid_on", "tray"), act("aid_on", "plug"), act("pose", "side"), act("run", "walk"), act("pose", "prop")], 2)
    for extra in between:
        off.insert(random.randrange(len(off) + 1), extra)
        after = {"aid_on": [act("aid_off", extra["object"])], "pose": [act("pose", "stand")], "run": [act("pose", "cold")]}[extra["verb"]]
        where = 0 if extra["verb"] == "aid_on" else random.randrange(len(back) + 1)
        back[where:where] = after
    return [*off, *back, act("test", "walk")]


def renewed(pack: Pack, thing: str) -> list[dict[str, Any]]:
    entry = pack["parts"].get(thing) or pack["joints"][thing]
    return [act("renew", thing)] if entry["renew"] == "always" else []


def act(verb: str, thing: str) -> dict[str, Any]:
    return {"verb": verb, "object": thing}


def _steps(random: Random, pack: Pack, acts: list[dict[str, Any]]) -> list[dict[str, Any]]:
    steps: list[dict[str, Any]] = []
    while acts:
        n = random.choice([1, 1, 2])
        steps.append({"id": f"s{len(steps)}", "section": "", "do": acts[:n], "say": f"step {len(steps)}", "when": None, "tools": [],
                      "minutes": random.choice([None, 0.1, 0.5, 1.0, 1.0, 2.25, 7.0]), "cautions": [], "limits": None, "figure": None})
        acts = acts[n:]
    return steps
