"""Texts cut into pieces and merged: nothing of either side is lost, whatever both did."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchtrail.domain.text_merge import Choice, Merged, join_pieces, merge_pieces
from benchtrail.domain.text_pieces import Piece, pieces_of
from benchtrail.resources import resource_dir
from benchtrail.services.read_yaml import read_yaml

TEXTS = sorted(resource_dir("procedures").rglob("*.yaml"))
SMALL = "title: T\n\nsteps:\n  # first\n  - id: a\n    say: A.\n  - id: b\n    say: B.\n  - id: c\n    say: C.\n"


def cut(text: str) -> list[Piece]:
    tree, findings = read_yaml(text, "x.yaml")
    assert tree is not None
    assert not findings
    pieces = pieces_of(text, tree)
    assert pieces is not None
    return pieces


def merged(base: str, mine: str, theirs: str) -> Merged:
    return merge_pieces(cut(base), cut(mine), cut(theirs))


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_the_pieces_of_every_library_text_are_the_text(path: Path) -> None:
    text = path.read_bytes().decode()
    pieces = cut(text)
    assert "".join(piece.text for piece in pieces) == text
    assert len(pieces) > 20


def test_a_comment_above_a_step_goes_with_it() -> None:
    assert {piece.name: piece.text for piece in cut(SMALL)}["steps/a"] == "  # first\n  - id: a\n    say: A.\n"


def test_changes_of_different_steps_are_both_kept() -> None:
    got = merged(SMALL, SMALL.replace("A.", "A mine."), SMALL.replace("C.", "C theirs."))
    assert got.text == SMALL.replace("A.", "A mine.").replace("C.", "C theirs.")


def test_the_same_step_changed_twice_is_a_choice_with_both_texts() -> None:
    got = merged(SMALL, SMALL.replace("B.", "B mine."), SMALL.replace("B.", "B theirs."))
    assert got.text is None
    (choice,) = [part for part in got.parts or [] if isinstance(part, Choice)]
    assert choice == Choice("steps/b", "  - id: b\n    say: B.\n", "  - id: b\n    say: B mine.\n", "  - id: b\n    say: B theirs.\n")


def test_a_step_taken_out_here_and_changed_there_is_a_choice() -> None:
    gone = SMALL.replace("  - id: b\n    say: B.\n", "")
    got = merged(SMALL, gone, SMALL.replace("B.", "B theirs."))
    assert [part.mine for part in got.parts or [] if isinstance(part, Choice)] == [None]
    assert merged(SMALL, gone, SMALL.replace("A.", "A theirs.")).text == gone.replace("A.", "A theirs.")


def test_a_moved_step_and_a_changed_step_merge() -> None:
    moved = SMALL.replace("  - id: c\n    say: C.\n", "").replace("  - id: b", "  - id: c\n    say: C.\n  - id: b")
    assert merged(SMALL, moved, SMALL.replace("C.", "C theirs.")).text == moved.replace("C.", "C theirs.")


def test_two_orders_are_a_choice_of_the_whole() -> None:
    first = SMALL.replace("id: b", "id: x").replace("id: a", "id: b").replace("id: x", "id: a")
    second = SMALL.replace("id: b", "id: x").replace("id: c", "id: b").replace("id: x", "id: c")
    assert merged(SMALL, first, second).parts is None


def test_a_last_line_without_its_end_gets_one_when_something_follows() -> None:
    assert join_pieces(["a: 1", "b: 2"]) == "a: 1\nb: 2"


SIDES = st.dictionaries(st.sampled_from("abcdef"), st.sampled_from(["1", "2", "3"]), max_size=6)


@settings(max_examples=400, deadline=None)
@given(base=SIDES, mine=SIDES, theirs=SIDES)
def test_nothing_of_either_side_is_lost(base: dict[str, str], mine: dict[str, str], theirs: dict[str, str]) -> None:
    sides = [[Piece(name, f"{name}: {text}\n") for name, text in side.items()] for side in (base, mine, theirs)]
    got = merge_pieces(*sides)
    if got.parts is None:
        return
    said = {part.name: part for part in got.parts}
    assert len(said) == len(got.parts)
    for side, other in ((mine, theirs), (theirs, mine)):
        for name in {*base, *side}:
            if side.get(name) != base.get(name):  # this side's change stands, or is offered
                part = said.get(name)
                wanted = f"{name}: {side[name]}\n" if name in side else None
                if isinstance(part, Choice):
                    assert wanted in (part.mine, part.theirs)
                else:
                    assert (part.text if part else None) == wanted
                    assert other.get(name) in (base.get(name), side.get(name))
    swapped = merge_pieces(sides[0], sides[2], sides[1])
    assert {type(part) for part in swapped.parts or []} == {type(part) for part in got.parts}
    assert merge_pieces(sides[0], sides[1], sides[1]).text == join_pieces([piece.text for piece in sides[1]])
