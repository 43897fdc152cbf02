"""Makes a least-work graph smaller without losing any cheapest plan. Knows graphs only; nothing of costs.

It may be stopped at any time: what was found by then holds, and less is taken away. What is taken away: items that nothing
can reach, items that no goal asks for, ways that need what they make, and ways that can be replaced by another of the same
item whose needs are met anyway. Source: our derivation; every reduction is checked against full enumeration in
tests/domain/planning.
"""

from collections import deque
from dataclasses import dataclass

from benchtrail.domain.planning.graph import Graph, derivation, linked
from benchtrail.domain.planning.problem import TimeIsUp, never_up


@dataclass(frozen=True)
class Reduced:
    """The smaller graph (same numbers), the items of every plan, the items that some plan may still hold, and those
    that can be done at all."""

    graph: Graph
    forced: frozenset[int]
    relevant: frozenset[int]
    possible: frozenset[int]


def reduced(graph: Graph, keep: frozenset[int] = frozenset(), time_is_up: TimeIsUp = never_up) -> Reduced | None:
    """The reduced graph, or None if the goal cannot be derived at all. Items in `keep` stay though no goal asks for
    them: a no-good may make them worth doing. `time_is_up` ends it with what is found by then."""
    possible: frozenset[int] = frozenset()
    while True:
        order = derivation(graph, [True] * (graph.goal + 1))
        reached = {item for item, _ in order}
        possible = possible or frozenset(reached)
        if graph.goal not in reached:
            return None
        ranked = [item for item, _ in order]
        must = _musts(graph, ranked, reached, time_is_up)
        kept = _kept_ways(graph, ranked, reached, must, time_is_up)
        relevant = _asked_for(graph, kept, keep & reached)
        kept = [way for way in kept if graph.heads[way] in relevant]
        as_it_was = len(kept) == len(graph.heads)
        if not as_it_was:
            heads, needs = [graph.heads[way] for way in kept], [graph.needs[way] for way in kept]
            graph = linked(graph.names, heads, needs, graph.weights, graph.goal)
        if as_it_was or time_is_up():
            forced = frozenset(_numbers(must[graph.goal])) - {graph.goal}
            return Reduced(graph, forced, frozenset(relevant - {graph.goal}), possible)


def _musts(graph: Graph, ranked: list[int], reached: set[int], time_is_up: TimeIsUp) -> list[int]:
    """For each item the bit set of items in every derivation of it, itself included: the greatest fixpoint of
    must(i) = {i} ∪ ⋂ over its ways ⋃ over their needs. Before that is found each item is known to need itself alone, and
    the goal what it asks for."""
    everything = sum(1 << item for item in ranked)
    must = [everything] * (graph.goal + 1)
    changed = True
    while changed:
        if time_is_up():
            return [_asked(graph, item) if item == graph.goal else 1 << item for item in range(graph.goal + 1)]
        changed = False
        for item in ranked:
            common = everything
            for way in graph.ways[item]:
                if reached.issuperset(graph.needs[way]):
                    common &= _union(must, graph.needs[way])
            common |= 1 << item
            if common != must[item]:
                must[item], changed = common, True
    return must


def _asked(graph: Graph, item: int) -> int:
    """An item and what all of its ways need."""
    ways = [sum(1 << need for need in graph.needs[way]) for way in graph.ways[item]]
    common = ways[0]
    for needs in ways:
        common &= needs
    return common | 1 << item


def _union(sets: list[int], members: tuple[int, ...]) -> int:
    union = 0
    for member in members:
        union |= sets[member]
    return union


def _onwards(graph: Graph, ranked: list[int], reached: set[int], time_is_up: TimeIsUp) -> list[int] | None:
    """For each item the bit set of items in some derivation of which it may take part; None when the time is up."""
    onward = [0] * (graph.goal + 1)
    waiting = deque(reversed(ranked))
    queued = set(ranked)
    while waiting:
        if time_is_up():
            return None
        head = waiting.popleft()
        queued.discard(head)
        reaches = onward[head] | 1 << head
        for way in graph.ways[head]:
            for need in graph.needs[way]:
                if need in reached and reaches & ~onward[need]:
                    onward[need] |= reaches
                    if need not in queued:
                        queued.add(need)
                        waiting.append(need)
    return onward


def _kept_ways(graph: Graph, ranked: list[int], reached: set[int], must: list[int], time_is_up: TimeIsUp) -> list[int]:
    onward = _onwards(graph, ranked, reached, time_is_up)
    forced = must[graph.goal]
    kept: list[int] = []
    for item in ranked:
        ways = [w for w in graph.ways[item] if reached.issuperset(graph.needs[w])]
        late = onward is None or time_is_up()
        kept += ways if late or onward is None else _undominated(
            graph, item, ways, must, forced & ~onward[item] & ~(1 << item))
    return sorted(kept)


def _undominated(graph: Graph, item: int, ways: list[int], must: list[int], given: int) -> list[int]:
    """Ways that no other way of the item replaces. `given`: items that are done in every plan without this item."""
    closed = {way: _union(must, graph.needs[way]) for way in ways}
    ways = [way for way in ways if not closed[way] >> item & 1]
    own = {way: sum(1 << need for need in graph.needs[way]) for way in ways}
    kept = []
    for way in ways:
        replaced = any(
            other != way and not own[other] & ~(closed[way] | given)
            and (own[way] & ~(closed[other] | given) or other < way)
            for other in ways
        )
        if not replaced:
            kept.append(way)
    return kept


def _asked_for(graph: Graph, kept: list[int], keep: frozenset[int]) -> set[int]:
    ways: dict[int, list[int]] = {}
    for way in kept:
        ways.setdefault(graph.heads[way], []).append(way)
    found, waiting = {graph.goal, *keep}, [graph.goal, *keep]
    while waiting:
        for way in ways.get(waiting.pop(), []):
            for need in graph.needs[way]:
                if need not in found:
                    found.add(need)
                    waiting.append(need)
    return found


def _numbers(bits: int) -> list[int]:
    numbers = []
    while bits:
        low = bits & -bits
        numbers.append(low.bit_length() - 1)
        bits ^= low
    return numbers
