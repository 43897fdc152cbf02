"""Which kinds of object each word takes: conditions, actions, and the fields of objects.

Data only.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

LITERAL_TABLES: dict[str, tuple[str, ...]] = {
    "out": ("parts", "units"), "aside": ("parts", "units"), "undone": ("joints",), "drained": ("fluids",),
    "pose": ("poses",), "set": ("settings",), "renewed": ("parts", "joints"), "done": ("checks",),
    "aid": ("aids",), "reach": ("joints",), "measure": ("checks",), "changed": ("fluids",),
}
ACTION_TABLES: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("undo", "slacken", "start", "tighten"), ("joints",)),
    **dict.fromkeys(("remove", "hang", "fit"), ("parts", "units")),
    "renew": ("parts", "joints"), "inspect": ("parts", "joints", "units"), "clean": ("parts", "joints", "units"),
    "apply": ("supplies",), "drain": ("fluids",), "fill": ("fluids",),
    **dict.fromkeys(("measure", "adjust", "test", "run", "bleed", "level"), ("checks",)),
    "set": ("settings",), "pose": ("poses",), "aid_on": ("aids",), "aid_off": ("aids",),
}
APPLY_TO = ("parts", "joints")
# verb → kinds of check that it takes besides its own
OTHER_CHECK_KINDS: dict[str, tuple[str, ...]] = {"adjust": ("measure",), "test": ("measure",)}
CHECK_VERBS = ("measure", "adjust", "test", "run", "bleed", "level")


class Reference(NamedTuple):
    """One id that an object names: by which field, of which tables it may be, and whether it must be there wherever
    the object is (a condition about what is absent is true, so it need not)."""

    field: str
    key: str
    tables: tuple[str, ...]
    strict: bool = True


def references(table: str, entry: Mapping[str, Any]) -> Iterator[Reference]:
    """Everything that an object of a machine names."""
    for name in ("exit", "aside", "reach", "needs"):
        if table != "follow_ons":
            yield from (_of_literal(name, literal) for every in entry.get(name) or [] for literal in every)
    for name, kind in _LISTS.get(table, {}).items():
        yield from (Reference(name, key, (kind,), False) for key in entry[name])
    for name, kind in _SINGLES.get(table, {}).items():
        if entry[name]:
            yield Reference(name, entry[name], (kind,))
    if table in _SPECIAL:
        yield from _SPECIAL[table](entry)


_LISTS = {"units": {"parts": "parts"}, "joints": {"joins": "parts", "tools": "tools", "holds": "fluids",
                                                  "dry_in": "poses"}, "follow_ons": {"needs": "checks"},
          "checks": {"tools": "tools"}}
_AID_LISTS: dict[str, tuple[str, ...]] = {"catches": ("fluids",), "covers": ("parts", "joints"), "carries": ("parts", "units")}
_SINGLES = {"joints": {"figure": "figures"}, "fluids": {"fill": "joints", "drain": "joints"},
            "checks": {"figure": "figures", "fluid": "fluids", "at_least": "figures", "at_most": "figures"}}


def _of_literal(name: str, literal: list[str]) -> Reference:
    return Reference(name, literal[1], LITERAL_TABLES[literal[0]], False)


def _of_joint(joint: Mapping[str, Any]) -> Iterator[Reference]:
    if joint["treatment"]["supply"]:
        yield Reference("treatment", joint["treatment"]["supply"], ("supplies",))
    for stage in joint["stages"]:
        if stage.get("figure"):
            yield Reference("stages", stage["figure"], ("figures",))
        if stage["pose"]:
            yield Reference("stages", stage["pose"], ("poses",))


def _of_caution(caution: Mapping[str, Any]) -> Iterator[Reference]:
    yield from _of_triggers("triggers", caution["triggers"])


def _of_isolation(isolation: Mapping[str, Any]) -> Iterator[Reference]:
    yield from _of_triggers("during", [trigger for trigger in isolation["during"] if trigger[1]])


def _of_triggers(name: str, triggers: Iterable[Sequence[str]]) -> Iterator[Reference]:
    for verb, words in triggers:
        key, _, target = words.partition(" ")
        yield Reference(name, key, ACTION_TABLES[verb], False)
        if verb == "apply" and target:
            yield Reference(name, target, APPLY_TO, False)


def _of_part(part: Mapping[str, Any]) -> Iterator[Reference]:
    if part["treatment"]["supply"]:
        yield Reference("treatment", part["treatment"]["supply"], ("supplies",))


def _of_aid(aid: Mapping[str, Any]) -> Iterator[Reference]:
    yield from (Reference(name, key, tables, False) for name, tables in _AID_LISTS.items() for key in aid[name])


def _of_follow_on(rule: Mapping[str, Any]) -> Iterator[Reference]:
    yield from (_of_literal("after", literal) for literal in rule["after"])


_SPECIAL = {"joints": _of_joint, "cautions": _of_caution, "follow_ons": _of_follow_on, "isolations": _of_isolation,
            "parts": _of_part, "aids": _of_aid}


def set_values(table: str, entry: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """(field, setting, value) of every `set` condition or trigger that an object holds."""
    for name in ("exit", "aside", "reach", "needs"):
        if table != "follow_ons":
            yield from ((name, literal[1], literal[2]) for every in entry.get(name) or [] for literal in every
                        if literal[0] == "set")
    for trigger in (*entry.get("triggers", []), *entry.get("during", [])):
        words = trigger[1].split()
        if trigger[0] == "set" and len(words) == 2:
            yield "triggers", words[0], words[1]
    yield from (("after", literal[1], literal[2]) for literal in entry.get("after", []) if literal[0] == "set")
