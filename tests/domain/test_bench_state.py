"""The bench state over random walks, over the fixture with a step left out, and over every procedure of the library."""

import copy
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.domain.random_logs import PACK, STEPS, random_action, random_variant

from benchtrail.domain.bench_state import (
    apply_action,
    apply_steps,
    for_variant,
    is_single_use,
    next_order,
    start_state,
)
from benchtrail.domain.end_items import CODES, end_items, ledger, tray
from benchtrail.domain.job_lists import step_order
from benchtrail.domain.variants import variants_of
from benchtrail.services.compile_library import compile_library
from benchtrail.storage.procedure_files import library_files, picture_reader

ROOT = Path(__file__).resolve().parents[2]
ACTIONS = st.lists(st.randoms(use_true_random=False).map(random_action), max_size=40)
# a loaded machine is slow, not wrong: no deadline
calmly = settings(deadline=None, max_examples=60)


@cache
def procedures() -> list[dict[str, Any]]:
    files = library_files([ROOT / "procedures"])
    compiled = compile_library(files, picture_reader(files)).procedures
    return [json.loads(json.dumps(entry.compiled.pack)) for entry in compiled if entry.compiled]


def variant_packs(pack: dict[str, Any]) -> list[dict[str, Any]]:
    """The pack in each of its own variants."""
    tables = [table for table in pack.values() if isinstance(table, dict)]
    entries = [entry for table in tables for entry in table.values() if isinstance(entry, dict)]
    guards = [entry.get("when") for entry in (*entries, *pack["steps"])]
    space = variants_of(pack["model"], [guard for guard in guards if guard is not None], pack["applies"])
    return [for_variant(pack, variant) for variant in space.variants]


def walked(actions: list[dict[str, Any]]) -> Any:
    state = start_state(PACK)
    for action in actions:
        state = apply_action(PACK, state, action)
    return state


@calmly
@given(ACTIONS)
def test_any_order_of_actions_gives_a_state_and_leaves_the_old_one(actions: list[dict[str, Any]]) -> None:
    state = start_state(PACK)
    for action in actions:
        before = copy.deepcopy(state)
        after = apply_action(PACK, state, action)
        assert state == before
        assert next_order(state) <= next_order(after) <= next_order(state) + 1
        state = after


@calmly
@given(ACTIONS)
def test_lists_are_sorted_and_hold_only_what_the_pack_holds(actions: list[dict[str, Any]]) -> None:
    state = walked(actions)
    for field in ("aids", "renewed", "disturbed", "treated"):
        assert state[field] == sorted(state[field])
        assert len({json.dumps(item) for item in state[field]}) == len(state[field])
    for field in ("parts", "joints", "fluids", "checks", "settings"):
        assert set(state[field]) <= set(PACK[field])
    assert set(state["stages"]) == {joint for joint, value in state["joints"].items() if value == "staged"}
    assert all(is_single_use(PACK, thing) for thing in state["disturbed"])


@calmly
@given(ACTIONS)
def test_nothing_loose_escapes_the_end_items(actions: list[dict[str, Any]]) -> None:
    state = walked(actions)
    items = end_items(PACK, state)
    found = {(item["code"], item["object"]) for item in items}
    assert {key for code, key in found if code in ("joint_not_made", "joint_not_final")} == set(state["joints"])
    assert {key for code, key in found if code == "part_not_on"} == set(state["parts"])
    assert {key for code, key in found if code in ("fluid_not_filled", "level_not_checked")} == set(state["fluids"])
    assert {key for code, key in found if code == "aid_left"} == set(state["aids"])
    assert len(found) == len(items), "one cause, one item"
    assert all(item["severity"] == "BLOCK" for item in items if item["safety"] != "normal")


@calmly
@given(ACTIONS)
def test_the_ledger_holds_every_loose_joint_and_the_tray_every_part_off(actions: list[dict[str, Any]]) -> None:
    state = walked(actions)
    rows = {row["joint"]: row["state"] for row in ledger(PACK, state)}
    assert {joint: value for joint, value in rows.items() if value != "final"} == state["joints"]
    shown = tray(PACK, state)
    assert {row["part"]: row["place"] for row in shown["parts"]} == state["parts"]
    undone = {joint for joint, value in state["joints"].items() if value == "undone"}
    assert {row["joint"] for row in shown["fasteners"]} <= undone
    assert all(sum(length["count"] for length in row["lengths"]) == row["count"] for row in shown["fasteners"])


@calmly
@given(ACTIONS)
def test_closing_everything_up_leaves_only_what_was_reused_or_is_due(actions: list[dict[str, Any]]) -> None:
    closing = [{"verb": "fit", "object": part} for part in PACK["parts"]]
    closing += [{"verb": "tighten", "object": joint} for joint in PACK["joints"]]
    closing += [{"verb": "fill", "object": fluid} for fluid in PACK["fluids"]]
    closing += [{"verb": "level", "object": check} for check in ("coolant_level", "brake_level")]
    closing += [{"verb": "aid_off", "object": aid} for aid in PACK["aids"]]
    closing += [{"verb": "pose", "object": pose} for pose in ("on_stand", "engine_cold")]
    closing += [{"verb": "set", "object": key, "value": entry["start"]} for key, entry in PACK["settings"].items()]
    items = end_items(PACK, walked([*actions, *closing]))
    assert {item["code"] for item in items} <= {"single_use_reused", "follow_on_missing"}


