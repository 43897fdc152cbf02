"""What a condition of a map asks for, as the id of the item that brings it about; and which conditions clash.

Knows literals and ids of items (`un:axle_nut`, `go:seat`, `set:fuel_valve=off`); nothing of costs.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import product
from typing import Any

from benchtrail.domain.refused import Refused

Machine = Mapping[str, Any]
Literal = Sequence[str]
Way = frozenset[str]

WORDS = {"undone": ("joints", "un"), "drained": ("fluids", "drained"), "changed": ("fluids", "drained"),
         "pose": ("poses", "pose"), "aside": ("parts", "aside"), "done": ("checks", "check"),
         "measure": ("checks", "check"), "reach": ("joints", "reach")}


def need_of(machine: Machine, literal: Literal) -> str:
    """The item that makes a literal true; whoever opens a drain for another reason lets the fluid out all the same.

    Raises Refused("plan_map_broken") for what the map does not have."""
    word, key = literal[0], literal[1]
    if word == "undone" and any(fluid["drain"] == key != fluid["fill"] for fluid in machine["fluids"].values()):
        return f"opened:{key}"
    if word == "out" and key in machine["units"]:
        return f"go:{key}"
    if word == "out" and key in machine["parts"]:
        return f"out:{key}"
    if word == "renewed" and any(key in machine[table] for table in ("parts", "units", "joints")):
        return f"renewed:{key}"
    if word == "set" and key in machine["settings"] and literal[2] in machine["settings"][key]["values"]:
        return f"set:{key}={literal[2]}"
    if word in WORDS and key in machine[WORDS[word][0]]:
        return f"{WORDS[word][1]}:{key}"
    raise Refused("plan_map_broken", literal=" ".join(literal))


def ways_of(machine: Machine, alternatives: Sequence[Sequence[Literal]] | None) -> list[Way]:
    """OR of ANDs as sets of items; nothing written is one free way."""
    return [frozenset(need_of(machine, literal) for literal in every) for every in alternatives or [[]]]


def combined(machine: Machine, *choices: Iterable[Way]) -> list[Way]:
    """Every choice of one way from each, joined, without those that ask for two poses of one family, or two values of
    one setting, at one instant; the smaller of two nested ways suffices."""
    joined = {frozenset().union(*chosen) for chosen in product(*choices)}
    possible = [way for way in joined if not clashes(machine, way)]
    return sorted((way for way in possible if not any(other < way for other in possible)), key=sorted)


def clashes(machine: Machine, way: Way) -> bool:
    """True if the items cannot all be true at one instant."""
    held: dict[str, str] = {}
    for need in way:
        kind, _, key = need.partition(":")
        if kind == "pose":
            subject = f"pose {machine['poses'][key]['family']}"
        elif kind == "set":
            subject = f"set {key.partition('=')[0]}"
        else:
            continue
        if held.setdefault(subject, need) != need:
            return True
    return False


class Beside:
    """Conditions of acts on certain parts: a part that only left together with them, as one unit, is not out of their
    way; it must be off by itself, or have left in a unit without them."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self.units_of: dict[str, list[str]] = {}
        for key, unit in sorted(machine["units"].items()):
            for part in unit["parts"]:
                self.units_of.setdefault(part, []).append(key)
        self.beside: dict[str, set[str]] = {}
        for joint in machine["joints"].values():
            for part in joint["joins"]:
                self.beside.setdefault(part, set()).update(joint["joins"])

    def need(self, literal: Literal, subject: frozenset[str]) -> str:
        """The item that makes a literal true for an act on the parts `subject`."""
        word, key = literal[0], literal[1]
        if word == "out" and key in self.machine["parts"] and key not in subject:
            shared = [unit for unit in self.units_of.get(key, []) if subject & set(self.machine["units"][unit]["parts"])]
            if shared:
                return f"off:{key}~{'+'.join(shared)}"
        return need_of(self.machine, literal)

    def ways(self, alternatives: Sequence[Sequence[Literal]] | None, subject: frozenset[str]) -> list[Way]:
        """OR of ANDs as sets of items, for an act on the parts `subject`."""
        return [frozenset(self.need(literal, subject) for literal in every) for every in alternatives or [[]]]

    def bench_way(self, unit: frozenset[str], every: Sequence[Literal], subject: frozenset[str]) -> Way:
        """What a condition of an act on `subject` means while the parts `unit`, the subject among them, lie on the bench
        as one: what stood around the unit is out of the way, unless it hangs on it; that the subject is out is true."""
        needs: set[str] = set()
        for literal in every:
            word, key = literal[0], literal[1]
            members = set(self.machine["units"][key]["parts"]) if key in self.machine["units"] else {key}
            hanging = any(self.beside.get(member, set()) & unit for member in members)
            if word == "out" and hanging and not members & (unit | subject):
                needs.add(need_of(self.machine, literal))
            if word in ("out", "aside") and members & unit and not members & subject:
                needs.add(f"apart:{key}" if word == "aside" else self.need(literal, subject))
            elif (word == "undone" and unit & set(self.machine["joints"][key]["joins"])) or word in _ANYWHERE:
                needs.add(need_of(self.machine, literal))
        return frozenset(needs)


_ANYWHERE = ("drained", "renewed", "done")
