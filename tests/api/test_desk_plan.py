"""Plans over HTTP on the published maps of this project: the same plan as the planner's, with layers, and every refusal."""

from threading import Event
from typing import Any

import pytest
from flask import Flask
from tests.api.conftest import Asker

from benchtrail.domain.refused import Refused
from benchtrail.resources import resource_dir
from benchtrail.services import desk_plan
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import publish_files
from benchtrail.wiring import read_library

FELL, SEAL = "hobmoor-fell-250", "renewed pump_seal_early"
EARLY = {"year": 2021, "options": []}


@pytest.fixture(autouse=True)
def published(app: Flask, ports: Ports) -> None:
    """The three maps, published as on the command line."""
    with app.app_context():
        files, read_picture = read_library(sorted(resource_dir("procedures").glob("*/map.yaml")))
        assert not publish_files(ports, "withen-bridge", files, read_picture, "anna").refused


def asked(asker: Asker, goals: list[str], variant: Any = None, model: str = FELL) -> Any:
    return asker.post("/api/v1/desk/plan", {"model": model, "goals": goals, "variant": variant})


def test_the_models_name_everything_that_a_goal_can_be_about(reader: Asker) -> None:
    answer = reader.get("/api/v1/desk/models").get_json()
    assert {one["id"] for one in answer["models"]} == {FELL, "hobmoor-ghyll-125", "hobmoor-packer-400"}
    (fell,) = [one for one in answer["models"] if one["id"] == FELL]
    assert (fell["name"], fell["years"]) == ("Hobmoor Fell 250", [2021, 2026])
    assert {one["id"] for one in fell["options"]} == {"kick_start", "skid_plate"}
    assert {"id": "engine_oil", "name": "engine oil"} in fell["things"]["fluids"]
    assert answer["goals"]["renewed"] == ["parts", "units", "joints"]
    for word, tables in answer["goals"].items():
        assert tables, word
        assert all(table in fell["things"] for table in tables), word


def test_all_variants_come_grouped_with_their_plans(reader: Asker) -> None:
    answer = asked(reader, [SEAL]).get_json()
    assert (answer["model"], answer["goals"], answer["without"]) == (FELL, [SEAL], ["from 2024"])
    counts = [len(group["plan"]["operations"]) for group in answer["groups"]]
    assert len(set(map(str, (group["variants"] for group in answer["groups"])))) == len(counts) == 4
    assert min(counts) == counts[0], "without options nothing more has to come off"
    plan = answer["groups"][0]["plan"]
    assert plan["proven"]
    assert plan["minutes"] == plan["at_least_minutes"]
    assert [fluid["fluid"] for fluid in plan["drained"]] == ["coolant"]
    assert [kept["fluid"] for kept in plan["kept_in"]] == ["engine_oil"]
    assert any(way["minutes_more"] > 0 for way in plan["other_ways"])


@pytest.mark.parametrize(("model", "goal"), [
    (FELL, SEAL), (FELL, "out clutch_cover"), (FELL, "changed engine_oil"), ("hobmoor-ghyll-125", "out main_jet"),
    ("hobmoor-packer-400", "out throttle_cable"), ("hobmoor-packer-400", "renewed winch_relay"),
])
def test_every_operation_lies_one_layer_above_the_deepest_it_rests_on(reader: Asker, model: str, goal: str) -> None:
    for group in asked(reader, [goal], model=model).get_json()["groups"]:
        layer: dict[int, int] = {}
        for operation in group["plan"]["operations"]:
            under = operation["rests_on"]
            assert all(number < operation["number"] for number in under)
            layer[operation["number"]] = 1 + max((layer[number] for number in under), default=0)
            assert operation["layer"] == layer[operation["number"]]


def test_what_the_map_says_must_come_first_is_what_an_operation_rests_on(reader: Asker) -> None:
    (group,) = asked(reader, [SEAL], EARLY).get_json()["groups"]
    found = {one["item"]: one for one in group["plan"]["operations"]}
    by_number = {one["number"]: one["item"] for one in found.values()}
    assert found["un:radiator_cap"]["layer"] == 1
    assert {by_number[n] for n in found["drained:coolant"]["rests_on"]} == {"un:radiator_cap", "un:coolant_drain_screw"}
    assert by_number[found["renewed:pump_seal_early"]["rests_on"][-1]].endswith("pump_seal_early")


def test_a_goal_that_one_variant_lacks_is_said_not_dropped(reader: Asker) -> None:
    (group,) = asked(reader, ["out seat", SEAL], {"year": 2026, "options": []}).get_json()["groups"]
    assert group["not_here"] == [SEAL]


@pytest.mark.parametrize(("goals", "variant", "model", "status", "code", "meant"), [
    (["out seet"], None, FELL, 422, "goal_unknown", "seat"),
    (["seat"], None, FELL, 422, "goal_unreadable", "renewed"),
    ([SEAL], {"year": 2026, "options": []}, FELL, 422, "goal_not_in_variant", "2026"),
    (["out seat"], {"year": 1950, "options": []}, FELL, 422, "plan_variant_invalid", "2021 to 2026"),
    (["out seat"], {"year": 2023, "options": ["wings"]}, FELL, 422, "plan_variant_invalid", "wings"),
    (["out seat"], None, "hobmoor-fel", 404, "desk_plan_model_unknown", FELL),
    (["out " + "x" * 150], None, FELL, 422, "goal_unknown", "xxx"),
])
def test_what_cannot_be_planned_is_refused_in_words(
    reader: Asker, goals: list[str], variant: Any, model: str, status: int, code: str, meant: str
) -> None:
    answer = asked(reader, goals, variant, model)
    assert (answer.status_code, answer.get_json()["code"]) == (status, code)
    message = answer.get_json()["message"]
    assert all(message[part] for part in ("happened", "means", "do"))
    assert meant in " ".join(message.values())


@pytest.mark.parametrize("body", [
    {}, {"model": FELL}, {"model": FELL, "goals": []}, {"model": FELL, "goals": ["out seat"] * 13}, {"model": 3, "goals": ["a"]},
    {"model": FELL, "goals": [""]}, {"model": FELL, "goals": ["out seat"], "variant": {"year": "x"}},
    {"model": FELL, "goals": ["out seat"], "variant": {"year": 2023.5}}, {"model": FELL, "goals": ["out seat"], "more": 1},
])
def test_a_body_of_another_form_is_refused(reader: Asker, body: Any) -> None:
    answer = reader.post("/api/v1/desk/plan", body)
    assert (answer.status_code, answer.get_json()["code"]) == (400, "input_not_as_described")


def test_only_the_desk_may_ask(stranger: Asker) -> None:
    assert stranger.get("/api/v1/desk/models").status_code == 401
    assert asked(stranger, ["out seat"]).status_code == 401


def test_a_plan_that_takes_too_long_is_answered_in_time_and_a_third_must_wait(
    app: Flask, ports: Ports, monkeypatch: pytest.MonkeyPatch
) -> None:
    end = Event()

    def slow(*_: Any, **__: Any) -> Any:
        end.wait(30)
        raise Refused("goal_missing")

    monkeypatch.setattr(desk_plan, "plan_model", slow)
    try:
        with app.app_context():
            for code in ("desk_plan_late", "desk_plan_late", "desk_plan_busy"):
                with pytest.raises(Refused) as refused:
                    desk_plan.plan_at_desk(ports, "withen-bridge", FELL, ["out seat"], EARLY, 0.1)
                assert refused.value.code == code
    finally:
        end.set()
