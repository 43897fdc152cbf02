"""What each operation of a plan rests on, and so in which layer of the machine it lies.

Knows plans as plain data and the conditions of the map; nothing of costs, of drawing, of tools or sides.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.guards import Variant
from benchtrail.domain.planning.acts import is_work
from benchtrail.domain.planning.items import plan_problem
from benchtrail.domain.planning.problem import Item

Goal = tuple[str, str]
Numbers = frozenset[int]
NONE: Numbers = frozenset()


def with_layers(pack: Mapping[str, Any], variant: Variant, goals: Sequence[Goal], operations: Sequence[Mapping[str, Any]]
                ) -> list[dict[str, Any]]:
    """The operations with `rests_on`, the numbers of those that must come before it and are next to it, and `layer`:
    1 for what rests on nothing, else one more than the deepest that it rests on. The order itself may ask for more: a
    tool kept in hand or a fluid kept in by a pose is no layer."""
    items = _items(pack, variant, goals, operations)
    rests: dict[str, Numbers] = {}
    layers: dict[int, int] = {}
    before: dict[int, Numbers] = {}
    found = []
    for operation in operations:
        _grow(items, rests, layers)
        open_way = _nearest(items[operation["item"]], rests, layers)
        under = frozenset(layers) if open_way is None else open_way  # never shown as free when its way is not known
        layers[operation["number"]] = 1 + max((layers[number] for number in under), default=0)
        rests[operation["item"]] = frozenset({operation["number"]})
        further = NONE.union(*(before[number] for number in under))
        before[operation["number"]] = under | further
        found.append({**operation, "layer": layers[operation["number"]], "rests_on": sorted(under - further)})
    return found


def _items(pack: Mapping[str, Any], variant: Variant, goals: Sequence[Goal], operations: Sequence[Mapping[str, Any]]
           ) -> dict[str, Item]:
    """The items on the way to the goals and to the single-use parts that come off besides, facts and poses included;
    work that the plan does without is left out."""
    machine = for_variant(pack, variant)
    here = [goal for goal in goals if any(goal[1] in machine[table] for table in machine if isinstance(machine[table], dict))]
    freed = [("out", operation["object"]) for operation in operations if operation["verb"] == "remove"]
    mine = {operation["item"] for operation in operations}
    problem = plan_problem(machine, [*here, *freed])
    return {key: item for key, item in problem.items.items() if key in mine or not is_work(machine, key)}


def _grow(items: Mapping[str, Item], rests: dict[str, Numbers], layers: Mapping[int, int]) -> None:
    """Facts that have come true, each resting on what made it true."""
    grown = True
    while grown:
        grown = False
        for key, item in items.items():
            if key in rests or _work(key):
                continue
            under = _nearest(item, rests, layers)
            if under is not None:
                rests[key] = under
                grown = True


def _work(key: str) -> bool:
    return key.partition(":")[0] in ("un", "go", "free", "aside", "drained", "check", "renewed")


def _nearest(item: Item, rests: Mapping[str, Numbers], layers: Mapping[int, int]) -> Numbers | None:
    """What the shallowest of its ways rests on; None when no way is open yet."""
    ways = [NONE.union(*(rests[need] for need in way)) for way in item.alternatives
            if all(need in rests for need in way)]
    return min(ways, key=lambda way: (max((layers[number] for number in way), default=0), len(way), sorted(way)), default=None)
