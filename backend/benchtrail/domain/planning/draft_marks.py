"""Short marks of what a draft said: by them it is known later which words a person has edited since.

Knows values as they are read from a text, so that a change of form alone (quotes, lists in lines) is no edit.
"""

import hashlib
import json
from typing import Any

from benchtrail.domain.procedure_text import ProcedureText

LETTERS = 8
STEP_FIELDS = ("section", "do", "say", "detail", "look_for", "when", "tools", "caution", "limits", "minutes")
HEAD_FIELDS = ("title", "summary", "applies", "safety", "people", "skill", "start", "ends", "stop_and_ask", "disposal")

Marks = dict[str, str]


def mark_of(value: Any) -> str | None:
    """The mark of a value: the first letters of the SHA-256 of its JSON; None for nothing, an empty list or text."""
    if value in (None, [], {}, ""):
        return None
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:LETTERS]


def marks_of(read: ProcedureText) -> tuple[Marks, dict[str, Marks]]:
    """The marks of the head, and of each step by its id in order, without those of nothing."""
    return _marks(read.head, HEAD_FIELDS), {step["id"]: _marks(step, STEP_FIELDS) for step in read.steps}


def _marks(record: dict[str, Any], fields: tuple[str, ...]) -> Marks:
    return {name: mark for name in fields if (mark := mark_of(record[name])) is not None}