@calmly
@given(ACTIONS)
def test_renewing_everything_and_every_check_last_leaves_nothing_reused_or_due(actions: list[dict[str, Any]]) -> None:
    closing = [{"verb": "renew", "object": thing} for thing in (*PACK["parts"], *PACK["joints"])]
    closing += [{"verb": "test", "object": check} for check in PACK["checks"]]
    left = {item["code"] for item in end_items(PACK, walked([*actions, *closing]))}
    # a follow-on after a check counts from that check, so it is asked for again: `after_play` needs one done after it
    again = walked([*actions, *closing, {"verb": "test", "object": "lever_firm"}])
    assert "single_use_reused" not in left
    assert "follow_on_missing" not in {item["code"] for item in end_items(PACK, again)}


@calmly
@given(st.lists(st.sampled_from(STEPS), unique=True), st.randoms(use_true_random=False))
def test_steps_are_applied_in_the_order_of_the_pack(ids: list[str], chance: Any) -> None:
    shuffled = list(ids)
    chance.shuffle(shuffled)
    assert apply_steps(PACK, ids) == apply_steps(PACK, shuffled)


@calmly
@given(st.randoms(use_true_random=False))
def test_a_variant_taken_twice_is_the_same(chance: Any) -> None:
    variant: Any = random_variant(chance)
    once = for_variant(PACK, variant)
    assert for_variant(once, variant) == once
    assert start_state(once) == start_state(PACK)


def test_every_procedure_of_the_library_ends_closed_up_in_every_variant() -> None:
    for pack in procedures():
        for whole in variant_packs(pack):
            assert end_items(whole, apply_steps(whole, step_order(whole))) == [], pack["procedure"]


def test_a_joint_that_is_never_made_again_is_found_in_every_procedure() -> None:
    tried = 0
    for pack in procedures():
        for whole in {0: variant_packs(pack)[0], 1: variant_packs(pack)[-1]}.values():
            for joint in dict.fromkeys(objects_of(whole, ("undo", "slacken"))):
                left = {(item["code"], item["object"]) for item in ended(without(whole, ("start", "tighten"), joint))}
                assert left & {("joint_not_made", joint), ("joint_not_final", joint)}, (pack["procedure"], joint)
                tried += 1
    assert tried > 100


@pytest.mark.parametrize(("verbs", "codes"), [
    (("fit",), {"part_not_on"}), (("fill",), {"fluid_not_filled"}), (("level",), {"level_not_checked", "follow_on_missing"}),
    (("aid_off",), {"aid_left"}), (("renew",), {"single_use_reused"}),
])
def test_leaving_out_a_closing_action_is_found_in_every_procedure(verbs: tuple[str, ...], codes: set[str]) -> None:
    tried = 0
    for pack in procedures():
        whole = variant_packs(pack)[-1]
        for thing in dict.fromkeys(objects_of(whole, verbs)):
            if "renew" in verbs and not is_single_use(whole, thing):
                continue
            left = ended(without(whole, verbs, thing))
            assert {item["code"] for item in left} & codes, (pack["procedure"], thing, left)
            tried += 1
    assert tried > 0


def objects_of(pack: dict[str, Any], verbs: tuple[str, ...]) -> list[str]:
    return [action["object"] for step in pack["steps"] for action in step["do"] if action["verb"] in verbs]


def ended(pack: dict[str, Any]) -> list[Any]:
    return list(end_items(pack, apply_steps(pack, step_order(pack))))


def without(pack: dict[str, Any], verbs: tuple[str, ...], thing: str) -> dict[str, Any]:
    """The pack with those actions on that thing left out."""
    def kept(action: dict[str, Any]) -> bool:
        return action["verb"] not in verbs or action["object"] != thing
    return pack | {"steps": [step | {"do": [a for a in step["do"] if kept(a)]} for step in pack["steps"]]}


def test_a_model_pack_can_be_taken_for_a_variant() -> None:
    files = library_files([ROOT / "procedures"])
    library = compile_library(files, picture_reader(files))
    model: Any = next(entry.pack for entry in library.maps if entry.pack["model"] == "hobmoor-fell-250")
    early = for_variant(model, {"year": 2023, "options": []})
    assert "pump_cover_late" in model["parts"]
    assert "pump_cover_late" not in early["parts"]
    assert "steps" not in early
    assert all(member in (*early["parts"], "frame") for joint in early["joints"].values() for member in joint["joins"])


def test_the_codes_of_end_items_are_those_of_the_contract() -> None:
    text = (ROOT / "shared" / "README.md").read_text(encoding="utf-8")
    assert [code for code in CODES if f"`{code}`" not in text] == []
