"""A least-work problem with numbers for names, and what can be derived in it. The solver's own form.

Item numbers follow the ASCII order of the ids. `goal` is one more number whose only alternative is all goals.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from benchtrail.domain.planning.problem import Item, Problem


@dataclass(frozen=True)
class Graph:
    """`heads[a]` is the item that way `a` does, `needs[a]` the items it needs; `ways[i]` are the ways of item i,
    `uses[i]` the ways that need it. `weights[i]` packs cost and ties into one whole number."""

    names: tuple[str, ...]
    heads: list[int]
    needs: list[tuple[int, ...]]
    ways: list[list[int]]
    uses: list[list[int]]
    weights: list[int]
    goal: int


@dataclass(frozen=True)
class Scale:
    """How cost, ties and ids are packed: cost · `unit` + ties; one bit an item, so that no two plans weigh the same."""

    unit: int

    def cost_s(self, weight: int) -> int:
        """Seconds in a weight; of a lower bound, a lower bound in seconds."""
        return weight // self.unit


def graph_of(problem: Problem) -> tuple[Graph, Scale]:
    """The numbered form of a problem and the scale of its weights."""
    names = tuple(sorted(problem.items))
    number = {name: index for index, name in enumerate(names)}
    items = [problem.items[name] for name in names]
    ways = [way for item in items for way in sorted({tuple(sorted(number[n] for n in w)) for w in item.alternatives})]
    heads = [number[item.id] for item in items for _ in set(item.alternatives)]
    weights, unit = _packed(items)
    goal = len(names)
    ways.append(tuple(sorted(number[g] for g in problem.goals)))
    heads.append(goal)
    return linked(names, heads, ways, [*weights, 0], goal), Scale(unit)


def linked(names: tuple[str, ...], heads: list[int], needs: list[tuple[int, ...]], weights: list[int],
           goal: int) -> Graph:
    """A graph with its two indexes, ways by head and by need."""
    by_head: list[list[int]] = [[] for _ in range(goal + 1)]
    by_need: list[list[int]] = [[] for _ in range(goal + 1)]
    for way, head in enumerate(heads):
        by_head[head].append(way)
        for need in needs[way]:
            by_need[need].append(way)
    return Graph(names, heads, needs, by_head, by_need, weights, goal)


def with_goals(graph: Graph, more: Iterable[int]) -> Graph:
    """The same graph with further items that the goal needs."""
    (way,) = graph.ways[graph.goal]
    added = [item for item in more if item not in graph.needs[way]]
    if not added:
        return graph
    needs, uses = list(graph.needs), list(graph.uses)
    needs[way] = (*needs[way], *added)
    for item in added:
        uses[item] = [*uses[item], way]
    return replace(graph, needs=needs, uses=uses)


def _packed(items: Sequence[Item]) -> tuple[list[int], int]:
    """Weights and the size of one second in them. The last bits make ties unique: of two equal plans the one without
    the last id in which they differ wins."""
    bits = len(items)
    tray = 1 + sum(i.tray for i in items)
    safety = 1 + sum(i.safety for i in items)
    seals = 1 + sum(i.seals for i in items)
    packed = [(((i.cost_s * seals + i.seals) * safety + i.safety) * tray + i.tray) for i in items]
    return [(w << bits) + (1 << rank) for rank, w in enumerate(packed)], (seals * safety * tray) << bits


def derivation(graph: Graph, allowed: Sequence[bool], targets: Iterable[int] = ()) -> list[tuple[int, int]]:
    """What can be done with the `allowed` items alone, as (item, way) in an order in which it can be done.

    Stops early once all `targets` are done (none: goes on to the end). `allowed` has one entry for each number.
    """
    missing = [len(needs) for needs in graph.needs]
    done = [False] * (graph.goal + 1)
    waiting = set(targets)
    asked = bool(waiting)
    order: list[tuple[int, int]] = []
    ready = [way for way, count in enumerate(missing) if count == 0]
    position = 0
    while position < len(ready):
        way = ready[position]
        position += 1
        head = graph.heads[way]
        if done[head] or not allowed[head]:
            continue
        done[head] = True
        order.append((head, way))
        waiting.discard(head)
        if asked and not waiting:
            return order
        for use in graph.uses[head]:
            missing[use] -= 1
            if missing[use] == 0:
                ready.append(use)
    return order
