"""Plans of the library's own maps: every variant, grouped; invalid variants; both solvers; the command."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.bench.synthetic_map import synthetic_map

from benchtrail.cli import main
from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.planning.items import plan_problem
from benchtrail.domain.planning.verify import faults_of
from benchtrail.domain.refused import Refused
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.services.least_work import least_work
from benchtrail.services.plan import check_variant, plan_model, planned, read_variant

PROCEDURES = Path(__file__).parents[2] / "procedures"
MAPS = sorted(path.parent.name for path in PROCEDURES.glob("*/map.yaml"))


@cache
def model(name: str) -> Mapping[str, Any]:
    path = PROCEDURES / name / "map.yaml"
    library = compile_library([LibraryFile(f"{name}/map.yaml", path.read_bytes())], lambda asked: None)
    return library.maps[0].pack


def test_pump_seal_is_planned_for_every_variant_that_has_it() -> None:
    found = plan_model(model("hobmoor-fell-250"), ["renewed pump_seal_early"])
    assert found["without"] == ["from 2024"]
    years = {variant["year"] for group in found["groups"] for variant in group["each"]}
    assert max(years) <= 2023
    for group in found["groups"]:
        assert group["plan"]["proven"]
        assert group["plan"]["changes"]["proven"]
        words = [operation["words"] for operation in group["plan"]["operations"]]
        assert words.index("drain the coolant") < words.index("undo the five pump cover screws")
        assert words[-1] == "renew the water lip seal"


def test_goals_of_both_generations_are_each_planned_where_they_belong() -> None:
    found = plan_model(model("hobmoor-fell-250"), ["renewed pump_seal_early", "renewed pump_seal_late"])
    assert found["without"] == []
    renewed = {operation["object"] for group in found["groups"] for operation in group["plan"]["operations"]
               if operation["verb"] == "renew"}
    assert renewed == {"pump_seal_early", "pump_seal_late"}


@pytest.mark.parametrize("name", MAPS)
def test_every_part_joint_and_fluid_of_the_library_can_be_reached_and_verified(name: str) -> None:
    pack = model(name)
    for year, options in ((pack["years"][0], []), (pack["years"][1], [])):
        groups = {option["group"]: option["id"] for option in pack["options"] if option["group"]}
        machine = for_variant(pack, {"year": year, "options": sorted([*options, *groups.values()])})
        goals = [("out", key) for key in machine["parts"] if key != "frame"]
        goals += [("undone", key) for key in machine["joints"]] + [("drained", key) for key in machine["fluids"]]
        for goal in goals:
            problem = plan_problem(machine, [goal])
            answer = least_work(problem, lambda chosen: None, 20)
            assert answer.proven, goal
            assert faults_of(problem, answer) == [], goal


@pytest.mark.parametrize(("text", "code"), [
    ("year=2030", "plan_variant_invalid"), ("year=2022,option=turbo", "plan_variant_invalid"),
    ("option=kick_start", "plan_variant_unreadable"),
    ("year=two", "plan_variant_unreadable"), ("2022", "plan_variant_unreadable")])
def test_invalid_variant_is_refused(text: str, code: str) -> None:
    with pytest.raises(Refused) as refusal:
        check_variant(model("hobmoor-fell-250"), read_variant(text))
    assert refusal.value.code == code


def test_of_a_group_exactly_one_option_is_fitted() -> None:
    pack = model("hobmoor-packer-400")
    groups = [option for option in pack["options"] if option["group"]]
    assert groups, "the quad has chain or shaft"
    with pytest.raises(Refused, match="plan_variant_invalid"):
        check_variant(pack, {"year": pack["years"][1], "options": []})


def test_goal_of_other_years_is_refused_for_one_variant() -> None:
    with pytest.raises(Refused) as refusal:
        plan_model(model("hobmoor-fell-250"), ["renewed pump_seal_early"], {"year": 2025, "options": []})
    assert refusal.value.code == "goal_not_in_variant"


def test_five_thousand_parts_end_with_a_plan_or_an_honest_bound() -> None:
    pack = synthetic_map(5000, 1)
    plan = planned(pack, {"year": 2024, "options": []}, [("out", "part_3020")], seconds=5, with_other_ways=False)
    assert plan is not None
    assert 0 < plan.closure.bound_s <= plan.closure.cost_s
    assert faults_of(plan.problem, plan.closure) == []


def run(*arguments: str) -> Any:
    return CliRunner().invoke(main, ["map", "plan", *arguments])


def test_command_prints_a_plan_that_can_be_read_aloud() -> None:
    result = run("hobmoor-fell-250", "--goal", "renewed pump_seal_early", "--variant", "year=2022,option=kick_start")
    assert result.exit_code == 0, result.output
    for words in ("2022 with Kick starter", "Undo the kick lever bolt", "Leaves as one: clutch cover with pump shaft",
                  "Stays in: engine oil", "To buy:", "Other way, ", "minutes more: drain the engine oil", "Proven"):
        assert words in result.output


def test_command_gives_json() -> None:
    result = run("hobmoor-fell-250", "--goal", "changed engine_oil", "--json")
    found = json.loads(result.output)
    assert found["goals"] == ["changed engine_oil"]
    assert {group["variants"] for group in found["groups"]} == {"with Skid plate", "without Skid plate"}


@pytest.mark.parametrize(("arguments", "words"), [
    (["hobmoor-fell-251", "--goal", "out seat"], "hobmoor-fell-250"), (["hobmoor-fell-250", "--goal", "out seet"], "seat"),
    (["hobmoor-fell-250", "--goal", "out seat", "--variant", "year=1999"], "there is no model year 1999"),
    (["hobmoor-fell-250", "--goal", "out seat", "--start", "upside_down"], "on_stand")])
def test_command_says_what_is_wrong_in_three_sentences(arguments: list[str], words: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 1
    assert words in result.output
    assert "Traceback" not in result.output


def test_a_pose_as_a_goal_is_told_and_a_circle_names_each_act_once() -> None:
    run = CliRunner().invoke(main, ["map", "plan", "hobmoor-fell-250", "--goal", "pose on_left_side", "--variant", "year=2023"])
    assert "The machine then stands: laid on its left side" in run.output
    machine = {**model("hobmoor-fell-250")}
    parts = {**machine["parts"]}
    parts["seat"] = {**parts["seat"], "exit": [[["out", "fuel_tank"]]]}
    with pytest.raises(Refused) as refusal:
        plan_model({**machine, "parts": parts}, ["out fuel_tank"], {"year": 2023, "options": []})
    circle = str(refusal.value.values["circle"]).split(" → ")
    assert refusal.value.code == "plan_circular_access"
    assert circle[0] == circle[-1]
    assert len(set(circle)) == len(circle) - 1
