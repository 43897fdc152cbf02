"""Random small problems for properties, and their answers by full enumeration."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations

from hypothesis import strategies as st

from benchtrail.domain.planning.operations import Label, Operation, fits
from benchtrail.domain.planning.problem import Item, NoGood, Problem, cost_of, problem_of, ties_of

NAMES = [f"item_{letter}" for letter in "abcdefghijk"]
Key = tuple[object, ...]


@st.composite
def problems(draw: st.DrawFn, most: int = 10, with_no_goods: bool = True) -> Problem:
    """A problem of 3 to `most` items, with circles, dead ends, shared work and sometimes no-goods."""
    names = NAMES[: draw(st.integers(3, most))]
    ways = st.lists(st.frozensets(st.sampled_from(names), max_size=3), max_size=3, unique=True)
    small = st.integers(0, 1)
    items = [Item(name, tuple(way for way in draw(ways) if name not in way) if draw(st.integers(0, 3)) else (frozenset(),),
                  draw(st.integers(0, 6)), draw(small), draw(small), draw(small)) for name in names]
    goals = draw(st.frozensets(st.sampled_from(names), min_size=1, max_size=2))
    problem = problem_of(items, goals)
    if not with_no_goods:
        return problem
    pairs = st.frozensets(st.sampled_from(names), min_size=1, max_size=2)
    no_goods = draw(st.lists(st.builds(NoGood, pairs, st.frozensets(st.sampled_from(names), max_size=2)), max_size=2))
    return replace(problem, no_goods=tuple(no_goods))


def doable(problem: Problem, chosen: frozenset[str]) -> frozenset[str]:
    """What of a set can be done one after another from nothing."""
    done: set[str] = set()
    while True:
        now = {key for key in chosen - done if any(way <= done for way in problem.items[key].alternatives)}
        if not now:
            return frozenset(done)
        done |= now


def best_by_enumeration(problem: Problem) -> frozenset[str] | None:
    """The cheapest set by looking at all of them; ties as the rule says, the last differing id deciding."""
    names = sorted(problem.items)
    best: tuple[Key, frozenset[str]] | None = None
    for bits in range(1 << len(names)):
        chosen = frozenset(name for number, name in enumerate(names) if bits >> number & 1)
        if not problem.goals <= chosen or any(no_good.forbids(chosen) for no_good in problem.no_goods):
            continue
        key: Key = (cost_of(problem, chosen), *ties_of(problem, chosen), bits)
        if (best is None or key < best[0]) and doable(problem, chosen) == chosen:
            best = (key, chosen)
    return best[1] if best else None


def cheapest_tree_cost(problem: Problem) -> int:
    """The dear guess: every item's cheapest way as if nothing were shared."""
    value: dict[str, int] = {}
    for _ in problem.items:
        for key, item in problem.items.items():
            sums = [sum(value[need] for need in way) for way in item.alternatives if way <= value.keys()]
            if sums:
                value[key] = min([item.cost_s + min(sums), *([value[key]] if key in value else [])])
    return sum(value[goal] for goal in problem.goals)


def least_changes_by_enumeration(operations: list[Operation], costs: list[int]) -> int | None:
    """The least cost over all orders and all choices of labels."""
    best: int | None = None
    by_id: Mapping[str, Operation] = {operation.id: operation for operation in operations}
    for order in permutations(sorted(by_id)):
        states: dict[Label, int] = {(None,) * len(costs): 0}
        done: set[str] = set()
        for key in order:
            states = _after(by_id[key], states, done, costs)
            done.add(key)
            if not states:
                break
        if states:
            best = min(states.values()) if best is None else min(best, *states.values())
    return best


def _after(operation: Operation, states: dict[Label, int], done: set[str], costs: list[int]) -> dict[Label, int]:
    found: dict[Label, int] = {}
    for mode in operation.modes:
        if not mode.needs <= done:
            continue
        for label, cost in states.items():
            values = mode.values or (frozenset(),) * len(costs)
            for after in _labels(label, values):
                price = cost + sum(c for c, a, b in zip(costs, label, after, strict=True) if a != b)
                assert fits(values, after)
                found[after] = min(price, found.get(after, price))
    return found


def _labels(label: Label, values: tuple[frozenset[str], ...]) -> list[Label]:
    labels: list[Label] = [()]
    for value, allowed in zip(label, values, strict=True):
        choices: list[str | None] = [value] if not allowed or value in allowed else sorted(allowed)
        labels = [(*chosen, choice) for chosen in labels for choice in choices]
    return labels
