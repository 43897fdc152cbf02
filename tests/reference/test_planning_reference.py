"""The planner against published worked examples and answers found by other means. Data and marks: data/planning.json."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.planning.closure import least_closure
from benchtrail.domain.planning.items import plan_problem
from benchtrail.domain.planning.liaison import (
    AndOrGraph,
    Blocked,
    and_or_graph,
    cheapest_tree,
    count_sequences,
    count_trees,
    liaison_sequences,
)
from benchtrail.domain.planning.operations import Mode, Operation
from benchtrail.domain.planning.order import least_changes
from benchtrail.domain.planning.precedence import Task, count_orders, least_sessions, least_time
from benchtrail.domain.planning.problem import Item, Problem, problem_of
from benchtrail.domain.planning.verify import faults_of
from benchtrail.domain.planning.windows import Windows
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.services.least_work import solved_by_program

HERE = Path(__file__).parent / "data"
DATA: dict[str, Any] = json.loads((HERE / "planning.json").read_text(encoding="utf-8"))
T1: dict[str, Any] = json.loads((HERE / "t1.json").read_text(encoding="utf-8"))["variants"]
T1_CASES = [(variant, target) for variant, entry in T1.items() for target in entry["answers"]]
AND_OR = "Homem de Mello and Sanderson, AND/OR graph of the receptacle device"
OWN_T1 = "own machine T1, proven by CP-SAT and by full enumeration"
REBALANCING = "P10-OR and P22-OR after Ren 2017 and Kalaycilar 2016, as published with a rebalancing study"


def receptacle() -> AndOrGraph:
    data = DATA["receptacle"]
    blocked = Blocked(data["blocked"]["mover"], data["blocked"]["passage"], frozenset(data["blocked"]["ends"]))
    return and_or_graph(data["parts"], [frozenset(pair) for pair in data["contacts"]], [blocked])


@pytest.mark.source("memory", AND_OR)
def test_receptacle_has_12_nodes_15_hyperarcs_8_trees_10_sequences() -> None:
    graph, data = receptacle(), DATA["receptacle"]
    assert len(graph.nodes) == data["nodes"]
    assert len(graph.hyperarcs) == data["hyperarcs"]
    assert count_trees(graph) == data["trees"]
    assert count_sequences(graph) == data["sequences"]
    assert count_sequences(graph, one_part_at_a_time=True) == data["one_at_a_time"]


@pytest.mark.source("memory", AND_OR)
def test_receptacle_is_parted_in_the_15_ways_listed() -> None:
    found = {frozenset(arc.halves) for arc in receptacle().hyperarcs}
    listed = {frozenset(frozenset(half) for half in words.split("+")) for words in DATA["receptacle"]["partings"]}
    assert found == listed


@pytest.mark.source("memory", AND_OR)
def test_receptacle_without_its_rule_has_more_ways() -> None:
    data = DATA["receptacle"]
    free = and_or_graph(data["parts"], [frozenset(pair) for pair in data["contacts"]])
    assert len(free.hyperarcs) > data["hyperarcs"]


@pytest.mark.source("memory", "De Fazio and Whitney 1987, ball-point pen")
def test_pen_has_12_liaison_sequences() -> None:
    data = DATA["pen"]

    def may_follow(liaison: str, made: frozenset[str]) -> bool:
        ordered = all(first in made for first, then in data["before"] if then == liaison)
        last_of_3_and_5 = {"3": "5", "5": "3"}.get(liaison)
        return ordered and (last_of_3_and_5 not in made or "2" in made or last_of_3_and_5 is None)

    assert liaison_sequences(data["liaisons"], may_follow) == data["sequences"]
    assert liaison_sequences(data["liaisons"], lambda liaison, made: True) == 120


@pytest.mark.source("restated", "EmaroLab/endor, pencil assembly")
def test_pencil_has_6_nodes_4_hyperarcs_2_trees() -> None:
    data = DATA["pencil"]
    graph = and_or_graph(data["parts"], [frozenset(pair) for pair in data["contacts"]])
    counts = (len(graph.nodes), len(graph.hyperarcs), count_trees(graph))
    assert counts == (data["nodes"], data["hyperarcs"], data["trees"])
    assert cheapest_tree(graph, lambda arc: data["arc_cost"]) == data["cheapest_tree"]


def tasks_of(name: str) -> dict[str, Task]:
    data = DATA[name]
    after: dict[str, set[str]] = {}
    for first, then in data["after"]:
        after.setdefault(str(then), set()).add(str(first))
    either = {key: (frozenset(map(str, choice)),) for key, choice in data["after_one_of"].items()}
    return {str(n): Task(minutes, frozenset(after.get(str(n), set())), either.get(str(n), ()))
            for n, minutes in enumerate(data["minutes"], 1)}


@pytest.mark.source("restated", REBALANCING)
def test_ten_tasks_have_48384_orders() -> None:
    assert count_orders(tasks_of("P10-OR")) == DATA["P10-OR"]["orders"]


@pytest.mark.source("restated", REBALANCING)
@pytest.mark.parametrize("name", ["P10-OR", "P22-OR"])
def test_least_time_to_every_task(name: str) -> None:
    tasks = tasks_of(name)
    assert [least_time(tasks, key) for key in tasks] == DATA[name]["least_time"]


@pytest.mark.source("restated", REBALANCING)
@pytest.mark.parametrize(("longest", "sessions"), DATA["P10-OR"]["sessions"].items())
def test_fewest_sessions_for_ten_tasks(longest: str, sessions: int) -> None:
    assert least_sessions(tasks_of("P10-OR"), int(longest)) == sessions


def t1_problem(variant: str, target: str) -> Problem:
    """Costs are given in minutes to one decimal; a tenth of a minute is six seconds exactly."""
    entries = T1[variant]["items"]
    items = [Item(key, tuple(frozenset(way) for way in ways), round(minutes * 60)) for key, (minutes, ways) in entries.items()]
    return problem_of(items, [target] if target in entries else target.split("+"))


@pytest.mark.source("arithmetic", OWN_T1)
@pytest.mark.parametrize(("variant", "target"), T1_CASES)
def test_t1_least_work(variant: str, target: str) -> None:
    problem = t1_problem(variant, target)
    answer = least_closure(problem)
    assert answer.cost_s == round(T1[variant]["answers"][target] * 60)
    assert answer.proven
    assert faults_of(problem, answer) == []
    program = solved_by_program(problem)
    assert program is not None
    assert program.cost_s == answer.cost_s


@pytest.mark.source("arithmetic", OWN_T1)
@pytest.mark.parametrize(("variant", "way"), [("base", "pose:left"), ("skidplate", "pose:left"), ("wet_battery", "drain:oil"),
                                              ("skidplate+wet_battery", "out:battery")])
def test_t1_clutch_is_reached_the_way_the_options_make_best(variant: str, way: str) -> None:
    chosen = least_closure(t1_problem(variant, "out:clutch")).chosen
    assert way in chosen
    assert ("pose:left" in chosen) == (way != "drain:oil")


@pytest.mark.source("arithmetic", OWN_T1)
def test_t1_air_box_and_carburettor_leave_as_one() -> None:
    assert "go:airbox+carb" in least_closure(t1_problem("base", "out:carb+out:airbox")).chosen


@pytest.mark.source("arithmetic", OWN_T1)
@pytest.mark.parametrize("target", ["bowl", "out:clutch", "out:carb+out:airbox"])
def test_t1_orders_of_the_chosen_set(target: str) -> None:
    problem = t1_problem("base", target)
    chosen = frozenset(least_closure(problem).chosen)

    @cache
    def orders(done: frozenset[str]) -> int:
        ready = [key for key in chosen - done if any(way <= done for way in problem.items[key].alternatives)]
        return sum(orders(done | {key}) for key in ready) if done != chosen else 1

    assert orders(frozenset()) == DATA["T1_orders"][target]


T1_GOALS = {"bowl": ["done bowl"], "out:carb": ["out carb"], "out:airbox": ["out airbox"], "out:clutch": ["out clutch"],
            "out:carb+out:airbox": ["out carb", "out airbox"], "out:clutch+bowl": ["out clutch", "done bowl"]}


@pytest.mark.source("arithmetic", OWN_T1)
@pytest.mark.parametrize(("variant", "target"), T1_CASES)
def test_t1_written_as_a_map_gives_the_same_answers(variant: str, target: str) -> None:
    file = LibraryFile("t1-machine/map.yaml", (HERE / "t1-map.yaml").read_bytes())
    library = compile_library([file], lambda path: None)
    assert library.findings == []
    options = sorted(variant.split("+")) if variant != "base" else []
    machine = for_variant(library.maps[0].pack, {"year": 2020, "options": options})
    problem = plan_problem(machine, [goal.split() for goal in T1_GOALS[target]])
    answer = least_closure(problem, refuse=Windows(machine, problem).refuse)
    assert answer.cost_s == round(T1[variant]["answers"][target] * 60)
    assert faults_of(problem, answer) == []


def chain_operations(words: list[str]) -> list[Operation]:
    return [Operation(f"{word}.{place}", (Mode(frozenset([f"{word}.{place - 1}"] if place else []), (frozenset([letter]),)),))
            for word, letters in enumerate(words) for place, letter in enumerate(letters)]


@pytest.mark.source("memory", "shortest common supersequences: textbook pair; the others computed")
@pytest.mark.parametrize(("words", "length"), DATA["supersequences"]["cases"])
def test_fewest_label_changes_are_the_shortest_common_supersequence(words: list[str], length: int) -> None:
    ordered = least_changes(chain_operations(words), [1])
    assert ordered.proven
    assert ordered.cost == length
