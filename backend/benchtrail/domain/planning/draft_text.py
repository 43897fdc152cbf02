"""Writes a drafted procedure as the text that a dealer edits (shared/README.md §5).

Knows YAML as our reader takes it: plain words where they are safe, quotes where not. Nothing of plans.
"""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

_PLAIN = re.compile(r"[A-Za-z0-9][^\n\r\t#:{}\[\],&*!|>'\"%@`]*")
_WORDS_WITH_MEANING = {"true", "false", "null", "yes", "no", "on", "off", "none", "all", "~"}
HEAD_KEYS = ("procedure", "title", "summary", "model", "revision", "issued", "author", "change_note", "applies", "goal",
             "safety", "people", "skill", "start", "ends", "stop_and_ask", "disposal")
STEP_KEYS = ("do", "say", "detail", "look_for", "when", "tools", "caution", "limits", "picture", "minutes")
NONE_WHEN_EMPTY = ("start", "ends")
OPEN_WORDS = {
    "draft_wrench_missing": "no torque wrench of the map reads {figure} for the {object}.",
    "draft_measuring_tool_missing": "the map names no tool that measures the {object}.",
    "draft_limits_missing": "the map gives no limits for the {object}.",
    "draft_amount_missing": "the map does not say how much {object} goes in.",
}


INTRODUCTION = """\
# Drafted from the map. It is yours now: edit the words, add pictures and steps, take steps out.
# Where “picture:” or “words:” stands in a comment, a person does better than the map: put it in and take the comment out.
# The ids of the steps stay: by them `benchtrail map redraft` puts a later draft beside your edits and loses none."""
MARKS = """\

# What the draft said, as short marks: by them a new draft knows what you have edited. Leave this as it is.
drafted:"""
WORDS_WANTED = ("measure", "test", "run", "adjust", "bleed", "inspect")


def procedure_text(head: Mapping[str, Any], steps: Sequence[Mapping[str, Any]], invented: bool) -> str:
    """The whole file but for its marks."""
    lines = ["# INVENTED, like the whole library: not for use on a real machine."] if invented else []
    lines += INTRODUCTION.split("\n")
    lines += [f"{key}: {written(key, head[key])}" for key in HEAD_KEYS if head[key] or key in NONE_WHEN_EMPTY]
    lines += ["# Parts, new parts, tools, fluids and supplies are listed from the steps; here only what no step implies."]
    lines += ["prepare: {tools: none, supplies: none}", "", "steps:"]
    section = ""
    for step in steps:
        lines += step_lines(step, section)
        section = step["section"]
    return "\n".join(lines) + "\n"


def written(key: str, value: Any) -> str:
    """The value of a key of a head or a step, as it stands after the colon."""
    if key in NONE_WHEN_EMPTY and not value:
        return "none"
    if key == "do" and len(value) == 1:
        return str(value[0])
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{name}: {scalar(inner)}' for name, inner in value.items())}}}"
    if key == "minutes":
        return f"{value:g}"
    return flow(value) if isinstance(value, list | tuple) else scalar(value)


def step_lines(step: Mapping[str, Any], section: str | None) -> Iterator[str]:
    """The lines of one step; `section`: that of the step before."""
    yield f"  - id: {step['id']}"
    if step["section"] != section:
        yield f"    section: {scalar(step['section'])}"
    for code, values in step.get("open", ()):
        yield f"    # open: {OPEN_WORDS[code].format(**dict(values))}"
    yield from _wishes(step)
    for key in STEP_KEYS:
        if step.get(key):
            yield f"    {key}: {written(key, step[key])}"


def _wishes(step: Mapping[str, Any]) -> Iterator[str]:
    """Where a person does better than a map."""
    verbs = {action.split()[0] for action in step["do"]}
    if verbs & set(WORDS_WANTED) and not step.get("look_for") and not step.get("limits") and not step.get("own_words"):
        yield "    # words: say how this is done, and in look_for what is good."
    if "fit" in verbs and step.get("look_for"):
        yield "    # picture: what look_for says, as the eye sees it."


def marks_text(map_revision: int, head: Mapping[str, str], steps: Mapping[str, Mapping[str, str]]) -> str:
    """The marks of a draft, as they stand at the end of its file."""
    lines = [*MARKS.split("\n"), f"  map_revision: {map_revision}", f"  head: {_marks_line(head)}", "  steps:"]
    lines += [f"    {key}: {_marks_line(marks)}" for key, marks in steps.items()]
    return "\n".join(lines) + "\n"


def _marks_line(marks: Mapping[str, str]) -> str:
    return flow([f"{name} {mark}" for name, mark in marks.items()])


def scalar(value: object) -> str:
    """A value as YAML: bare where nothing can be misread."""
    if isinstance(value, bool | int | float):
        return json.dumps(value)
    text = str(value)
    bare = _PLAIN.fullmatch(text) and text == text.strip() and text.lower() not in _WORDS_WITH_MEANING - {"all"}
    if bare and not re.fullmatch(r"[-+.0-9eE_]+", text):
        return text
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return text
    return json.dumps(text, ensure_ascii=False)


def flow(values: Sequence[object]) -> str:
    """A list on one line."""
    return f"[{', '.join(scalar(value) for value in values)}]"
