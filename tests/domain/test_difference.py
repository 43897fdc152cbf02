"""What changed between two packs: each kind of change, in trade terms; and that nothing that changed stays unsaid."""

import copy
import json
import random
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from benchtrail.domain.difference.difference import NOT_COMPARED, difference
from benchtrail.domain.difference.words import bulletin_text, change_in_words
from benchtrail.messages import difference_texts
from benchtrail.services.compile_library import compile_library
from benchtrail.wiring import read_library

Pack = dict[str, Any]
ROOT = Path(__file__).resolve().parents[2]
BENCH: Pack = json.loads((ROOT / "shared/vectors/fixtures/bench-pack.json").read_text(encoding="utf-8"))


def changed(change: Callable[[Pack], Any]) -> list[Any]:
    """The difference after `change` was done to a copy of the fixture."""
    new = copy.deepcopy(BENCH)
    change(new)
    return difference(BENCH, new)


def step(pack: Pack, id: str) -> Any:
    return next(one for one in pack["steps"] if one["id"] == id)


def test_the_same_pack_has_no_changes() -> None:
    assert difference(BENCH, copy.deepcopy(BENCH)) == []


def test_a_later_revision_with_the_same_content_has_no_changes() -> None:
    news = {"revision": 2, "issued": "2027-01-01", "change_note": "Printed anew.", "author": "Someone else"}
    assert changed(lambda pack: pack.update(news)) == []


def test_a_torque_is_told_by_its_joint_with_both_values_and_the_steps_that_go_by_it() -> None:
    def softer(pack: Pack) -> None:
        pack["figures"]["cover_torque"] |= {"as_published": "8 N·m", "tolerance": None, "value": 8, "low": None, "high": None}
    [change] = changed(softer)
    assert (change["code"], change["severity"], change["object"]) == ("figure_changed", "work", "cover_screws")
    assert (change["old"], change["new"]) == ("10 N·m ± 1 N·m, dry", "8 N·m, dry")
    assert change["redo"]
    assert change["figures"]["old"]["value"] == 10
    assert change["steps"] == [one["id"] for one in BENCH["steps"]
                               if {"verb": "tighten", "object": "cover_screws"}.items() <= one["do"][-1].items()]


def test_a_figure_of_the_brakes_comes_before_all_else() -> None:
    def both(pack: Pack) -> None:
        pack["steps"].append(copy.deepcopy(pack["steps"][0]) | {"id": "another"})
        pack["figures"]["cover_torque"]["as_published"] = "8 N·m"
        pack["figures"]["caliper_torque"]["as_published"] = "22 N·m"
    found = changed(both)
    assert [(one["code"], one["severity"]) for one in found] == [
        ("figure_changed", "safety"), ("figure_changed", "work"), ("step_added", "work")]


def test_the_condition_is_part_of_a_figure() -> None:
    [change] = changed(lambda pack: pack["figures"]["caliper_torque"].update(condition="oiled"))
    assert (change["old"], change["new"]) == ("26 N·m, dry", "26 N·m, oiled")


def test_another_figure_on_a_joint_is_a_changed_torque_whatever_its_id() -> None:
    other: Pack = json.loads(json.dumps(BENCH).replace('"axle_torque"', '"axle"'))
    other["figures"]["axle"]["as_published"] = "80 N·m"
    found = difference(BENCH, other)
    assert [(one["code"], one["old"], one["new"]) for one in found] == [("figure_changed", "70 N·m, dry", "80 N·m, dry")]


def test_another_id_for_the_same_figure_is_no_change() -> None:
    assert difference(BENCH, json.loads(json.dumps(BENCH).replace('"axle_torque"', '"axle"'))) == []


def test_another_source_of_the_same_value_is_words_only() -> None:
    [change] = changed(lambda pack: pack["figures"]["caliper_torque"].update(revision="2027-01"))
    assert (change["code"], change["severity"], change["redo"]) == ("figure_source_changed", "words", False)


def test_a_joint_that_loses_its_figure_says_how_it_is_made_now() -> None:
    [change] = changed(lambda pack: pack["joints"]["cover_screws"].update(figure=None, hand="to the stop by hand"))[:1]
    assert (change["old"], change["new"]) == ("10 N·m ± 1 N·m, dry", "to the stop by hand")


def test_a_step_put_in_knows_the_step_that_follows_it() -> None:
    new = {**copy.deepcopy(step(BENCH, "drain")), "id": "drain-again"}
    [change] = changed(lambda pack: pack["steps"].insert(4, new))
    assert (change["code"], change["before"], change["steps"]) == ("step_added", "hose-aside", [])


def test_a_step_taken_out_and_one_moved() -> None:
    [gone, needed] = changed(lambda pack: pack["steps"].remove(step(pack, "bearing-look")))
    assert (needed["code"], needed["name"], needed["new"]) == ("list_changed", "pump bearing", None)
    assert (gone["code"], gone["steps"], gone["redo"]) == ("step_removed", ["bearing-look"], True)
    [moved] = changed(lambda pack: pack["steps"].insert(0, pack["steps"].pop(3)))
    assert (moved["code"], moved["steps"]) == ("step_moved", ["drain"])


def test_of_a_reordering_the_fewest_steps_count_as_moved() -> None:
    found = changed(lambda pack: pack["steps"].append(pack["steps"].pop(0)))
    assert [one["steps"] for one in found] == [["valve-off"]]


@pytest.mark.parametrize(("say", "redo", "severity"), [
    ("Do it now.", False, "words"), ("Do it 3 times.", True, "work")])
