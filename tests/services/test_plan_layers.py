"""Layers of a plan: what the map's conditions put under what, on the shipped Fell 250."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from benchtrail.cli.map_commands import model_pack
from benchtrail.services.plan import plan_model
from benchtrail.services.plan_layers import with_layers

GOAL = ("renewed", "pump_seal_early")
EARLY = {"year": 2021, "options": []}


@cache
def fell() -> Mapping[str, Any]:
    return model_pack("hobmoor-fell-250")


@cache
def plan() -> list[dict[str, Any]]:
    found = plan_model(fell(), [" ".join(GOAL)], EARLY)
    operations: list[dict[str, Any]] = found["groups"][0]["plan"]["operations"]
    return operations


def under(operations: list[dict[str, Any]]) -> dict[str, set[str]]:
    item = {one["number"]: one["item"] for one in operations}
    return {one["item"]: {item[number] for number in one["rests_on"]} for one in operations}


def test_a_cover_rests_on_its_screws_and_they_on_the_drained_coolant() -> None:
    found = under(with_layers(fell(), EARLY, [GOAL], plan()))
    assert found["un:pump_cover_screws_early"] == {"drained:coolant"}
    assert found["go:pump_cover_early"] == {"un:pump_cover_screws_early", "un:pump_inlet_clamp_early"}
    assert found["go:pump_impeller"] == {"un:impeller_bolt"}


def test_only_the_next_below_is_named_not_what_lies_further_down() -> None:
    layered = with_layers(fell(), EARLY, [GOAL], plan())
    below = {one["number"]: set(one["rests_on"]) for one in layered}
    for numbers in below.values():
        further: set[int] = set().union(*(below[number] for number in numbers)) if numbers else set()
        assert not numbers & further


def test_an_operation_whose_way_is_not_known_rests_on_all_before_it_and_is_never_shown_as_free() -> None:
    without = [one for one in plan() if one["item"] != "un:impeller_bolt"]
    layered = {one["item"]: one for one in with_layers(fell(), EARLY, [GOAL], without)}
    impeller = layered["go:pump_impeller"]
    deepest = max(one["layer"] for one in layered.values() if one["number"] < impeller["number"])
    assert impeller["layer"] == deepest + 1
