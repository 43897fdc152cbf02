"""Actions and triggers in words: what they compile to, what cannot be read, which action a trigger means."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchtrail.domain.action_text import matches_trigger, read_action, read_trigger
from benchtrail.domain.source_notes import Misread
from benchtrail.domain.text_tree import Items, Scalar


def scalar(text: str) -> Scalar:
    return Scalar(text, text, 7)


@pytest.mark.parametrize(("text", "action"), [
    ("undo cover_screws", {"verb": "undo", "object": "cover_screws"}),
    ("tighten nut", {"verb": "tighten", "object": "nut"}),
    ("tighten nut stage 2", {"verb": "tighten", "object": "nut", "stage": 2}),
    ("apply grease to axle", {"verb": "apply", "object": "grease", "to": "axle"}),
    ("fill oil", {"verb": "fill", "object": "oil"}),
    ("fill oil 900 ml", {"verb": "fill", "object": "oil", "amount_ml": 900.0}),
    ("fill oil 0.9 l", {"verb": "fill", "object": "oil", "amount_ml": 900.0}),
    ("wait 10 min", {"verb": "wait", "object": "", "minutes": 10.0}),
    ("wait 90 s", {"verb": "wait", "object": "", "minutes": 1.5}),
    ('photograph "both hoses"', {"verb": "photograph", "object": "both hoses"}),
    ("photograph both hoses", {"verb": "photograph", "object": "both hoses"}),
    ("set fuel_valve off", {"verb": "set", "object": "fuel_valve", "value": "off"}),
    ("pose on_stand", {"verb": "pose", "object": "on_stand"}),
    ("aid on tray", {"verb": "aid_on", "object": "tray"}), ("aid off tray", {"verb": "aid_off", "object": "tray"}),
    ("note", {"verb": "note", "object": ""}), ("  undo   nut ", {"verb": "undo", "object": "nut"}),
])
def test_an_action_compiles_to_its_form(text: str, action: dict[str, Any]) -> None:
    assert read_action(scalar(text)) == action


@pytest.mark.parametrize(("text", "code"), [
    ("loosen nut", "action_verb_unknown"), ("", "action_verb_unknown"), ("undo", "action_unreadable"), ("undo a b", "action_unreadable"),
    ("undo Nut", "action_unreadable"), ("tighten nut stage 0", "action_unreadable"), ("tighten nut stage two", "action_unreadable"),
    ("apply grease axle", "action_unreadable"), ("fill oil 900", "unit_missing"), ("fill oil 2 pints", "unit_ambiguous"),
    ("fill oil 0 ml", "amount_not_one_value"), ("fill oil 5 mm", "unit_other_kind"), ("wait", "action_unreadable"),
    ("wait long", "quantity_unreadable"), ("aid tray", "action_unreadable"), ("set fuel_valve", "action_unreadable"),
    ("note this", "action_unreadable"),
])
def test_an_action_that_cannot_be_read_is_named(text: str, code: str) -> None:
    with pytest.raises(Misread) as misread:
        read_action(scalar(text))
    assert (misread.value.code, misread.value.line) == (code, 7)


def test_a_list_is_no_action() -> None:
    with pytest.raises(Misread):
        read_action(Items((), 3))


@given(st.text(max_size=50))
def test_no_text_makes_an_action_fail(text: str) -> None:
    for read in (read_action, read_trigger):
        try:
            read(scalar(text))
        except Misread:
            continue


@pytest.mark.parametrize(("trigger", "action", "meant"), [
    ("undo cap", "undo cap", True), ("undo cap", "slacken cap", False), ("undo cap", "undo screw", False),
    ("set gear first", "set gear first", True), ("set gear first", "set gear neutral", False), ("set gear", "set gear neutral", True),
    ("apply glue tube", "apply glue to tube", True), ("apply glue to tube", "apply glue to tube", True),
    ("apply glue to tube", "apply glue to tyre", False), ("apply glue", "apply glue to tyre", True), ("aid on tray", "aid on tray", True),
    ("aid on tray", "aid off tray", False), ("fill oil", "fill oil 900 ml", True), ("tighten nut", "tighten nut stage 1", True),
])
def test_which_action_a_trigger_means(trigger: str, action: str, meant: bool) -> None:
    assert matches_trigger(read_action(scalar(action)), read_trigger(scalar(trigger))) is meant
