"""What else is cheap while a machine is apart: on the library's maps, against plans made one by one, and through the command."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from benchtrail.cli import main
from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.findings import Severity
from benchtrail.domain.planning.items import plan_problem
from benchtrail.domain.refused import Refused
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import Library, LibraryFile, compile_library
from benchtrail.services.least_work import solved_by_program
from benchtrail.services.while_apart import WhileApart, extra_services, job_goals, with_also
from benchtrail.wiring import read_library

ROOT = Path(__file__).resolve().parents[2]
FELL = "hobmoor-fell-250"
BARE = {"year": 2024, "options": []}


@cache
def library() -> Library:
    return compile_library(*read_library([ROOT / "procedures"]))


def model(name: str) -> Mapping[str, Any]:
    return next(entry.pack for entry in library().maps if entry.pack["model"] == name)


def procedure(name: str) -> Mapping[str, Any]:
    return next(entry.compiled.pack for entry in library().procedures if entry.compiled and entry.text.head["procedure"] == name)


def test_chain_work_makes_the_front_sprocket_cheaper_and_the_valves_not() -> None:
    found = {row["service"]: row for row in extra_services(model(FELL), BARE, [("renewed", "rear_sprocket")])}
    assert found["chain_set_new"]["minutes_more"] < found["chain_set_new"]["minutes_alone"]
    assert found["valve_clearance_check"]["minutes_more"] == found["valve_clearance_check"]["minutes_alone"]
    assert all(row["proven"] for row in found.values())
    assert list(found) == sorted(found, key=lambda key: (found[key]["minutes_more"], key))


def test_the_extra_work_is_the_difference_of_two_plans_by_another_solver() -> None:
    machine = for_variant(model("hobmoor-ghyll-125"), {"year": 2023, "options": []})
    job = [("out", "cylinder")]

    def cost(goals: list[Any]) -> int:
        answer = solved_by_program(plan_problem(machine, goals))
        assert answer is not None
        assert answer.proven
        return answer.cost_s

    found = extra_services(model("hobmoor-ghyll-125"), {"year": 2023, "options": []}, job)
    for row in found:
        goals = [tuple(goal) for goal in model("hobmoor-ghyll-125")["services"][row["service"]]["goals"]]
        assert row["minutes_more"] == pytest.approx((cost([*job, *goals]) - cost(job)) / 60, abs=0.06), row["service"]
        assert row["minutes_alone"] == pytest.approx(cost(goals) / 60, abs=0.06), row["service"]


def test_a_procedure_carries_it_for_each_of_its_machines() -> None:
    (pack,) = with_also([procedure("renew-piston-rings")], model("hobmoor-ghyll-125"))
    schema = json.loads((ROOT / "shared" / "schemas" / "procedure-pack.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(pack)
    also = pack["also"]
    assert {tuple(entry["years"]) for entry in also["of"]}
    for entry in also["of"]:
        rows = {row["service"]: row for row in also["rows"][entry["rows"]]}
        assert rows["reed_check"]["acts"] == [], "the cylinder is off anyway"
        assert all(row["minutes_more"] <= 0.9 * row["minutes_alone"] for row in rows.values())
    one = also["of"][0]
    variant = {"year": one["years"][0], "options": one["options"]}
    direct = WhileApart(model("hobmoor-ghyll-125")).extra(variant, job_goals(procedure("renew-piston-rings"), variant),
                                                          procedure("renew-piston-rings")["start"])
    by_service = {row["service"]: row["minutes_more"] for row in direct}
    assert all(by_service[row["service"]] == row["minutes_more"] for row in also["rows"][one["rows"]])


def test_a_map_without_services_leaves_the_packs_as_they_are() -> None:
    bare = {key: value for key, value in model(FELL).items() if key != "services"}
    assert with_also([procedure("renew-water-pump-seal")], bare) == [procedure("renew-water-pump-seal")]
    with pytest.raises(Refused, match="services_none"):
        extra_services(bare, BARE, [("out", "seat")])


def test_the_command_tells_minutes_now_and_alone() -> None:
    run = CliRunner().invoke(main, ["map", "also", "hobmoor-ghyll-125", "--variant", "year=2023", "--procedure",
                                    str(ROOT / "procedures" / "hobmoor-ghyll-125" / "renew-piston-rings.yaml")])
    assert run.exit_code == 0
    assert "Reed valve check             done by this job" in run.output
    assert "Cleaning of the carburettor  8 minutes more now, 15.1 on its own" in run.output


@pytest.mark.parametrize("arguments", [
    ["--goal", "out nix"], ["--goal", "out seat", "--due", "nix"], ["--goal", "renewed pump_seal_late"],
    ["--procedure", str(ROOT / "procedures" / "hobmoor-ghyll-125" / "renew-piston-rings.yaml")],
    ["--procedure", str(ROOT / "procedures" / FELL / "map.yaml")]])
def test_bad_input_is_refused_in_three_parts(arguments: list[str]) -> None:
    run = CliRunner().invoke(main, ["map", "also", FELL, "--variant", "year=2022", *arguments])
    assert run.exit_code == 1
    assert "Traceback" not in run.output
    assert len(run.output.strip().splitlines()) == 3


@pytest.mark.parametrize(("service", "code"), [
    ("{name: x, goals: [measure nix], every: {hours: 5}, source: s}", "reference_unknown"),
    ("{name: x, goals: [set fuel_valve off], every: {hours: 5}, source: s}", "reference_unknown"),
    ("{name: x, goals: [out seat], every: {}, source: s}", "service_without_interval"),
    ("{name: x, goals: [out seat], every: {hours: -5}, source: s}", "number_out_of_range"),
    ("{name: x, goals: [out seat], every: {moons: 5}, source: s}", "key_unknown"),
    ("{name: x, goals: [out seat], every: {hours: 5}}", "key_missing")])
def test_a_service_that_cannot_be_is_found_with_its_line(service: str, code: str) -> None:
    path = f"procedures/{FELL}/map.yaml"
    text = (ROOT / path).read_text(encoding="utf-8")
    assert text.count("\n  chain_check: {") == 1
    head, _, rest = text.partition("\n  chain_check: {")
    line = head.count("\n") + 2
    broken = f"{head}\n  chain_check: {service}\n{rest.partition(chr(10))[2]}"
    found = [finding for finding in check_library([LibraryFile(path, broken.encode())], lambda asked: None).findings
             if finding.severity >= Severity.ERROR]
    assert [(finding.code, finding.where.line) for finding in found] == [(code, line)]
