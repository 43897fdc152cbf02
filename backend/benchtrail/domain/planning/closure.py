"""Least work, exactly: the cheapest set of items that reaches the goals, by branch and bound with cut bounds.

An answer holds its proof unless that grew too long. Knows problems, not machines; when the time is up it says honestly
how low the least work may still be. Two items can never justify each other: a set counts only if all its items can be
done one after another from nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from heapq import heappop, heappush

from benchtrail.domain.planning.graph import Graph, derivation, graph_of
from benchtrail.domain.planning.problem import NoGood, Problem, Refuse, TimeIsUp, cost_of, never_up, time_up
from benchtrail.domain.planning.reduce import Reduced, reduced
from benchtrail.domain.planning.search import PROOF_NODES, Place, ProofNode, Search, visited
from benchtrail.domain.planning.unreachable import why_out_of_reach
from benchtrail.domain.refused import Refused

Shrink = Callable[[Graph, frozenset[int]], Reduced | None]


@dataclass(frozen=True)
class Proof:
    """`forced`: items without which no goal can be reached. Then the tree of the search."""

    forced: frozenset[str]
    root: ProofNode


@dataclass(frozen=True)
class Closure:
    """The cheapest plan found: `chosen` in an order in which it can be done, `ways` the alternative taken of each item.

    `bound_s`: proven, no plan costs less. `proven`: this plan is the cheapest, ties included. `no_goods`: those of the
    problem and those found on the way.
    """

    chosen: tuple[str, ...]
    ways: dict[str, frozenset[str]]
    cost_s: int
    bound_s: int
    proven: bool
    visited: int = 0
    no_goods: tuple[NoGood, ...] = ()
    proof: Proof | None = None


def least_closure(problem: Problem, time_is_up: TimeIsUp = never_up, refuse: Refuse | None = None,
                  shrink: Shrink = reduced) -> Closure:
    """The cheapest closure of the goals. Ties: fewer seals, fewer safety joints, fewer parts in the tray, then ids.

    `shrink` reduces the graph, as `reduced` does. `refuse` may answer a set that cannot be ordered with a `NoGood`; the search
    goes on without it. Raises Refused("plan_out_of_reach" | "plan_circular_access" | "plan_no_order" | "plan_time_up").
    """
    no_goods = list(problem.no_goods)
    proven_weight = 0
    while True:
        search = _started(problem, refuse, time_is_up, no_goods, shrink)
        root = Place(search.weight(search.small.forced), search.small.forced, frozenset(), [], ProofNode())
        open_weight = _explored(search, root)
        # a no-good more makes no plan cheaper: what was shown before holds
        proven_weight = max(proven_weight, root.total if open_weight is None else open_weight)
        if search.narrow is None:
            break
        no_goods.append(search.narrow)
    open_weight = None if open_weight is None else proven_weight
    if search.best_weight is None:
        if open_weight is None:
            raise Refused("plan_no_order", goals=", ".join(sorted(problem.goals)))
        raise time_up(problem.goals, search.scale.cost_s(open_weight))
    return _answer(search, open_weight, root.proof)


def _started(problem: Problem, refuse: Refuse | None, time_is_up: TimeIsUp, no_goods: list[NoGood], shrink: Shrink) -> Search:
    graph, scale = graph_of(problem)
    number = {name: item for item, name in enumerate(graph.names)}
    numbered = [(frozenset(number[n] for n in no_good.together), frozenset(number[n] for n in no_good.unless))
                for no_good in no_goods]
    small = shrink(graph, frozenset().union(*(unless for _, unless in numbered)))
    if small is None:
        raise why_out_of_reach(problem)
    return Search(problem, graph, scale, small, refuse, time_is_up, [(a, b & small.relevant) for a, b in numbered])


def _explored(search: Search, root: Place) -> int | None:
    """Best bound first, then newest. None when everything is decided, else the least weight that is still possible."""
    heap: list[tuple[int, int, Place]] = [(root.total, 0, root)]
    number = 0
    while heap:
        total, _, place = heap[0]
        if not search.worth(total):
            return None
        if search.visited and search.time_is_up():
            return total
        heappop(heap)
        search.visited += 1
        children = visited(search, place)
        if search.narrow is not None:
            return None
        for child in children:
            number -= 1
            heappush(heap, (child.total, number, child))
    return None


def _answer(search: Search, open_weight: int | None, root: ProofNode) -> Closure:
    graph = search.graph
    allowed = [item in search.best or item == graph.goal for item in range(graph.goal + 1)]
    order = [(item, way) for item, way in derivation(graph, allowed) if item != graph.goal]
    chosen = tuple(graph.names[item] for item, _ in order)
    cost_s = cost_of(search.problem, chosen)
    proven = open_weight is None
    bound_s = cost_s if open_weight is None else min(cost_s, search.scale.cost_s(open_weight))
    proof = Proof(search.named(search.small.forced), root) if proven and search.visited <= PROOF_NODES else None
    no_goods = tuple(NoGood(search.named(together), search.named(unless)) for together, unless in search.no_goods)
    ways = {graph.names[item]: search.named(graph.needs[way]) for item, way in order}
    return Closure(chosen, ways, cost_s, bound_s, proven, search.visited, no_goods, proof)
