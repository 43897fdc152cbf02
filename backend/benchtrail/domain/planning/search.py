"""One place of the search for least work: its bound, the plan that the bound suggests, and how it is split.

Knows numbered graphs; the order in which places are visited, and what is told to the outside, are in closure.py.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from benchtrail.domain.planning.cuts import Bound, Cut, raise_bound
from benchtrail.domain.planning.graph import Graph, Scale, derivation, with_goals
from benchtrail.domain.planning.improve import exchanged, trimmed
from benchtrail.domain.planning.problem import NoGood, Problem, Refuse, TimeIsUp
from benchtrail.domain.planning.reduce import Reduced
from benchtrail.domain.refused import Refused

PROOF_NODES = 4000
EXCHANGES = 300
# items that are looked at when a plan is trimmed though the time is up
LATE_TRIMS = 200
NumberedNoGood = tuple[frozenset[int], frozenset[int]]
NamedCuts = tuple[tuple[frozenset[str], int], ...]


@dataclass
class ProofNode:
    """What was shown at one place of the search: `cuts` bound it from below; `dropped` are items that these cuts show
    to be too dear; then nothing (the bound reaches the answer) or a branching on `item`: with it, without it."""

    cuts: NamedCuts = ()
    dropped: frozenset[str] = frozenset()
    item: str | None = None
    with_item: "ProofNode | None" = None
    without_item: "ProofNode | None" = None


@dataclass
class Place:
    """`paid` items are in the plan (and are goals), `blocked` are not; `total` bounds what a plan weighs here."""

    total: int
    paid: frozenset[int]
    blocked: frozenset[int]
    cuts: list[Cut]
    proof: ProofNode


@dataclass
class Search:
    """What the whole search shares. `narrow`: a no-good names an item that the reduced graph lacks; start again."""

    problem: Problem
    graph: Graph
    scale: Scale
    small: Reduced
    refuse: Refuse | None
    time_is_up: TimeIsUp
    no_goods: list[NumberedNoGood] = field(default_factory=list)
    best: frozenset[int] = frozenset()
    best_weight: int | None = None
    visited: int = 0
    narrow: NoGood | None = None

    def weight(self, items: Iterable[int]) -> int:
        """What items weigh together."""
        return sum(self.graph.weights[item] for item in items)

    def named(self, items: Iterable[int]) -> frozenset[str]:
        """The ids of items."""
        return frozenset(self.graph.names[item] for item in items)

    def named_cuts(self, cuts: list[Cut]) -> NamedCuts:
        """Cuts by ids; none once the proof has grown too long to be kept."""
        return tuple((self.named(members), amount) for members, amount in cuts) if self.visited <= PROOF_NODES else ()

    def worth(self, total: int) -> bool:
        """True if a plan of this weight would be better than the best so far."""
        return self.best_weight is None or total < self.best_weight


def visited(search: Search, place: Place) -> list[Place]:
    """Raises the place's bound, tries the plan that it suggests, and splits it if the two do not meet."""
    tree = with_goals(search.small.graph, sorted(place.paid - search.small.forced))
    blocked = [item in place.blocked for item in range(search.graph.goal + 1)]
    bound = _bound_of(search, place)
    paid = search.weight(place.paid)
    enough = None if search.best_weight is None else search.best_weight - paid
    possible = _take_no_goods(search, place, bound) and raise_bound(tree, bound, blocked, enough, search.time_is_up)
    place.total = paid + bound.total
    place.proof.cuts = search.named_cuts(bound.cuts)
    if possible and search.time_is_up():
        return _left_open(search, tree, place, blocked)
    try:
        pivot = _tried(search, tree, place, bound) if possible else None
    except Refused as refusal:
        if refusal.code != "plan_time_up":
            raise
        # there was no time to find out whether the plan can be ordered: the place stays undecided
        return [place] if search.worth(place.total) else []
    return _split(search, place, bound, pivot) if pivot is not None and search.worth(place.total) else []


def _left_open(search: Search, tree: Graph, place: Place, blocked: list[bool]) -> list[Place]:
    """The place itself, undecided; some plan of it is kept if there is none better yet."""
    order = derivation(tree, [not shut for shut in blocked], [tree.goal])
    if order[-1][0] != tree.goal:
        return []
    plan = trimmed(tree, order, search.small.forced, LATE_TRIMS)
    try:
        if _forbidden(search, plan) is None and search.worth(search.weight(plan)):
            search.best, search.best_weight = plan, search.weight(plan)
    except Refused as refusal:
        if refusal.code != "plan_time_up":
            raise
    return [place] if search.worth(place.total) else []


