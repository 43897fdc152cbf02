"""Reads what a step does: `undo pump_cover_screws`, `tighten axle_nut stage 1`, `fill coolant 900 ml`.

Knows the words and their compiled form (shared/README.md §5); whether the object exists is checked later.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Misread, meant
from benchtrail.domain.text_tree import Node, Scalar, shape_of
from benchtrail.domain.units import parse_quantity

# verb → the kinds of object it takes, in words for a message
PLAIN_VERBS = ("undo", "slacken", "start", "remove", "hang", "fit", "renew", "inspect", "clean", "drain",
               "measure", "adjust", "test", "run", "bleed", "level", "pose")
VERBS = (*PLAIN_VERBS, "tighten", "apply", "fill", "wait", "photograph", "set", "aid", "note")
_ID = "([a-z][a-z0-9_]{0,79})"
_FORMS: dict[str, tuple[re.Pattern[str], str]] = {
    **{verb: (re.compile(_ID), f"{verb} <id>") for verb in PLAIN_VERBS},
    "tighten": (re.compile(rf"{_ID}(?: stage ([1-9]))?"), "tighten <joint>, or tighten <joint> stage 1"),
    "apply": (re.compile(rf"{_ID} to {_ID}"), "apply <supply> to <part or joint>"),
    "fill": (re.compile(rf"{_ID}(?: (.+))?"), "fill <fluid>, or fill <fluid> 900 ml"),
    "wait": (re.compile("(.+)"), "wait 10 min"),
    "photograph": (re.compile("[\"“]?(.+?)[\"”]?"), 'photograph "what the photo shows"'),
    "set": (re.compile(rf"{_ID} (\S+)"), "set <setting> <value>"),
    "aid": (re.compile(rf"(on|off) {_ID}"), "aid on <aid>, or aid off <aid>"),
    "note": (re.compile("()"), "note, with nothing after it"),
}
TRIGGER_VERBS = tuple(verb for verb in VERBS if verb not in ("wait", "photograph", "note"))


def read_action(node: Node) -> dict[str, Any]:
    """The compiled action. Raises Misread: action_unreadable, action_verb_unknown, and what amounts raise."""
    if not isinstance(node, Scalar) or not isinstance(node.value, str):
        raise Misread("action_unreadable", node.line, written=shape_of(node), form="one action in words")
    verb, _, rest = " ".join(node.written.split()).partition(" ")
    if verb not in _FORMS:
        raise Misread("action_verb_unknown", node.line, written=node.written, meant=meant(verb, VERBS))
    pattern, form = _FORMS[verb]
    match = pattern.fullmatch(rest)
    if match is None:
        raise Misread("action_unreadable", node.line, written=node.written, form=form)
    return _action(verb, match, node.line)


def _action(verb: str, match: re.Match[str], line: int) -> dict[str, Any]:
    groups = match.groups()
    match verb:
        case "tighten":
            return {"verb": verb, "object": groups[0]} | ({"stage": int(groups[1])} if groups[1] else {})
        case "apply":
            return {"verb": verb, "object": groups[0], "to": groups[1]}
        case "fill":
            amount = _amount(groups[1], "volume", line) if groups[1] else None
            return {"verb": verb, "object": groups[0]} | ({"amount_ml": amount} if amount is not None else {})
        case "wait":
            return {"verb": verb, "object": "", "minutes": _amount(groups[0], "time", line)}
        case "set":
            return {"verb": verb, "object": groups[0], "value": groups[1]}
        case "aid":
            return {"verb": f"aid_{groups[0]}", "object": groups[1]}
    return {"verb": verb, "object": groups[0]}


def _amount(text: str, kind: str, line: int) -> float:
    """One value above zero in the kind's canonical unit."""
    try:
        quantity = parse_quantity(text, kind)
    except Refused as refusal:
        raise Misread(refusal.code, line, refusal.values) from None
    if quantity.value is None or quantity.value <= 0:
        raise Misread("amount_not_one_value", line, written=text)
    return quantity.value


def read_trigger(node: Node) -> list[str]:
    """The compiled trigger of a caution: verb and object; a set value or an apply target follows the object.

    Raises Misread: trigger_unreadable, action_verb_unknown.
    """
    words = node.written.split() if isinstance(node, Scalar) and isinstance(node.value, str) else []
    if not words or words[0] not in TRIGGER_VERBS:
        written = node.written if isinstance(node, Scalar) else shape_of(node)
        raise Misread("action_verb_unknown", node.line, written=written,
                      meant=meant((words or [""])[0], TRIGGER_VERBS))
    if words[0] == "aid" and len(words) == 3 and words[1] in ("on", "off"):
        return [f"aid_{words[1]}", words[2]]
    if words[0] == "apply" and len(words) == 4 and words[2] == "to":
        return ["apply", f"{words[1]} {words[3]}"]
    if len(words) == 2 or (len(words) == 3 and words[0] in ("set", "apply")):
        return [words[0], " ".join(words[1:])]
    raise Misread("trigger_unreadable", node.line, written=" ".join(words))


def read_general_trigger(node: Node) -> list[str]:
    """As read_trigger; also a verb alone, which means every object: `undo` is ["undo", ""]."""
    word = node.written.strip() if isinstance(node, Scalar) and isinstance(node.value, str) else ""
    return [word, ""] if word in TRIGGER_VERBS and word != "aid" else read_trigger(node)


def matches_trigger(action: Mapping[str, Any], trigger: Sequence[str]) -> bool:
    """True if the action is the one that the trigger means; a trigger without object, value or target means any."""
    return bool(action["verb"] == trigger[0]) and trigger[1] in trigger_names(action)


def trigger_names(action: Mapping[str, Any]) -> tuple[str, ...]:
    """What a trigger of its verb may name to mean an action: nothing, its object, its object with value or target."""
    more = [str(action[key]) for key in ("value", "to") if key in action]
    return ("", action["object"], " ".join([action["object"], *more])) if more else ("", action["object"])
