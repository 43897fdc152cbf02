"""Least work: against full enumeration, against HiGHS, and what must be true of every answer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.bench.synthetic_map import synthetic_goals, synthetic_map
from tests.domain.planning.random_problems import best_by_enumeration, cheapest_tree_cost, problems

from benchtrail.domain.planning.closure import Closure, least_closure
from benchtrail.domain.planning.items import plan_problem
from benchtrail.domain.planning.problem import FREE, NEVER, Item, NoGood, Problem, cost_of, problem_of, ties_of, time_up
from benchtrail.domain.planning.reduce import reduced
from benchtrail.domain.planning.search import ProofNode
from benchtrail.domain.planning.verify import faults_of
from benchtrail.domain.planning.windows import Windows
from benchtrail.domain.refused import Refused
from benchtrail.services.least_work import least_work, solved_by_program


def solved(problem: Problem) -> Closure | None:
    try:
        return least_closure(problem)
    except Refused:
        return None


def item(key: str, *ways: str, cost_s: int = 1, seals: int = 0, safety: int = 0, tray: int = 0) -> Item:
    """`item("c", "a b", "d")`: c needs a and b, or d."""
    return Item(key, tuple(frozenset(way.split()) for way in ways) or FREE, cost_s, seals, safety, tray)


@given(problems())
@settings(max_examples=300, deadline=None)
def test_answer_is_that_of_full_enumeration(problem: Problem) -> None:
    answer, best = solved(problem), best_by_enumeration(problem)
    assert (answer is None) == (best is None)
    if answer is not None:
        assert frozenset(answer.chosen) == best
        assert answer.proven
        assert faults_of(problem, answer) == []


@given(problems(), st.integers(0, 60))
@settings(max_examples=150, deadline=None)
def test_a_graph_that_there_was_no_time_to_make_small_gives_the_same_answer(problem: Problem, looks: int) -> None:
    left = iter(range(looks))
    answer, whole = None, solved(problem)
    try:
        answer = least_closure(problem, shrink=lambda graph, keep: reduced(graph, keep, lambda: next(left, None) is None))
    except Refused:
        assert whole is None
    if answer is not None:
        assert whole is not None
        assert set(answer.chosen) == set(whole.chosen)
        assert answer.proven
        assert faults_of(problem, answer) == []


@given(problems())
@settings(max_examples=60, deadline=None)
def test_highs_finds_the_same_cost_and_ties(problem: Problem) -> None:
    answer = solved(problem)
    assume(answer is not None)
    assert answer is not None
    program = solved_by_program(problem)
    assert program is not None
    assert program.proven
    assert program.cost_s == answer.cost_s
    assert ties_of(problem, program.chosen) == ties_of(problem, answer.chosen)


@given(problems())
@settings(max_examples=150, deadline=None)
def test_refusing_while_searching_gives_the_same_as_knowing_before(problem: Problem) -> None:
    def refuse(chosen: frozenset[str]) -> NoGood | None:
        return next((no_good for no_good in problem.no_goods if no_good.forbids(chosen)), None)

    bare = replace(problem, no_goods=())
    try:
        found: Closure | None = least_closure(bare, refuse=refuse)
    except Refused:
        found = None
    known = solved(problem)
    assert (found is None) == (known is None)
    if found is not None and known is not None:
        assert found.chosen == known.chosen
        assert faults_of(bare, found) == []


@given(problems(with_no_goods=False), st.data())
@settings(max_examples=150, deadline=None)
def test_another_way_never_costs_more_and_a_way_less_never_costs_less(problem: Problem, data: st.DataObject) -> None:
    answer = solved(problem)
    assume(answer is not None)
    assert answer is not None
    key = data.draw(st.sampled_from(sorted(problem.items)))
    more = data.draw(st.frozensets(st.sampled_from(sorted(problem.items.keys() - {key})), max_size=2))
    entry = problem.items[key]
    wider = replace(problem, items={**problem.items, key: replace(entry, alternatives=(*entry.alternatives, more))})
    richer = solved(wider)
    assert richer is not None
    assert richer.cost_s <= answer.cost_s
    if entry.alternatives:
        fewer = replace(problem, items={**problem.items, key: replace(entry, alternatives=entry.alternatives[1:])})
        poorer = solved(fewer)
        assert poorer is None or poorer.cost_s >= answer.cost_s


@given(problems(with_no_goods=False))
@settings(max_examples=150, deadline=None)
def test_cost_lies_between_the_dearest_needed_item_and_the_cheapest_tree(problem: Problem) -> None:
    answer = solved(problem)
    assume(answer is not None)
    assert answer is not None
    assert answer.cost_s <= cheapest_tree_cost(problem)
    forced = answer.proof.forced if answer.proof else frozenset()
    assert answer.cost_s >= max((problem.items[key].cost_s for key in forced), default=0)


@given(problems(), st.permutations(range(11)))
@settings(max_examples=100, deadline=None)
def test_other_names_change_nothing_but_ties(problem: Problem, numbers: list[int]) -> None:
    name = {key: f"other_{numbers[place]:02}" for place, key in enumerate(sorted(problem.items))}
    items = [replace(entry, id=name[key], alternatives=tuple(frozenset(name[n] for n in way) for way in entry.alternatives))
             for key, entry in problem.items.items()]
    no_goods = tuple(NoGood(frozenset(name[n] for n in g.together), frozenset(name[n] for n in g.unless))
                     for g in problem.no_goods)
    renamed = replace(problem_of(items, [name[goal] for goal in problem.goals]), no_goods=no_goods)
    one, other = solved(problem), solved(renamed)
    assert (one is None) == (other is None)
    if one is not None and other is not None:
        assert one.cost_s == other.cost_s
        assert ties_of(problem, one.chosen) == ties_of(renamed, other.chosen)


def test_shared_work_is_paid_once_where_the_cheapest_tree_pays_twice() -> None:
    problem = problem_of([item("seat", cost_s=5), item("left", "seat", "left_tool"), item("right", "seat", "right_tool"),
                          item("left_tool", cost_s=4), item("right_tool", cost_s=4), item("both", "left right")], ["both"])
    answer = least_closure(problem)
    assert answer.cost_s == 8
    assert cheapest_tree_cost(problem) == 11
    assert "seat" in answer.chosen


def test_two_items_cannot_justify_each_other() -> None:
    problem = problem_of([item("a", "b", cost_s=0), item("b", "a", "dear", cost_s=0), item("dear", cost_s=9)], ["a"])
    assert set(least_closure(problem).chosen) == {"a", "b", "dear"}


@pytest.mark.parametrize(("better", "worse"), [
    ({"safety": 1, "tray": 1}, {"seals": 1}), ({"tray": 1}, {"safety": 1}), ({}, {"tray": 1})])
def test_of_equal_costs_fewer_seals_then_safety_joints_then_tray_parts_win(better: dict[str, int],
                                                                           worse: dict[str, int]) -> None:
    problem = problem_of([item("a_way", cost_s=3, **worse), item("z_way", cost_s=3, **better), item("goal", "a_way", "z_way")],
                         ["goal"])
    assert "z_way" in least_closure(problem).chosen


def test_of_wholly_equal_plans_the_one_without_the_last_id_wins() -> None:
    problem = problem_of([item("a"), item("b"), item("goal", "b", "a")], ["goal"])
    assert set(least_closure(problem).chosen) == {"a", "goal"}


def test_circular_access_is_refused_with_its_circle() -> None:
    problem = problem_of([item("seat", "tank"), item("tank", "seat"), item("goal", "seat")], ["goal"])
    with pytest.raises(Refused) as refusal:
        least_closure(problem)
    assert refusal.value.code == "plan_circular_access"
    assert refusal.value.values["circle"] == "seat → tank → seat"


def test_item_that_nothing_reaches_is_named() -> None:
    problem = problem_of([Item("bolt", NEVER), item("cover", "bolt"), item("goal", "cover")], ["goal"])
    with pytest.raises(Refused) as refusal:
        least_closure(problem)
    assert (refusal.value.code, refusal.value.values["item"]) == ("plan_out_of_reach", "bolt")


def test_no_order_is_told_apart_from_no_way() -> None:
    problem = replace(problem_of([item("a"), item("goal", "a")], ["goal"]),
                      no_goods=(NoGood(frozenset(["a"]), frozenset()),))
    with pytest.raises(Refused) as refusal:
        least_closure(problem)
    assert refusal.value.code == "plan_no_order"


@pytest.mark.parametrize(("items", "goals", "code"), [
    ([item("a", "nothing")], ["a"], "plan_unknown_item"), ([item("a")], ["b"], "plan_unknown_item"),
    ([item("a", cost_s=-1)], ["a"], "plan_negative_cost")])
def test_broken_problems_are_refused(items: list[Item], goals: list[str], code: str) -> None:
    with pytest.raises(Refused) as refusal:
        problem_of(items, goals)
    assert refusal.value.code == code


def machine_problem(parts: int, seed: int, tangled: bool = False) -> Problem:
    machine = synthetic_map(parts, seed, tangled)
    return plan_problem(machine, synthetic_goals(machine, seed, 3))


@pytest.mark.parametrize("looks", [0, 3, 40, 200])
def test_when_the_time_is_up_there_is_a_plan_and_the_bound_is_honest(looks: int) -> None:
    """Also inside the first bound, which alone can outlast the limit on a large map."""
    problem = machine_problem(100, 3, tangled=True)
    calls = iter(range(10**6))
    early = least_closure(problem, lambda: next(calls) > looks)
    whole = least_work(problem, lambda chosen: None, 60)
    assert not early.proven
    assert whole.proven
    assert early.bound_s <= whole.cost_s <= early.cost_s
    assert looks < 40 or early.bound_s > whole.cost_s // 2
    assert faults_of(problem, early) == []


def refused_late(chosen: frozenset[str]) -> NoGood | None:
    raise time_up(["a"])


def test_without_time_to_order_a_plan_the_bound_is_told() -> None:
    problem = machine_problem(60, 1)
    whole, calls = least_closure(problem), iter(range(10**6))
    with pytest.raises(Refused, match="plan_time_up") as refusal:
        least_closure(problem, lambda: next(calls) > 40, refused_late)
    assert 0 < int(str(refusal.value.values["bound_s"])) <= whole.cost_s
    assert str(refusal.value.values["least"]).startswith("none takes less than")


def test_when_the_own_search_has_no_time_the_program_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = machine_problem(60, 2)
    late = iter([refused_late, *[lambda chosen: None] * 1000])
    monkeypatch.setattr("benchtrail.services.least_work.OWN_SECONDS", 0.0)
    answer = least_work(problem, lambda chosen: next(late)(chosen), 20)
    assert answer.proven
    assert answer.cost_s == least_closure(problem).cost_s


def test_poses_that_no_order_is_found_for_in_time_are_told() -> None:
    machine = synthetic_map(60, 1, True)
    with pytest.raises(Refused, match="plan_time_up"):
        Windows(machine, plan_problem(machine, synthetic_goals(machine, 1, 2)), lambda: True).phases(
            frozenset({"un:nothing"}), frozenset())


@pytest.mark.parametrize("seed", range(6))
def test_own_search_and_highs_agree_on_machines_of_60_parts(seed: int) -> None:
    problem = machine_problem(60, seed)
    own, program = least_closure(problem), solved_by_program(problem)
    assert program is not None
    assert own.proven
    assert program.proven
    assert own.cost_s == program.cost_s
    assert faults_of(problem, own) == []
    assert faults_of(problem, program) == []


def test_four_hundred_parts_are_proven_in_seconds() -> None:
    problem = machine_problem(400, 1)
    answer = least_work(problem, lambda chosen: None, 60)
    assert answer.proven
    assert answer.cost_s == cost_of(problem, answer.chosen)


def proven_answer() -> tuple[Problem, Closure]:
    problem = machine_problem(60, 2)
    answer = least_closure(problem)
    assert answer.proof is not None
    assert answer.proof.root.item is not None, "the case must need a branching"
    return problem, answer


@pytest.mark.parametrize("spoil", ["cost", "drop_item", "swap", "other_way", "cut", "amount", "leaf", "dropped", "forced"])
def test_verifier_sees_every_spoiled_answer(spoil: str) -> None:
    problem, answer = proven_answer()
    proof = answer.proof
    assert proof is not None
    root = proof.root
    if spoil == "cost":
        answer = replace(answer, cost_s=answer.cost_s - 1)
    elif spoil == "drop_item":
        answer = replace(answer, chosen=answer.chosen[1:])
    elif spoil == "swap":
        answer = replace(answer, chosen=answer.chosen[::-1])
    elif spoil == "other_way":
        answer = replace(answer, ways={**answer.ways, answer.chosen[-1]: frozenset(["part_0"])})
    elif spoil == "cut":
        members, amount = max(root.cuts, key=lambda cut: len(cut[0]))
        root.cuts = (*[cut for cut in root.cuts if cut[0] != members], (frozenset(sorted(members)[1:]), amount))
    elif spoil == "amount":
        members, amount = root.cuts[0]
        root.cuts = ((members, amount * 10**6), *root.cuts[1:])
    elif spoil == "leaf":
        root.item = root.with_item = root.without_item = None
    elif spoil == "dropped":
        root.dropped = frozenset(answer.chosen) - proof.forced
    else:
        answer = replace(answer, proof=replace(proof, forced=proof.forced | {next(
            key for key in problem.items if key not in answer.chosen)}))
    assert faults_of(problem, answer) != []


def test_unspoiled_answer_has_no_faults() -> None:
    problem, answer = proven_answer()
    assert faults_of(problem, answer) == []
    assert isinstance(answer.proof.root if answer.proof else None, ProofNode)
