"""A new draft beside an edited procedure: whatever a person wrote stays, whatever nobody touched follows the map."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchtrail.domain.refused import Refused
from benchtrail.resources import resource_dir
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.services.draft import draft_procedure, read_text
from benchtrail.services.redraft import Redrafted, redraft

MODEL, GOAL = "hobmoor-packer-400", "changed engine_oil"
PATH, MAP, DAY = f"{MODEL}/change-engine-oil.yaml", f"{MODEL}/map.yaml", "2026-11-25"
MAP_TEXT = (resource_dir("procedures") / MODEL / "map.yaml").read_text(encoding="utf-8")


@cache
def pack(*changes: tuple[str, str]) -> Any:
    text = MAP_TEXT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return compile_library([LibraryFile(MAP, text.encode())], lambda path: None).maps[0].pack


@cache
def drafted() -> str:
    return draft_procedure(pack(), MAP, [GOAL], DAY).text


def again(text: str, *changes: tuple[str, str]) -> Redrafted:
    return redraft(pack(*changes), MAP, PATH, text, DAY, read_picture=lambda path: b"<svg xmlns='http://www.w3.org/2000/svg'/>")


def kinds(found: Redrafted) -> set[tuple[str, str, str]]:
    return {(one.kind, one.step, one.field) for one in found.differences}


LESS_OIL = ("refill_ml: 2100", "refill_ml: 2000")
OTHER_NAME = ("engine guard bolts", "belly pan bolts")


def edited(*changes: tuple[str, str]) -> str:
    text = drafted()
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def test_the_same_map_changes_nothing_whatever_was_edited() -> None:
    text = edited(("say: Fit the engine guard.", "say: Fit the guard with both hands."), ("minutes: 11", "minutes: 20"))
    found = again(text)
    assert (found.text, found.differences) == (text, ())


def test_what_nobody_edited_follows_the_map_and_the_rest_keeps_every_letter() -> None:
    found = again(drafted(), LESS_OIL)
    assert kinds(found) == {("taken", "fill-engine-oil", "do"), ("taken", "fill-engine-oil", "say")}
    expected = drafted().replace("fill engine_oil 2100 ml", "fill engine_oil 2000 ml").replace("Fill 2100 ml", "Fill 2000 ml")
    changed = [(a, b) for a, b in zip(expected.splitlines(), found.text.splitlines(), strict=True)
               if a != b and not a.startswith(("revision:", "change_note:")) and "[section" not in a]
    assert changed == []
    assert "revision: 2" in found.text


def test_edited_words_pictures_and_added_steps_stay() -> None:
    text = edited(
        ("say: Undo the oil drain plug. Let the engine oil run out.",
         "say: Undo the plug slowly. Let the engine oil run out.\n    picture: {file: pictures/plug.svg, alt: The plug}"),
        ("  - id: remove-oil-drain-washer", "  # Ours.\n  - id: last-drops\n    do: wait 5 min\n    say: Wait for the last drops.\n"
                                            "  - id: remove-oil-drain-washer"))
    found = again(text, LESS_OIL, OTHER_NAME)
    for words in ("Undo the plug slowly.", "picture: {file: pictures/plug.svg, alt: The plug}", "# Ours.", "id: last-drops"):
        assert words in found.text
    order = [step["id"] for step in read_text(PATH, found.text).steps]
    assert order.index("last-drops") == order.index("remove-oil-drain-washer") - 1
    assert "belly pan bolts" in found.text
    assert not any(kind in ("both", "kept") for kind, _, _ in kinds(found))


def test_where_both_changed_yours_stays_and_the_new_words_stand_above_it() -> None:
    found = again(edited(("say: Fill 2100 ml of new engine oil in.", "say: Fill 2100 ml in through a funnel.")), LESS_OIL)
    (both,) = [one for one in found.differences if one.kind == "both"]
    assert (both.step, both.field, both.yours) == ("fill-engine-oil", "say", "Fill 2100 ml in through a funnel.")
    assert both.drafted == "Fill 2000 ml of new engine oil in."
    lines = [line.strip() for line in found.text.splitlines()]
    at = lines.index("say: Fill 2100 ml in through a funnel.")
    assert lines[at - 1] == "# drafted now: say: Fill 2000 ml of new engine oil in."
    assert again(found.text, LESS_OIL).differences == (), "seen once, it is not asked again"


def test_a_step_that_was_taken_out_stays_out() -> None:
    start = drafted().index("  - id: inspect-oil-dipstick-oring")
    end = drafted().index("  - id:", start + 5)
    text = drafted()[:start] + drafted()[end:]
    assert "id: inspect-oil-dipstick-oring" not in again(text, LESS_OIL).text
    found = again(text, ("dipstick O-ring, ", "ring of the dipstick, "))
    assert ("left_out", "inspect-oil-dipstick-oring", "") in kinds(found)
    assert "id: inspect-oil-dipstick-oring" not in found.text


def test_steps_that_the_map_asks_for_no_more_go_unless_they_were_edited() -> None:
    more = drafted_for_less()
    found = again(drafted(), *more)
    gone = {step for kind, step, _ in kinds(found) if kind == "gone"}
    assert "remove-engine-guard" in gone
    assert "remove-engine-guard" not in found.text.split("\ndrafted:")[0]
    kept = again(edited(("say: Undo the engine guard bolts.", "say: Undo the six engine guard bolts.")), *more)
    assert ("kept", "remove-engine-guard", "") in kinds(kept)
    assert "Undo the six engine guard bolts." in kept.text
    assert any(finding.code for finding in kept.findings), "and the checks say what does not fit any more"


def drafted_for_less() -> list[tuple[str, str]]:
    """The drain plug can be reached with the guard on."""
    line = next(line for line in MAP_TEXT.splitlines() if line.strip().startswith("oil_drain_plug:"))
    return [(line, line.replace("reach: [[out engine_guard]]", "reach: []"))]


def test_a_hand_written_procedure_has_no_marks_and_is_left_alone() -> None:
    with pytest.raises(Refused, match="redraft_no_marks"):
        again(drafted().split("\n# What the draft said")[0] + "\n", LESS_OIL)


WORDS = st.sampled_from(["Take care.", "Ours: look twice.", "Mind the edge: it cuts.", "50 % of it, say “so”."])


@given(st.dictionaries(st.integers(0, 24), WORDS, min_size=1, max_size=6), st.sets(st.sampled_from([LESS_OIL, OTHER_NAME])))
@settings(max_examples=25, deadline=None)
def test_no_edit_is_ever_lost(words: dict[int, str], changes: set[tuple[str, str]]) -> None:
    parts = drafted().split("\ndrafted:")[0].split("\n    say: ")
    for number, new in words.items():
        if number + 1 < len(parts):
            _, _, rest = parts[number + 1].partition("\n")
            parts[number + 1] = f"'{new}'\n{rest}"
    text = "\n    say: ".join(parts) + "\ndrafted:" + drafted().split("\ndrafted:")[1]
    found = again(text, *sorted(changes))
    says = [step["say"] for step in read_text(PATH, found.text).steps]
    for step in read_text(PATH, text).steps:
        if step["say"] in words.values():
            assert step["say"] in says
    assert again(found.text, *sorted(changes)).differences == ()
