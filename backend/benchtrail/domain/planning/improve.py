"""Good plans quickly: trims a plan to what it needs, and exchanges one item at a time for something cheaper.

Gives upper bounds only; what is proven is proven in closure. Knows graphs and weights.
"""

from heapq import heapify, heappop, heappush

from benchtrail.domain.planning.graph import Graph, derivation
from benchtrail.domain.planning.problem import TimeIsUp

Order = list[tuple[int, int]]


def trimmed(tree: Graph, order: Order, forced: frozenset[int], most: int | None = None) -> frozenset[int]:
    """A plan with nothing in it that can be left out: what the goal leads back to, then item by item, dear first. `most`:
    only so many items are looked at, and more may be left in."""
    plan = _led_back(tree, order)
    for item in sorted(plan - forced - {tree.goal}, key=lambda i: (-tree.weights[i], i))[:most]:
        if item in plan and _may_go(tree, plan, item):
            allowed = [other in plan and other != item for other in range(tree.goal + 1)]
            kept = derivation(tree, allowed, [tree.goal])
            if kept and kept[-1][0] == tree.goal:
                plan = _led_back(tree, kept)
    return frozenset(plan - {tree.goal})


def _may_go(tree: Graph, plan: set[int], item: int) -> bool:
    """False if some item of the plan has no way left without this one."""
    for use in tree.uses[item]:
        head = tree.heads[use]
        others = (tree.needs[way] for way in tree.ways[head])
        if head in plan and not any(item not in needs and plan.issuperset(needs) for needs in others):
            return False
    return True


def _led_back(tree: Graph, order: Order) -> set[int]:
    way_of = dict(order)
    plan: set[int] = set()
    waiting = [tree.goal]
    while waiting:
        item = waiting.pop()
        if item not in plan:
            plan.add(item)
            waiting.extend(tree.needs[way_of[item]])
    return plan


def cheapest_tree(tree: Graph, weights: list[int], blocked: frozenset[int]) -> Order | None:
    """A derivation of the goal in which every item takes the way with the least sum of costs, shared work counted
    again and again: a guess, not the optimum. None if there is none."""
    missing = [len(needs) for needs in tree.needs]
    cost = [0] * len(tree.needs)
    free = [way for way, count in enumerate(missing) if count == 0 and tree.heads[way] not in blocked]
    heap = [(weights[tree.heads[way]], tree.heads[way], way) for way in free]
    heapify(heap)
    done: set[int] = set()
    order: Order = []
    while heap:
        value, item, way = heappop(heap)
        if item in done:
            continue
        done.add(item)
        order.append((item, way))
        if item == tree.goal:
            return order
        for use in tree.uses[item]:
            cost[use] += value
            missing[use] -= 1
            head = tree.heads[use]
            if missing[use] == 0 and head not in done and head not in blocked:
                heappush(heap, (cost[use] + weights[head], head, use))
    return None


def exchanged(tree: Graph, plan: frozenset[int], forced: frozenset[int], tries: int,
              time_is_up: TimeIsUp) -> frozenset[int]:
    """The plan after single exchanges: leave one item out, mend with what costs least beside the rest, keep if less."""
    weights = tree.weights
    tried: set[int] = set()
    best = sum(weights[item] for item in plan)
    queue = sorted(plan - forced, key=lambda i: (-weights[i], i))
    while queue and len(tried) < tries and not time_is_up():
        item = queue.pop(0)
        if item in tried:
            continue
        tried.add(item)
        beside = [0 if other in plan else weight for other, weight in enumerate(weights)]
        order = cheapest_tree(tree, beside, frozenset([item]))
        if order is None:
            continue
        mended = trimmed(tree, order, forced)
        weight = sum(weights[i] for i in mended)
        if weight < best:
            plan, best = mended, weight
            queue = sorted(plan - forced, key=lambda i: (-weights[i], i))
    return plan
