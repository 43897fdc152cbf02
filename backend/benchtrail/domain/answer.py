"""What a calculation hands back: the answer, its working in one line, its source, and when it stops being true.

Knows the record and how a template is filled; the templates themselves stand in `shared/texts/calc.en.json`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from benchtrail.domain.rounding import number_text, stepped_text

Mark: TypeAlias = Literal["published", "restated", "library", "arithmetic", "practice", "memory"]
Value: TypeAlias = "float | int | str | bool | list[Value] | dict[str, Value] | None"


@dataclass(frozen=True)
class Note:
    """A sentence by its code; `values` fill the template of that code (numbers in the units that their names say)."""

    code: str
    values: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True)
class Source:
    """Where a rule comes from: how well it is known (`mark`) and its name; `practice` has none.

    published: read in the original; restated: read in a restatement; library: computed with it; arithmetic: needs no
    authority; practice: common practice, no source; memory: from memory, not seen.
    """

    mark: Mark
    name: str = ""


# a code of ours among the values of a sentence: it is said in plain words
_CODE = re.compile(r"[a-z]+(?:_[a-z]+)+")
ARITHMETIC = Source("arithmetic")
PRACTICE = Source("practice")


@dataclass(frozen=True)
class Answer:
    """`values` are canonical and never rounded; `notes` are to heed now, `until` says when it stops being true."""

    values: Mapping[str, Value]
    working: Note
    sources: tuple[Source, ...]
    until: tuple[Note, ...] = ()
    notes: tuple[Note, ...] = ()


def answer_data(answer: Answer) -> dict[str, Value]:
    """The answer as plain data, the same in both languages."""
    return {
        "values": dict(answer.values),
        "working": _note_data(answer.working),
        "sources": [{"mark": source.mark, "name": source.name} for source in answer.sources],
        "until": [_note_data(note) for note in answer.until],
        "notes": [_note_data(note) for note in answer.notes],
    }


def _note_data(note: Note) -> dict[str, Value]:
    return {"code": note.code, "values": dict(note.values)}


def in_words(template: str, values: Mapping[str, Value]) -> str:
    """`template` with its places filled: `{set_nm:1}` is rounded to one decimal, `{name}` is put in as it is."""
    def place(match: re.Match[str]) -> str:
        return _spoken(values.get(match[1]), match[2])
    return re.sub(r"\{(\w+)(?::([0-9]))?\}", place, template)


def _spoken(value: Value, decimals: str | None) -> str:
    if isinstance(value, list):
        return ", ".join(_spoken(item, decimals) for item in value)
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value.replace("_", " ") if _CODE.fullmatch(value) else value
    if isinstance(value, dict):
        return str(value)
    return number_text(value) if decimals is None else stepped_text(value, float(f"1e-{decimals}"))
