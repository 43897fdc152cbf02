"""Sentences of drafted steps: plain, short, verb first, with the names of the map.

Knows words for every action; decides nothing. The rules are those of the language checks (checks/steps_language.py).
"""

import re
from typing import Any

from benchtrail.domain.checks.word_lists import NUMBER_WORDS
from benchtrail.domain.planning.needs import Machine
from benchtrail.domain.planning.words import thing_name

Action = dict[str, Any]
MADE_WITH = {"clip": "Close the {}.", "clamp": "Tighten the {}.", "hose": "Secure the {}.", "plug": "Push the {} home.",
             "press": "Press the {} in.", "pin": "Secure the {}.", "cable": "Connect the {}.",
             "spring": "Hook the {} in.", "threaded": "Tighten the {}."}
# a check's name as it stands after these words
CHECKED = {"measure": "Measure the {}.", "adjust": "Adjust the {}.", "test": "Check the {}.", "run": "Do the {}.",
           "level": "Read the {}.", "bleed": "Bleed out the {}."}
LOOK_AGAIN = "A cracked, bent, hard or worn part must be renewed. Ask the dealer when you are in doubt."


def sentence(machine: Machine, action: Action) -> str:
    """One action as an instruction."""
    verb, key = action["verb"], action["object"]
    name = thing_name(machine, key)
    if verb == "tighten":
        return _tighten(machine, action, name)
    if verb == "test" and name.endswith("leaks"):
        return f"Look for {name}."
    if verb in CHECKED:
        return CHECKED[verb].format(name)
    if verb == "fill":
        amount = f"{action['amount_ml']:g} ml of " if "amount_ml" in action else ""
        return f"Fill {amount}new {name} in."
    if verb == "set":
        return f"Set the {name} to {action['value']}."
    if verb == "pose":
        return _pose(machine, key)
    if verb == "apply":
        return f"Put {machine['supplies'][key]['name']} on the {thing_name(machine, action['to'])}."
    if verb in ("aid_on", "aid_off"):
        return _aid(machine["aids"][key]["name"], verb == "aid_on")
    return _plain(machine, verb, key, name)


def _aid(name: str, on: bool) -> str:
    """“Lay the cloth over the engine.”, “Take the cloth away.”: a name that says its place needs no other."""
    thing, place, _ = re.split(r" (over|under|in|at|on) ", name, maxsplit=1) if _PLACED.search(name) else (name, "", "")
    if on:
        return f"Lay the {name}." if place == "over" else f"Put the {name}." if place else f"Put the {name} in place."
    return f"Take the {thing} away."


_PLACED = re.compile(r" (over|under|in|at|on) ")
_THREAD = re.compile(r"thread of the (.+)|(.+) thread")
_PUSHED = re.compile(r"push fit of the (.+)")


def _screwed(name: str) -> str | None:
    """What is itself screwed in, from the name of its thread."""
    match = _THREAD.fullmatch(name)
    return match[1] or match[2] if match else None


def _plain(machine: Machine, verb: str, key: str, name: str) -> str:
    as_one = " as one" if key in machine["units"] else ""
    words = {
        "undo": _undo(machine, key, name), "remove": f"Take the {name} off{as_one}.", "hang": f"Hang the {name} aside.",
        "drain": f"Let the {name} run out.", "fit": f"Fit the {name}{as_one}.", "renew": f"Take the new {name}.",
        "start": _start(machine, key, name), "inspect": f"Look at the {name}.", "clean": f"Clean the {name}.",
    }
    return words[verb]


def _undo(machine: Machine, key: str, name: str) -> str:
    """Pressed seats and grooves are undone by what sits in them."""
    joint = machine["joints"].get(key)
    if joint is not None and joint["kind"] == "press":
        return f"Pull the {thing_name(machine, joint['joins'][0])} out of its seat."
    if _screwed(name):
        return f"Unscrew the {_screwed(name)}."
    if pushed := _PUSHED.fullmatch(name):
        return f"Pull at the {pushed[1]} until it comes free."
    circlip = circlip_of(machine, key)
    return f"Lift the {circlip} out of its groove." if circlip else f"Undo the {name}."


def circlip_of(machine: Machine, key: str) -> str | None:
    """The name of the clip that sits in a joint which is a groove."""
    joint = machine["joints"].get(key)
    if joint is None or joint["kind"] != "clip" or "groove" not in joint["name"]:
        return None
    return next((thing_name(machine, part) for part in joint["joins"] if "clip" in thing_name(machine, part)), None)


def _start(machine: Machine, key: str, name: str) -> str:
    joint = machine["joints"].get(key)
    name = _screwed(name) or name
    if joint is None or len(joint["positions"]) == 1:
        return f"Turn the {name} in by hand."
    lengths = {position["length_mm"] for position in joint["positions"]}
    places = ", each length at its own place" if len(lengths) > 1 else ""
    counted = name.split()[0].lower() in NUMBER_WORDS
    return f"Turn {'the' if counted else 'all the'} {name} in by hand{places}."


def _tighten(machine: Machine, action: Action, name: str) -> str:
    joint = machine["joints"][action["object"]]
    name = _screwed(name) or name
    if pushed := _PUSHED.fullmatch(name):
        return f"Push the {pushed[1]} home."
    if joint["kind"] != "threaded" and joint["figure"] is None:
        circlip = circlip_of(machine, action["object"])
        if circlip:
            return f"Let the {circlip} spring into its groove."
        return MADE_WITH[joint["kind"]].format(thing_name(machine, joint["joins"][0]) if joint["kind"] == "press" else name)
    stages = joint["stages"]
    number = min(action.get("stage", len(stages)), len(stages))
    stage = stages[number - 1]
    crosswise = " crosswise" if joint["pattern"] == "cross" else ""
    if "angle_deg" in stage:
        return f"Turn the {name}{crosswise} by another {stage['angle_deg']:g}°."
    if joint["figure"] is None and not stage.get("figure"):
        return f"Tighten the {name}{crosswise}."
    share = stage.get("share", 100)
    target = "to the figure" if share == 100 else f"to {share:g} percent of the figure"
    return f"Tighten the {name}{crosswise} {target}."


def _pose(machine: Machine, key: str) -> str:
    pose = machine["poses"][key]
    if pose["family"] == "stance":
        return f"Put the machine into this pose: {pose['name']}."
    return f"Wait until this is true: {pose['name']}."


def order_words(machine: Machine, key: str) -> str | None:
    """The listed order of a joint's fasteners as a sentence."""
    order = machine["joints"][key]["order"]
    return f"Keep to the order {', '.join(map(str, order))}." if order else None


def capital(words: str) -> str:
    """A sentence from words: first letter large, a stop at the end."""
    words = words.strip()
    return (words[:1].upper() + words[1:]).rstrip(".") + "." if words else words
