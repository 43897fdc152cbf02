"""Acts of a plan in words, with the names of the map. Knows item ids and names; nothing of sentences around them."""

from collections.abc import Mapping
from typing import Any

from benchtrail.domain.planning.needs import Machine

CHECK_VERBS = {"measure": "measure the", "adjust": "adjust the", "test": "check the", "run": "do the",
               "level": "check the", "bleed": "bleed the"}


def act_words(machine: Machine, key: str) -> str:
    """An item as an act: “undo the seat bolts”, “take the water pump with hoses off as one”."""
    kind, _, name = key.partition(":")
    if kind in _SIMPLE:
        table, pattern = _SIMPLE[kind]
        return pattern.format(_name(machine, table, name))
    if kind in ("go", "out", "off", "apart"):
        return _leaving(machine, name.partition("~")[0])
    if kind in ("free", "exit"):
        unit, _, part = name.partition("/")
        return f"take the {_name(machine, 'parts', part)} out of the {_name(machine, 'units', unit)}"
    if kind == "set":
        setting, _, value = name.partition("=")
        return f"set the {_name(machine, 'settings', setting)} to {value}"
    if kind in ("check", "follow"):
        entry = machine["checks"].get(name, {})
        return f"{CHECK_VERBS.get(entry.get('kind', 'test'), 'check the')} {entry.get('name', name)}"
    return key


_SIMPLE = {
    "un": ("joints", "undo the {}"), "opened": ("joints", "undo the {}"),
    "reach": ("joints", "reach the {}"), "aside": ("parts", "hang the {} aside"),
    "drained": ("fluids", "drain the {}"), "pose": ("poses", "pose: {}"), "new": ("parts", "renew the {}"),
}


def _leaving(machine: Machine, name: str) -> str:
    if name in machine["units"]:
        return f"take the {_name(machine, 'units', name)} off as one"
    return f"take the {_name(machine, 'parts', name)} off"


def _name(machine: Machine, table: str, key: str) -> str:
    entry: Mapping[str, Any] = machine[table].get(key, {})
    return str(entry.get("name") or key.replace("_", " "))


def thing_name(machine: Machine, key: str) -> str:
    """The name of a part, unit, joint, fluid, pose, setting or check by its id."""
    tables = ("parts", "units", "joints", "fluids", "poses", "settings", "checks")
    return next((_name(machine, table, key) for table in tables if key in machine[table]), key.replace("_", " "))


def renewing_words(machine: Machine, key: str) -> str:
    """`renewed:X` in words."""
    return f"renew the {thing_name(machine, key.partition(':')[2])}"


def said(machine: Machine, key: str) -> str:
    """Any item in words, for a message."""
    return renewing_words(machine, key) if key.startswith("renewed:") else act_words(machine, key)
