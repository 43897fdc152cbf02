"""Order of operations: against all orders of small sets, and the settling of valves and safety joints."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.domain.planning.random_problems import least_changes_by_enumeration

from benchtrail.domain.planning.operations import Mode, Operation, can_be_walked
from benchtrail.domain.planning.order import Ordered, least_changes
from benchtrail.domain.refused import Refused

TOOLS, SIDES = ["t1", "t2", "t3"], ["left", "right"]


@st.composite
def operation_sets(draw: st.DrawFn, most: int = 6) -> list[Operation]:
    """Operations with AND and OR needs, several tools that will do, and facts."""
    count = draw(st.integers(1, most))
    found = []
    for number in range(count):
        before = [f"o{n}" for n in range(number)]
        marker = draw(st.integers(0, 4)) == 0
        modes = []
        for _ in range(draw(st.integers(1, 2))):
            needs = draw(st.frozensets(st.sampled_from(before), max_size=2)) if before else frozenset()
            tools = draw(st.frozensets(st.sampled_from(TOOLS), max_size=2))
            side = draw(st.frozensets(st.sampled_from(SIDES), max_size=1))
            modes.append(Mode(needs) if marker else Mode(needs, (tools, side)))
        found.append(Operation(f"o{number}", tuple(modes), marker))
    return found


@given(operation_sets())
@settings(max_examples=150, deadline=None)
def test_cost_is_that_of_the_best_of_all_orders(operations: list[Operation]) -> None:
    ordered = least_changes(operations, [1, 3])
    assert ordered.proven
    assert ordered.cost == least_changes_by_enumeration(operations, [1, 3])
    assert_walkable(operations, ordered)


@given(operation_sets(most=9))
@settings(max_examples=100, deadline=None)
def test_exact_order_never_costs_more_than_the_greedy_one(operations: list[Operation]) -> None:
    greedy = least_changes(operations, [1, 3], time_is_up=lambda: True, beam=1)
    exact = least_changes(operations, [1, 3])
    assert exact.cost <= greedy.cost
    assert greedy.bound <= exact.cost
    assert_walkable(operations, greedy)


def assert_walkable(operations: list[Operation], ordered: Ordered) -> None:
    by_id = {operation.id: operation for operation in operations}
    assert sorted(key for key, _ in ordered.steps) == sorted(by_id)
    assert can_be_walked(by_id, ordered.steps)
    labels = [(None, None), *(label for _, label in ordered.steps)]
    changes = sum(cost for one, two in pairwise(labels)
                  for cost, a, b in zip((1, 3), one, two, strict=True) if a != b)
    assert changes <= ordered.cost


def op(key: str, needs: str = "", tool: str = "", late: bool = False, early: bool = False) -> Operation:
    return Operation(key, (Mode(frozenset(needs.split()), (frozenset(tool.split()),)),), late=late, early=early)


def test_everything_that_the_tool_in_hand_allows_is_done_first() -> None:
    ordered = least_changes([op("a", tool="t1"), op("b", tool="t2"), op("c", "a", tool="t1"), op("d", "b", tool="t2")], [1])
    assert ordered.cost == 2
    assert [key for key, _ in ordered.steps] in (["a", "c", "b", "d"], ["b", "d", "a", "c"])


def test_safety_joints_are_disturbed_as_late_as_the_changes_allow() -> None:
    ordered = least_changes([op("a_brake", tool="t1", late=True), op("b", tool="t1"), op("c", tool="t1")], [1])
    assert [key for key, _ in ordered.steps][-1] == "a_brake"
    assert ordered.cost == 1


def test_valve_is_shut_first() -> None:
    ordered = least_changes([op("bolt", tool="t1"), op("valve", "", early=True), op("hose", "valve", tool="t2")], [1])
    assert ordered.steps[0][0] == "valve"


def test_start_in_hand_costs_nothing() -> None:
    operations = [op("a", tool="t1"), op("b", tool="t2")]
    assert least_changes(operations, [1], start=("t1",)).cost == 1
    assert least_changes(operations, [1]).cost == 2


def test_circle_is_refused_with_its_operations() -> None:
    with pytest.raises(Refused) as refusal:
        least_changes([op("a", "b"), op("b", "a"), op("c")], [1])
    assert refusal.value.code == "order_circular"
    assert refusal.value.values["operations"] == "a, b"


def test_sixty_operations_end_in_time_with_an_honest_gap() -> None:
    operations = [Operation(f"o{n:02}", (Mode(frozenset([f"o{n - 5:02}"] if n >= 5 else []),
                                              (frozenset([f"t{n * 7 % 6}"]), frozenset([f"s{n * 5 % 3}"]))),)) for n in range(60)]
    calls = iter(range(10**9))
    ordered = least_changes(operations, [1, 3], time_is_up=lambda: next(calls) > 200, beam=30)
    assert ordered.bound <= ordered.cost
    assert ordered.bound > 0
    assert_walkable(operations, ordered)
