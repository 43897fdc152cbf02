"""The house's own words: what people wrote for an act in the procedures of a model, for the drafts of others.

Only for acts whose words a map cannot give: looking, measuring, testing, running, bleeding, reading a level, posing.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from benchtrail.domain.planning.draft_steps import Phrases, action_text
from benchtrail.services.compile_library import Library

IN_WORDS = frozenset(("inspect", "measure", "adjust", "test", "run", "level", "bleed", "pose"))
FIELDS = ("say", "detail", "look_for")


def phrases_of(procedures: Iterable[Sequence[Mapping[str, Any]]]) -> Phrases:
    """Actions as written → the words of the first step that does just these; `procedures`: the steps of each, compiled or
    as read."""
    found: dict[tuple[str, ...], dict[str, str]] = {}
    for steps in procedures:
        for step in steps:
            if all(action["verb"] in IN_WORDS for action in step["do"]):
                words = {name: step[name] for name in FIELDS if step[name]}
                found.setdefault(tuple(action_text(action) for action in step["do"]), words)
    return found


def phrases_of_library(library: Library, model: str, without: str | None = None) -> Phrases:
    """The words in the procedures of a model, in the order of their names; `without`: but not this procedure."""
    texts = sorted((entry.text for entry in library.procedures if entry.text.model == model), key=lambda text: text.notes.file)
    return phrases_of(text.steps for text in texts if text.head["procedure"] != without)
