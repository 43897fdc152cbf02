"""Poses that must last: a joint opened under a full fluid holds only as long as the machine stays in a pose that keeps
the fluid in. Finds sets of items that no order can do for that reason, and the edges that an order must respect.

Knows items and a machine's poses and fluids; nothing of costs.
"""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from benchtrail.domain.planning.needs import Machine, Way
from benchtrail.domain.planning.problem import Item, NoGood, Problem, TimeIsUp, never_up, time_up
from benchtrail.domain.refused import Refused

Dodge = tuple[str, str]  # fluid, pose


@dataclass(frozen=True)
class Phase:
    """Items done in one phase with the way each took, and the dodge (fluid, pose) with whose opening the phase begins;
    None: the first one."""

    items: tuple[tuple[str, Way], ...]
    dodge: Dodge | None


class Windows:
    """Pose windows of one problem on one machine. Raises Refused("plan_time_up") once `give_up` says so."""

    def __init__(self, machine: Machine, problem: Problem, give_up: TimeIsUp = never_up) -> None:
        self.machine, self.problem, self.give_up = machine, problem, give_up
        self.families = {f"pose:{key}": pose["family"] for key, pose in machine["poses"].items()}

    def dodges(self, item: Item, way: Way) -> list[Dodge]:
        """The fluids that this way of undoing a joint keeps in by a pose alone, with the pose."""
        kind, _, key = item.id.partition(":")
        if kind != "un":
            return []
        joint = self.machine["joints"][key]
        poses = [pose for pose in joint["dry_in"] if f"pose:{pose}" in way]
        return [(fluid, pose) for fluid in joint["holds"] if f"drained:{fluid}" not in way for pose in poses[:1]
                if self.machine["fluids"][fluid]["drain"] != key or self.machine["fluids"][fluid]["fill"] == key]

    def phases(self, wanted: frozenset[str], allowed: frozenset[str]) -> list[Phase] | None:
        """Phases in which all `wanted` items can be done with the `allowed` ones, or None if no order can.

        Doing more never hurts within a phase, so a phase does all that it can; then one more dodge is opened.
        """
        return self._continued(wanted, allowed, frozenset(), (), [], set())

    def _continued(self, wanted: frozenset[str], allowed: frozenset[str], done: frozenset[str], opened: tuple[Dodge, ...],
                   phases: list[Phase], tried: set[tuple[frozenset[str], frozenset[Dodge]]]) -> list[Phase] | None:
        if (done, frozenset(opened)) in tried:
            return None
        tried.add((done, frozenset(opened)))
        order = self._grown(allowed, done, opened)
        done = done | frozenset(key for key, _ in order)
        phases = [*phases, Phase(tuple(order), opened[-1] if opened else None)]
        if wanted <= done:
            return phases
        for dodge in self._next_dodges(allowed, done, opened):
            found = self._continued(wanted, allowed, done, (*opened, dodge), phases, tried)
            if found is not None:
                return found
        return None

    def _grown(self, allowed: frozenset[str], done: frozenset[str],
               opened: tuple[Dodge, ...]) -> list[tuple[str, Way]]:
        """All that can be done now; of several ways one that keeps no fluid in by a pose comes first."""
        order: list[tuple[str, Way]] = []
        now = set(done)
        grown = True
        while grown:
            self._in_time()
            grown = False
            for key in sorted(allowed - now):
                item = self.problem.items[key]
                free = [way for way in item.alternatives if self._may(item, way, now, opened)]
                if free:
                    now.add(key)
                    order.append((key, min(free, key=lambda way: (len(self.dodges(item, way)), len(way), sorted(way)))))
                    grown = True
        return order

    def _in_time(self) -> None:
        if self.give_up():
            raise time_up(self.problem.goals)

    def _may(self, item: Item, way: Way, done: AbstractSet[str], opened: tuple[Dodge, ...]) -> bool:
        """True if the way can be gone now: needs met, poses not held otherwise, no dodge that is not open yet."""
        return way <= done and self._poses_free(way, done, opened) and all(
            dodge in opened for dodge in self.dodges(item, way))

    def _poses_free(self, way: Way, done: AbstractSet[str], opened: tuple[Dodge, ...]) -> bool:
        locks = {self.families[f"pose:{pose}"]: f"pose:{pose}" for fluid, pose in opened if f"drained:{fluid}" not in done}
        return all(locks.get(self.families[need], need) == need for need in way if need in self.families)

    def _next_dodges(self, allowed: frozenset[str], done: frozenset[str], opened: tuple[Dodge, ...]) -> list[Dodge]:
        found: set[Dodge] = set()
        for key in allowed - done:
            item = self.problem.items[key]
            for way in item.alternatives:
                dodges = self.dodges(item, way)
                if dodges and way <= done and self._poses_free(way, done, opened):
                    found.update(dodge for dodge in dodges if dodge not in opened)
        return sorted(found)

    def refuse(self, chosen: frozenset[str]) -> NoGood | None:
        """None if some order does all of `chosen`; else what may not be chosen together, and what would lift that. Once
        `give_up` says so, it is told of these very items that they cannot be done without any other."""
        if not any(self.dodges(self.problem.items[key], way) for key in chosen
                   for way in self.problem.items[key].alternatives if way <= chosen):
            return None
        if self.phases(chosen, chosen) is not None:
            return None
        allowed, together = set(chosen), set(chosen)
        for key in sorted(self.problem.items.keys() - chosen):
            if self._cannot(together, allowed | {key}):
                allowed.add(key)
        for key in sorted(chosen):
            if self._cannot(together - {key}, allowed):
                together.discard(key)
        return NoGood(frozenset(together), frozenset(self.problem.items.keys() - allowed))

    def _cannot(self, wanted: set[str], allowed: set[str]) -> bool:
        """True if no order does what is wanted; False too if there is no time to find out."""
        try:
            return not self.give_up() and self.phases(frozenset(wanted), frozenset(allowed)) is None
        except Refused:
            return False

    def edges(self, chosen: frozenset[str], ways: dict[str, list[Way]]) -> dict[str, set[str]]:
        """What must come before each item beyond its ways: acts in another pose of the family before the joint is
        opened, or after its fluid is drained. `chosen` must have phases; of an item that could keep a fluid in, `ways`
        is narrowed to the way that the phases take."""
        phases = self.phases(chosen, chosen) or []
        rank = {key: number for number, phase in enumerate(phases) for key, _ in phase.items}
        taken = {key: way for phase in phases for key, way in phase.items}
        before: dict[str, set[str]] = {}
        for key in sorted(chosen):
            item = self.problem.items[key]
            if any(self.dodges(item, way) for way in ways[key]):
                ways[key] = [taken[key]]
                for fluid, pose in self.dodges(item, taken[key]):
                    self._window(before, chosen, ways, rank, key, fluid, pose)
        return before

    def _window(self, before: dict[str, set[str]], chosen: frozenset[str], ways: Mapping[str, Iterable[Way]],
                rank: Mapping[str, int], key: str, fluid: str, pose: str) -> None:
        family, drained = self.families[f"pose:{pose}"], f"drained:{fluid}"
        for other in sorted(chosen - {key}):
            poses = {need for way in ways[other] for need in way if self.families.get(need) == family}
            if poses and f"pose:{pose}" not in poses:
                if rank[other] < rank[key] or drained not in chosen:
                    before.setdefault(key, set()).add(other)
                elif rank[other] > rank[key] or other != drained:
                    before.setdefault(other, set()).add(drained)
