"""Writes a drafted procedure as the text that a dealer edits (shared/README.md §5).

Knows YAML as our reader takes it: plain words where they are safe, quotes where not. Nothing of plans.
"""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

_PLAIN = re.compile(r"[A-Za-z0-9][^\n\r\t#:{}\[\],&*!|>'\"%@`]*")
_WORDS_WITH_MEANING = {"true", "false", "null", "yes", "no", "on", "off", "none", "all", "~"}
_HEAD = ("procedure", "title", "summary", "model", "revision", "issued", "author", "change_note", "applies")


def procedure_text(head: Mapping[str, Any], steps: Sequence[Mapping[str, Any]], invented: bool) -> str:
    """The whole file."""
    lines = ["# INVENTED, like the whole library: not for use on a real machine."] if invented else []
    lines += ["# Drafted from the map. Edit the words, add pictures; the ids of the steps stay."]
    lines += [f"{key}: {scalar(head[key])}" for key in _HEAD]
    lines += [f"goal: {flow(head['goal'])}", f"safety: {flow(head['safety'])}", f"people: {head['people']}",
              f"skill: {scalar(head['skill'])}", f"start: {flow(head['start']) if head['start'] else 'none'}",
              f"ends: {flow(head['ends']) if head['ends'] else 'none'}",
              "prepare: {tools: none, supplies: none}", f"stop_and_ask: {scalar(head['stop_and_ask'])}"]
    lines += [f"disposal: {scalar(head['disposal'])}"] if head["disposal"] else []
    lines += ["", "steps:"]
    section = ""
    for step in steps:
        lines += _step_lines(step, section)
        section = step["section"]
    return "\n".join(lines) + "\n"


def _step_lines(step: Mapping[str, Any], section: str) -> Iterator[str]:
    yield f"  - id: {step['id']}"
    if step["section"] != section:
        yield f"    section: {scalar(step['section'])}"
    do = step["do"]
    yield f"    do: {do[0] if len(do) == 1 else flow(do)}"
    yield f"    say: {scalar(step['say'])}"
    for key in ("detail", "look_for", "when"):
        if step.get(key):
            yield f"    {key}: {scalar(step[key])}"
    for key in ("tools", "caution"):
        if step.get(key):
            yield f"    {key}: {flow(step[key])}"
    for key in ("limits", "picture"):
        if step.get(key):
            yield f"    {key}: {{{', '.join(f'{name}: {scalar(value)}' for name, value in step[key].items())}}}"
    if step.get("minutes"):
        yield f"    minutes: {step['minutes']:g}"


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
