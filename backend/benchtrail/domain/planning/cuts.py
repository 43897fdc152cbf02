"""Lower bounds on least work from cuts: sets of items of which every plan holds at least one. Knows graphs and weights.

A cut is found in the graph that keeps, of every way, only its dearest need (by the cost of the dearest chain); each
cut takes the smallest weight left in it from all its members. The sum is a lower bound, the weights left are reduced
costs, and the items left with none hold a plan. Source: the landmark cuts of delete-free planning (Helmert and Domshlak
2009; Haslum, Slaney and Thiébaux 2012), from memory, turned to weights on items by our own derivation.
"""

from dataclasses import dataclass, field
from heapq import heappop, heappush

from benchtrail.domain.planning.graph import Graph
from benchtrail.domain.planning.problem import TimeIsUp

Cut = tuple[tuple[int, ...], int]


@dataclass
class Bound:
    """Cuts with their amounts; `left` is what each item's weight has left; `total` the sum of all amounts."""

    left: list[int]
    total: int = 0
    cuts: list[Cut] = field(default_factory=list)

    def take(self, members: tuple[int, ...], amount: int) -> None:
        for item in members:
            self.left[item] -= amount
        self.cuts.append((members, amount))
        self.total += amount


def raise_bound(graph: Graph, bound: Bound, blocked: list[bool], enough: int | None, time_is_up: TimeIsUp) -> bool:
    """Adds cuts until the items with nothing left hold a plan, the total reaches `enough`, or the time is up: a sum of
    fewer cuts is a bound too. False: no plan at all."""
    while (enough is None or bound.total < enough) and not time_is_up():
        supporters = _supporters(graph, bound.left, blocked)
        if supporters is None:
            return False
        value, support = supporters
        if value == 0:
            return True
        members = _cut(graph, bound.left, blocked, support)
        bound.take(members, min(bound.left[item] for item in members))
    return True


def _supporters(graph: Graph, left: list[int], blocked: list[bool]) -> tuple[int, list[int]] | None:
    """The cost of the dearest chain to the goal, and for each way the need that makes it dear (-1: needs nothing).

    None if the goal cannot be derived. Generalised shortest paths: an item costs its own weight left plus, over its
    ways, the least of the dearest need.
    """
    missing = [len(needs) for needs in graph.needs]
    support = [needs[0] if needs else -1 for needs in graph.needs]
    settled = [False] * (graph.goal + 1)
    heap: list[tuple[int, int]] = []
    for way, count in enumerate(missing):
        if count == 0 and not blocked[graph.heads[way]]:
            heappush(heap, (left[graph.heads[way]], graph.heads[way]))
    while heap:
        value, item = heappop(heap)
        if settled[item]:
            continue
        settled[item] = True
        if item == graph.goal:
            _point_at_unsettled(graph, missing, settled, support)
            return value, support
        for way in graph.uses[item]:
            missing[way] -= 1
            if missing[way] == 0:
                support[way] = item
                head = graph.heads[way]
                if not settled[head] and not blocked[head]:
                    heappush(heap, (value + left[head], head))
    return None


def _point_at_unsettled(graph: Graph, missing: list[int], settled: list[bool], support: list[int]) -> None:
    """Ways not complete when the goal was: any need still open is dear enough."""
    for way, count in enumerate(missing):
        if count:
            support[way] = next(need for need in graph.needs[way] if not settled[need])


def _cut(graph: Graph, left: list[int], blocked: list[bool], support: list[int]) -> tuple[int, ...]:
    """Items with weight left that stand between the start and the goal in the graph of dearest needs."""
    zone, edge = _goal_side(graph, left, support)
    supported: dict[int, list[int]] = {}
    start: list[int] = []
    for way, need in enumerate(support):
        head = graph.heads[way]
        if blocked[head]:
            continue
        if need < 0:
            start.append(head)
        else:
            supported.setdefault(need, []).append(head)
    members: set[int] = set()
    seen = set(start)
    while start:
        item = start.pop()
        if item in edge:
            members.add(item)
            continue
        for head in supported.get(item, ()):
            if head not in seen and head not in zone:
                seen.add(head)
                start.append(head)
    return tuple(sorted(members))


def _goal_side(graph: Graph, left: list[int], support: list[int]) -> tuple[set[int], set[int]]:
    """Items from which the goal follows at no further cost, and the items with weight left just before them."""
    zone, edge, waiting = {graph.goal}, set(), [graph.goal]
    while waiting:
        for way in graph.ways[waiting.pop()]:
            need = support[way]
            if need < 0 or need in zone:
                continue
            if left[need] > 0:
                edge.add(need)
            else:
                zone.add(need)
                waiting.append(need)
    return zone, edge
