"""M3: everything can be reached somehow; nothing needs itself out of the way first.

Knows conditions of access; nothing of their cost, nor of steps.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from benchtrail.domain.checks.subject import Machine
from benchtrail.domain.findings import Finding, Severity

Item = tuple[str, str]
Ways = dict[Item, list[set[Item]]]
# part → the joints that it belongs to
Touching = Mapping[str, set[str]]


def check_access(machine: Machine) -> list[Finding]:
    """M3: parts and joints that block one another in a circle in some variant, or that ask for what can never be at once."""
    found = machine.gather()
    for n, tables in enumerate(machine.variants):
        ways = ways_of(tables)
        for circle in circles(ways):
            table = {"undone": "joints", "out": "parts", "aside": "parts", "pose": "poses", "done": "checks"}
            kind, key = next((item for item in circle if item[0] in table), circle[0])
            if kind in table and key in machine.tables[table[kind]]:
                where = machine.where(table[kind], key, "reach", "exit", "aside", "needs")
                words = " ← ".join(f"{kind} {key}" for kind, key in [*circle, circle[0]])
                if ways[kind, key]:
                    found.add("M3", Severity.ERROR, "access_circle", where, n, object=machine.name(key), circle=words)
                else:
                    found.add("M3", Severity.ERROR, "access_never", where, n, object=machine.name(key))
    return found.findings()


def ways_of(tables: Mapping[str, Any]) -> Ways:
    """What can be done, each with the alternative sets of what must be done before; conditions on values are free."""
    ways: Ways = {}
    touching: dict[str, set[str]] = {}
    for key, joint in tables["joints"].items():
        ways["undone", key] = _sets(tables, joint["reach"])
        for part in joint["joins"]:
            touching.setdefault(part, set()).add(key)
    units_of: dict[str, list[Mapping[str, Any]]] = {}
    for unit in tables["units"].values():
        for part in unit["parts"]:
            units_of.setdefault(part, []).append(unit)
    for key, part in tables["parts"].items():
        alone = _leaving(tables, touching, {key}, _sets(tables, part["exit"]))
        ways["out", key] = alone + [way for unit in units_of.get(key, []) for way in _unit_ways(tables, touching, unit)]
        ways["aside", key] = _sets(tables, part["aside"]) if part["aside"] is not None else [{("out", key)}]
    for key, unit in tables["units"].items():
        ways["out", key] = _unit_ways(tables, touching, unit)
    for key, pose in tables["poses"].items():
        ways["pose", key] = _sets(tables, pose["needs"])
    for key, check in tables["checks"].items():
        ways["done", key] = _sets(tables, check["reach"])
    return ways


def _sets(tables: Mapping[str, Any], alternatives: list[list[list[str]]]) -> list[set[Item]]:
    """The alternatives as sets; nothing written is one free way, and what asks for two poses of one family is none."""
    if not alternatives:
        return [set()]
    return [{(lit[0], lit[1]) for lit in every} for every in alternatives if not _clashes(tables, every)]


def _clashes(tables: Mapping[str, Any], every: list[list[str]]) -> bool:
    """True if a machine can never be all of this at one instant: two poses of one family, two values of one setting."""
    held = {(tables["poses"][lit[1]]["family"], lit[1]) for lit in every if lit[0] == "pose" and lit[1] in tables["poses"]}
    held |= {(f"set {lit[1]}", lit[2]) for lit in every if lit[0] == "set"}
    return len({subject for subject, _ in held}) < len(held)


def _unit_ways(tables: Mapping[str, Any], touching: Touching, unit: Mapping[str, Any]) -> list[set[Item]]:
    """The ways in which a unit leaves; without an exit of its own, the first of each part's, inner ones as met."""
    parts = set(unit["parts"])
    if unit["exit"] is not None:
        exits = _sets(tables, unit["exit"])
    else:
        inner = {("out", part) for part in parts} | {("undone", joint) for joint in _inner(tables, touching, parts)}
        firsts = [_sets(tables, tables["parts"][part]["exit"])[:1] for part in parts if part in tables["parts"]]
        exits = [set().union(*(way for first in firsts for way in first)) - inner] if all(firsts) else []
    return _leaving(tables, touching, parts, exits)


def _inner(tables: Mapping[str, Any], touching: Touching, parts: set[str]) -> Iterator[str]:
    near = set().union(*(touching.get(part, set()) for part in parts))
    return (key for key in near if set(tables["joints"][key]["joins"]) <= parts)


def _leaving(tables: Mapping[str, Any], touching: Touching, parts: set[str], exits: list[set[Item]]) -> list[set[Item]]:
    """With every joint between the parts and the rest undone."""
    near = set().union(*(touching.get(part, set()) for part in parts))
    boundary = {("undone", key) for key in near if not set(tables["joints"][key]["joins"]) <= parts}
    return [way | boundary for way in exits]


def circles(ways: Ways) -> list[list[Item]]:
    """Circles among the items that no order of work can ever reach; one for each knot of them."""
    stuck = _stuck(ways)
    seen: set[Item] = set()
    found = []
    for start in sorted(stuck):
        path: list[Item] = []
        item = start
        while item not in path and item not in seen:
            path.append(item)
            item = min((need for way in ways[item] for need in way if need in stuck), default=item)
        if item in path:
            found.append(path[path.index(item):])
        seen |= set(path)
    return found


def _stuck(ways: Ways) -> set[Item]:
    """The items that stay out of reach when everything reachable has been done."""
    stuck = set(ways)
    grown = True
    while grown:
        free = {item for item in stuck if any(not way & stuck for way in ways[item])}
        grown = bool(free)
        stuck -= free
    return stuck