def _bound_of(search: Search, place: Place) -> Bound:
    bound = Bound([0 if item in place.paid else weight for item, weight in enumerate(search.graph.weights)])
    for members, amount in place.cuts:
        bound.take(members, amount)
    return bound


def _take_no_goods(search: Search, place: Place, bound: Bound) -> bool:
    """A no-good whose items are all paid for is a cut of the items that would lift it. False: nothing can lift it."""
    for together, unless in search.no_goods:
        if not together <= place.paid or unless & place.paid:
            continue
        members = tuple(sorted(unless - place.blocked))
        if not members:
            return False
        amount = min(bound.left[item] for item in members)
        if amount:
            bound.take(members, amount)
    return True


def _tried(search: Search, tree: Graph, place: Place, bound: Bound) -> int | None:
    """Keeps the plan that items without weight left hold, if it is the best so far; answers the item to split on."""
    free = [left == 0 and item not in place.blocked for item, left in enumerate(bound.left)]
    order = derivation(tree, free, [tree.goal])
    if order[-1][0] != tree.goal:
        return None
    plan = trimmed(tree, order, search.small.forced)
    if search.visited == 1:
        plan = exchanged(tree, plan, search.small.forced, EXCHANGES, search.time_is_up)
    no_good = _forbidden(search, plan)
    if no_good is not None:
        return _pivot_of_no_good(no_good, place)
    if search.worth(search.weight(plan)):
        search.best, search.best_weight = plan, search.weight(plan)
    return _pivot_of_overlap(place, bound, plan)


def _forbidden(search: Search, plan: frozenset[int]) -> NumberedNoGood | None:
    for no_good in search.no_goods:
        if no_good[0] <= plan and not no_good[1] & plan:
            return no_good
    found = search.refuse(search.named(plan)) if search.refuse else None
    return None if found is None else _remembered(search, found)


def _remembered(search: Search, no_good: NoGood) -> NumberedNoGood:
    number = {name: item for item, name in enumerate(search.graph.names)}
    together, unless = (frozenset(number[name] for name in names) for names in (no_good.together, no_good.unless))
    if not unless & search.small.possible <= search.small.relevant:
        search.narrow = no_good
    search.no_goods.append((together, unless & search.small.relevant))
    return search.no_goods[-1]


def _pivot_of_no_good(no_good: NumberedNoGood, place: Place) -> int | None:
    together, unless = no_good
    undecided = sorted(together - place.paid) or sorted(unless - place.blocked)
    return undecided[0] if undecided else None


def _pivot_of_overlap(place: Place, bound: Bound, plan: frozenset[int]) -> int | None:
    """The item of the plan on which most of the gap rests: cuts that the plan meets more than once."""
    share: dict[int, int] = {}
    for members, amount in bound.cuts:
        met = [item for item in members if item in plan]
        for item in met if len(met) > 1 else ():
            share[item] = share.get(item, 0) + amount
    if share:
        return max(share, key=lambda item: (share[item], -item))
    return min(plan - place.paid, default=None)


def _split(search: Search, place: Place, bound: Bound, pivot: int) -> list[Place]:
    dear = _too_dear(search, place, bound)
    blocked = place.blocked | dear
    cuts = [(tuple(item for item in members if item not in blocked), amount) for members, amount in bound.cuts]
    kept = [cut for cut in cuts if pivot not in cut[0]]
    without = [(tuple(item for item in members if item != pivot), amount) for members, amount in cuts]
    paid = place.paid | {pivot}
    children = [Place(search.weight(paid) + sum(a for _, a in kept), paid, blocked, kept, ProofNode(search.named_cuts(kept))),
                Place(place.total, place.paid, blocked | {pivot}, without, ProofNode(search.named_cuts(without)))]
    place.proof.dropped, place.proof.item = search.named(dear), search.graph.names[pivot]
    place.proof.with_item, place.proof.without_item = (child.proof for child in children)
    return [child for child in children if all(members for members, _ in child.cuts)]


def _too_dear(search: Search, place: Place, bound: Bound) -> frozenset[int]:
    """Items that, added to the bound, are no better than the best plan: no better plan holds them."""
    return frozenset(item for item in search.small.relevant - place.paid - place.blocked
                     if not search.worth(place.total + bound.left[item]))
