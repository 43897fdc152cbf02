"""A least-work problem: items that can be done, each with alternative sets of items that must be done before it.

Knows the AND/OR structure and its costs only; nothing of machines, words or order of work.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from benchtrail.domain.refused import Refused

FREE: tuple[frozenset[str], ...] = (frozenset(),)
NEVER: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True)
class Item:
    """One thing that can be done. `alternatives`: one of these sets must be done first; `FREE` needs nothing, `NEVER`
    cannot be done. `cost_s` in whole seconds; seals, safety joints and tray parts break ties in this order."""

    id: str
    alternatives: tuple[frozenset[str], ...] = FREE
    cost_s: int = 0
    seals: int = 0
    safety: int = 0
    tray: int = 0


@dataclass(frozen=True)
class NoGood:
    """What may not be: all of `together` chosen and none of `unless`. Ordering finds these: two poses at one instant."""

    together: frozenset[str]
    unless: frozenset[str]

    def forbids(self, chosen: frozenset[str]) -> bool:
        return self.together <= chosen and not (self.unless & chosen)


@dataclass(frozen=True)
class Problem:
    """Items by id and the goals that must be reached. Every id named in an alternative is an item."""

    items: Mapping[str, Item]
    goals: frozenset[str]
    no_goods: tuple[NoGood, ...] = field(default=())


Refuse = Callable[[frozenset[str]], NoGood | None]
TimeIsUp = Callable[[], bool]


def never_up() -> bool:
    """The clock of a search without a time limit."""
    return False


def problem_of(items: Iterable[Item], goals: Iterable[str]) -> Problem:
    """A checked problem. Raises Refused("plan_unknown_item") for an id that no item has, "plan_negative_cost"."""
    by_id = {item.id: item for item in items}
    wanted = frozenset(goals)
    named = {need for item in by_id.values() for way in item.alternatives for need in way}
    for unknown in sorted((named | wanted) - by_id.keys()):
        raise Refused("plan_unknown_item", item=unknown)
    for item in by_id.values():
        if min(item.cost_s, item.seals, item.safety, item.tray) < 0:
            raise Refused("plan_negative_cost", item=item.id)
    return Problem(by_id, wanted)


def cost_of(problem: Problem, chosen: Iterable[str]) -> int:
    """Sum of the costs of `chosen`, in seconds, each item counted once."""
    return sum(problem.items[item].cost_s for item in set(chosen))


def ties_of(problem: Problem, chosen: Iterable[str]) -> tuple[int, int, int]:
    """(seals disturbed, safety joints disturbed, parts in the tray): compared in this order when costs are equal."""
    items = [problem.items[item] for item in set(chosen)]
    return sum(i.seals for i in items), sum(i.safety for i in items), sum(i.tray for i in items)


def time_up(goals: Iterable[str], bound_s: int = 0) -> Refused:
    """That no plan was found in time, with what is proven all the same: no plan costs less than `bound_s` seconds."""
    least = f"none takes less than {bound_s / 60:.1f} minutes" if bound_s else "nothing is known of how long it takes"
    return Refused("plan_time_up", goals=", ".join(sorted(goals)), least=least, bound_s=bound_s)
