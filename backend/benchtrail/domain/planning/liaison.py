"""All ways to take an assembly apart, as an AND/OR graph, from its parts, their contacts and what blocks what.

Knows assemblies of a handful of parts (all connected subsets are listed, so up to about 16); nothing of costs of work.
Source: the AND/OR graph of assembly plans (Homem de Mello and Sanderson, 1986 and 1990) and liaison sequences (De Fazio
and Whitney, 1987), both from memory; counts of their worked examples are in tests/reference.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations

from benchtrail.domain.refused import Refused

MOST_PARTS = 16
Parts = frozenset[str]


@dataclass(frozen=True)
class Hyperarc:
    """One assembly taken apart into two."""

    whole: Parts
    halves: frozenset[Parts]


@dataclass(frozen=True)
class Blocked:
    """`mover` cannot be parted from `passage` while all of `ends` stay on one side: they close the way out."""

    mover: str
    passage: str
    ends: Parts

    def forbids(self, one: Parts, other: Parts) -> bool:
        """True if this parting is blocked."""
        for here, there in ((one, other), (other, one)):
            if self.mover in here and self.passage in there and (self.ends <= here or self.ends <= there):
                return True
        return False


@dataclass(frozen=True)
class AndOrGraph:
    """Every assembly that can come about, and every way to part it."""

    root: Parts
    nodes: frozenset[Parts]
    hyperarcs: frozenset[Hyperarc]

    def ways(self, whole: Parts) -> list[Hyperarc]:
        """The ways to part one assembly."""
        return [arc for arc in self.hyperarcs if arc.whole == whole]


def and_or_graph(parts: Iterable[str], contacts: Iterable[Parts], rules: Sequence[Blocked] = ()) -> AndOrGraph:
    """The graph of all partings of the whole into two connected halves that no rule forbids.

    Raises Refused("assembly_too_large" | "assembly_not_connected").
    """
    whole, touching = frozenset(parts), [frozenset(contact) for contact in contacts]
    if len(whole) > MOST_PARTS:
        raise Refused("assembly_too_large", parts=len(whole), limit=MOST_PARTS)
    if not whole or not _connected(whole, touching):
        raise Refused("assembly_not_connected", parts=", ".join(sorted(whole)))
    nodes: set[Parts] = set()
    arcs: set[Hyperarc] = set()
    waiting = [whole]
    while waiting:
        assembly = waiting.pop()
        if assembly in nodes:
            continue
        nodes.add(assembly)
        for one, other in _partings(assembly, touching, rules):
            arcs.add(Hyperarc(assembly, frozenset([one, other])))
            waiting += [one, other]
    return AndOrGraph(whole, frozenset(nodes), frozenset(arcs))


def _partings(assembly: Parts, touching: list[Parts], rules: Sequence[Blocked]) -> list[tuple[Parts, Parts]]:
    first, *others = sorted(assembly)
    found = []
    for size in range(len(others)):
        for chosen in combinations(others, size):
            one = frozenset([first, *chosen])
            other = assembly - one
            if _connected(one, touching) and _connected(other, touching) and not any(
                    rule.forbids(one, other) for rule in rules):
                found.append((one, other))
    return found


def _connected(parts: Parts, touching: list[Parts]) -> bool:
    found, waiting = set(), [min(parts)]
    while waiting:
        part = waiting.pop()
        if part not in found:
            found.add(part)
            waiting += [other for contact in touching if part in contact for other in contact & parts]
    return found == parts


def count_trees(graph: AndOrGraph) -> int:
    """How many ways there are to take the whole apart, the order of independent partings not counted."""
    @cache
    def trees(assembly: Parts) -> int:
        total = 0
        for arc in graph.ways(assembly):
            one, other = arc.halves
            total += trees(one) * trees(other)
        return total if len(assembly) > 1 else 1
    return trees(graph.root)


def count_sequences(graph: AndOrGraph, one_part_at_a_time: bool = False) -> int:
    """How many orders of partings take the whole apart; or only those in which each parting frees a single part."""
    @cache
    def sequences(state: frozenset[Parts]) -> int:
        open_assemblies = [assembly for assembly in state if len(assembly) > 1]
        if not open_assemblies:
            return 1
        return sum(sequences(state - {arc.whole} | arc.halves) for assembly in open_assemblies
                   for arc in graph.ways(assembly)
                   if not one_part_at_a_time or any(len(half) == 1 for half in arc.halves))
    return sequences(frozenset([graph.root]))


def cheapest_tree(graph: AndOrGraph, cost: Callable[[Hyperarc], int]) -> int:
    """The least sum of costs of partings that takes the whole apart. Partings of one tree are never shared."""
    @cache
    def least(assembly: Parts) -> int:
        if len(assembly) == 1:
            return 0
        return min(cost(arc) + sum(least(half) for half in arc.halves) for arc in graph.ways(assembly))
    return least(graph.root)


def liaison_sequences(liaisons: Sequence[str], may_follow: Callable[[str, frozenset[str]], bool]) -> int:
    """How many orders of liaisons there are in which each `may_follow` the set of those made before it."""
    whole = frozenset(liaisons)

    @cache
    def orders(made: frozenset[str]) -> int:
        if made == whole:
            return 1
        return sum(orders(made | {liaison}) for liaison in sorted(whole - made) if may_follow(liaison, made))
    return orders(frozenset())