def test_other_words_are_words_until_a_number_changes(say: str, redo: bool, severity: str) -> None:
    [change] = changed(lambda pack: step(pack, "bearing-look").update(say=say))
    assert (change["code"], change["redo"], change["severity"]) == ("step_reworded", redo, severity)


def test_other_acts_are_to_be_done_again() -> None:
    [change] = changed(lambda pack: step(pack, "drain")["do"].pop())
    assert (change["code"], change["redo"]) == ("step_acts_changed", True)


def test_a_grave_caution_is_safety_and_nothing_to_redo() -> None:
    caution = {"id": "hot", "signal": "WARNING", "hazard": "Hot coolant.", "consequence": "It scalds.",
               "avoidance": "Wait.", "triggers": [], "when": None}

    def warned(pack: Pack) -> None:
        pack["cautions"]["hot"] = caution
        step(pack, "drain")["cautions"] = ["hot"]
    [change] = changed(warned)
    assert (change["code"], change["severity"], change["steps"], change["redo"]) == ("caution_added", "safety", ["drain"], False)


def test_limits_stages_treatment_and_a_part_number_each_have_their_own_word() -> None:
    def many(pack: Pack) -> None:
        step(pack, "runout")["limits"]["fail_needs"] = "stop"
        pack["joints"]["cover_screws"]["stages"][0]["share"] = 60
        pack["joints"]["cover_screws"]["treatment"] = {"kind": "oil", "supply": None}
        pack["parts"]["seal"]["number"] = "HF-9999"
        pack["fluids"]["coolant"]["refill_ml"] = 900
    codes = {one["code"] for one in changed(many)}
    assert {"limits_changed", "joint_stages_changed", "joint_treatment_changed", "part_number_changed",
            "fluid_amount_changed"} <= codes


def test_who_it_is_for_and_where_it_ends_are_told() -> None:
    found = changed(lambda pack: pack.update(applies=["year", "<=", 2023], stop_and_ask="Stop at once."))
    assert {one["object"] for one in found} == {"applies", "stop_and_ask"}


def test_the_same_change_has_the_same_id_in_a_later_revision() -> None:
    softer = changed(lambda pack: pack["figures"]["caliper_torque"].update(as_published="22 N·m"))
    more = changed(lambda pack: (pack["figures"]["caliper_torque"].update(as_published="22 N·m"), pack.update(skill="Some.")))
    assert softer[0]["id"] in {one["id"] for one in more}
    assert softer[0]["id"] != changed(lambda pack: pack["figures"]["caliper_torque"].update(as_published="21 N·m"))[0]["id"]


def library_packs() -> list[Pack]:
    """Every pack that the library compiles to, maps too."""
    files, read_picture = read_library([ROOT / "procedures"])
    library = compile_library(files, read_picture)
    packs = [entry.compiled.pack for entry in library.procedures if entry.compiled] + [entry.pack for entry in library.maps]
    return [json.loads(json.dumps(pack)) for pack in packs]


def leaves(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if isinstance(value, dict):
        return [leaf for key, inner in value.items() for leaf in leaves(inner, (*at, key))]
    if isinstance(value, list):
        return [leaf for n, inner in enumerate(value) for leaf in leaves(inner, (*at, n))]
    return [at]


def altered(key: Any, value: Any) -> Any:
    """Something else of the same type."""
    if value is None:
        return 1 if re.search(r"_(ml|mm|kg|nm|deg)$|^(value|minutes)$", str(key)) else "x"
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    return f"{value} x"


# ids, what refers to them, and when a caution is asked for: to change one alone makes no sound pack
UNTOLD = ("pictures", "id", "triggers", "object", "verb", "to", "picture", "check")
RECORDS = ("limits", "order", "stages", "figure", "low", "high", "at_least", "at_most")


def test_nothing_that_changed_stays_unsaid() -> None:
    """Of 600 packs of the library with one value changed each, every one has a change told, and each is a sentence."""
    chance, texts = random.Random(5), difference_texts()
    packs = library_packs()
    told = 0
    while told < 600:
        pack = chance.choice(packs)
        place = chance.choice(leaves(pack))
        if place[0] in NOT_COMPARED or set(place) & set(UNTOLD):
            continue
        new = copy.deepcopy(pack)
        inner = new
        for key in place[:-1]:
            inner = inner[key]
        if inner[place[-1]] is None and place[-1] in RECORDS:
            continue
        inner[place[-1]] = altered(place[-1], inner[place[-1]])
        found = difference(pack, new)
        assert found, place
        assert all(change_in_words(texts, one) for one in found)
        told += 1


def test_the_draft_of_a_bulletin_names_old_and_new_and_what_to_do() -> None:
    found = changed(lambda pack: pack["figures"]["caliper_torque"].update(as_published="22 N·m"))
    text = bulletin_text(difference_texts(), found, "Bench fixture", 1, 2)
    assert "revision 2 replaces revision 1" in text
    assert "was 26 N·m, dry; is now 22 N·m, dry." in text
    assert "does it again, or asks the dealer" in text


def test_every_code_has_its_words() -> None:
    texts = difference_texts()
    source = "\n".join(path.read_text() for path in (ROOT / "backend/benchtrail/domain/difference").glob("*.py"))
    codes = set(re.findall(r'"(\w+_(?:changed|added|removed|moved|reworded|renamed))"', source))
    assert codes == texts["what"].keys() | texts["own"].keys()
