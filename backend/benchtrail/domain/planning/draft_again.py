"""A new draft beside an edited procedure: what of each stays, field by field, from the marks of the earlier draft.

Knows records and marks; nothing of text. Source: the usual merge of three versions, with a mark instead of the first one;
our own derivation.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from benchtrail.domain.planning.draft_marks import HEAD_FIELDS, STEP_FIELDS, Marks, mark_of
from benchtrail.domain.procedure_text import ProcedureText

# new: a step that the draft has now; gone: it has it no more; kept: gone from the draft, but a person had edited it;
# taken: the draft's new value; both: edited, and the draft says something new; left_out: taken out by a person, and the
# draft says something new; moved: the draft has another order; order: both have
Kind = Literal["new", "gone", "kept", "taken", "both", "left_out", "moved", "order"]
HEAD = "head"


@dataclass(frozen=True)
class Change:
    """One difference. `step` is an id, or `head`; `field` is empty for a step as a whole."""

    kind: Kind
    step: str
    field: str = ""


@dataclass(frozen=True)
class Again:
    """What becomes of an edited procedure: the ids of its steps in order, and every change. What is `kept` stands among the
    steps too."""

    order: tuple[str, ...]
    changes: tuple[Change, ...]


def compare_again(edited: ProcedureText, now: ProcedureText) -> Again:
    """The three-way comparison of an edited procedure, whose marks tell what was drafted, and the draft of now."""
    assert edited.drafted is not None, "only a drafted procedure can be compared"
    marks: Mapping[str, Marks] = edited.drafted["steps"]
    mine = {step["id"]: step for step in edited.steps}
    theirs = {step["id"]: step for step in now.steps}
    changes = _fields(HEAD, edited.drafted["head"], edited.head, now.head, HEAD_FIELDS)
    for key in [*theirs, *(key for key in mine if key not in theirs)]:
        changes += _step(key, marks.get(key), mine.get(key), theirs.get(key))
    gone = {change.step for change in changes if change.kind == "gone"}
    left_out = {key for key in theirs if key in marks and key not in mine}
    order, moved = _order(list(marks), [key for key in mine if key not in gone], [key for key in theirs if key not in left_out])
    return Again(tuple(order), (*changes, *moved))


def _step(key: str, marks: Marks | None, mine: Mapping[str, Any] | None, theirs: Mapping[str, Any] | None) -> list[Change]:
    if mine is None and theirs is not None:
        if marks is None:
            return [Change("new", key)]
        return [Change("left_out", key)] if _differs(marks, theirs) else []
    if theirs is None and mine is not None:
        if marks is None:
            return []
        return [Change("kept" if _differs(marks, mine) or mine["picture"] else "gone", key)]
    return _fields(key, marks or {}, mine or {}, theirs or {}, STEP_FIELDS)


def _differs(marks: Marks, step: Mapping[str, Any]) -> bool:
    return any(mark_of(step[name]) != marks.get(name) for name in STEP_FIELDS)


def _fields(key: str, marks: Marks, mine: Mapping[str, Any], theirs: Mapping[str, Any],
            fields: Sequence[str]) -> list[Change]:
    """Fields that the draft changed since: taken where nobody edited them, both where somebody did."""
    found = []
    for name in fields:
        before, own, new = marks.get(name), mark_of(mine[name]), mark_of(theirs[name])
        if new not in (own, before):
            found.append(Change("taken" if own == before else "both", key, name))
    return found


def _order(before: Sequence[str], mine: Sequence[str], theirs: Sequence[str]) -> tuple[list[str], list[Change]]:
    """The steps in the draft's order unless a person moved any; what only the other side has follows its neighbour."""
    common = [key for key in before if key in mine and key in theirs]
    own, new = [key for key in mine if key in common], [key for key in theirs if key in common]
    if own == common:
        order = _woven(theirs, mine)
        return order, [] if new == common else [Change("moved", key) for key in _moved(common, new)]
    return _woven(mine, theirs), [] if new in (common, own) else [Change("order", HEAD)]


def _moved(before: Sequence[str], after: Sequence[str]) -> list[str]:
    """Steps that have another step before them than they had."""
    was = dict(zip(before, [None, *before], strict=False))
    return [key for key, above in zip(after, [None, *after], strict=False) if was[key] != above]


def _woven(first: Sequence[str], second: Sequence[str]) -> list[str]:
    order = list(first)
    for key, above in zip(second, [None, *second], strict=False):
        if key not in order:
            order.insert(order.index(above) + 1 if above in order else 0, key)
    return order
