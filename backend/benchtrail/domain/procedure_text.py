"""Reads a procedure: its head, its steps and, when it is for no model, the objects that it declares itself.

Knows the keys of a procedure (shared/README.md §5); whether the objects exist is checked later.
"""

from dataclasses import dataclass
from typing import Any

from benchtrail.domain.accepted import ACCEPTED
from benchtrail.domain.action_text import read_action
from benchtrail.domain.fields import (
    SAFETY,
    Field,
    choice,
    day,
    flag,
    guard,
    identifier,
    kebab,
    listed,
    listed_or_none,
    literal,
    matching,
    needed,
    number,
    one_or_more,
    read_record,
    text,
)
from benchtrail.domain.literal_text import GOAL_WORDS
from benchtrail.domain.map_text import CAUTION_FIELDS, TABLE_FIELDS, TABLES, read_tables
from benchtrail.domain.source_notes import Misread, Notes
from benchtrail.domain.text_tree import Items, Node, Scalar, Table, shape_of

START_WORDS = ("pose", "set")
FAIL_NEEDS = ("renew", "ask", "adjust", "stop")
MOST_STEPS = 400


def _caution(notes: Notes, node: Node) -> str | dict[str, Any]:
    """The id of a caution, or an inline one."""
    if isinstance(node, Scalar):
        named: str = identifier(notes, node)
        return named
    return read_record(notes, node, CAUTION_FIELDS, "the caution", f"caution.{node.line}")


def _action(notes: Notes, node: Node) -> dict[str, Any]:
    return read_action(node)


_LIMITS = {
    "check": needed(identifier, ""), "at_least": Field(identifier), "at_most": Field(identifier),
    "pass": needed(text, "…", "S10"), "fail": needed(text, "…", "S10"),
    "fail_needs": needed(choice(*FAIL_NEEDS), "ask", "S10"),
}
_PICTURE = {"file": needed(text, ""), "alt": Field(text)}


def _limits(notes: Notes, node: Node) -> dict[str, Any]:
    return read_record(notes, node, _LIMITS, "the limits", f"limits.{node.line}")


def _picture(notes: Notes, node: Node) -> dict[str, Any]:
    """A file's path, or `{file: …, alt: …}`."""
    if isinstance(node, Scalar):
        return {"file": text(notes, node), "alt": None}
    return read_record(notes, node, _PICTURE, "the picture", f"picture.{node.line}")


_STEP = {
    "id": needed(kebab, ""), "section": Field(text), "do": needed(one_or_more(_action), []), "say": needed(text, "…"),
    "detail": Field(text), "when": Field(guard), "tools": Field(listed(identifier), []), "figure": Field(identifier),
    "caution": Field(one_or_more(_caution), []), "limits": Field(_limits), "look_for": Field(text),
    "picture": Field(_picture), "minutes": Field(number(0, 600)),
}


def _steps(notes: Notes, node: Node) -> list[dict[str, Any]]:
    """The steps in order; the section of each is that of the last one that names it."""
    nodes = listed(lambda _, item: item, 1)(notes, node)
    steps: list[dict[str, Any]] = []
    for place, item in enumerate(nodes, 1):
        step = _step(notes, item, place)
        step["section"] = step["section"] or (steps[-1]["section"] if steps else "")
        steps.append(step)
    notes.step = None
    return steps


def _step(notes: Notes, node: Node, place: int) -> dict[str, Any]:
    named = node.node("id") if isinstance(node, Table) else None
    key = named.written.strip() if isinstance(named, Scalar) and named.value is not None else f"step-{place}"
    notes.step = key
    path = f"steps.{key}"
    if path in notes.lines:
        notes.add("step_twice", node.line, check="S10", id=key, first=notes.lines[path])
        notes.broken.add("steps")
    notes.lines.setdefault(path, node.line)
    step = read_record(notes, node, _STEP, f"step “{key}”", path)
    _keep_lines(notes, node, path)
    return step | {"id": key}


def _keep_lines(notes: Notes, node: Node, path: str) -> None:
    """The line of each action and caution of a step."""
    for key in ("do", "caution"):
        value = node.node(key) if isinstance(node, Table) else None
        if value is not None:
            for n, item in enumerate(value.items if isinstance(value, Items) else [value]):
                notes.lines[f"{path}.{key}.{n}"] = item.line


_PREPARE = {"tools": needed(listed_or_none(identifier), []),
            "supplies": needed(listed_or_none(identifier), [])}


def _prepare(notes: Notes, node: Node) -> dict[str, Any]:
    return read_record(notes, node, _PREPARE, "prepare", "prepare")


def _marks(notes: Notes, node: Node) -> dict[str, str]:
    """Marks of one record: `[say 3fa21c88, minutes 01ab3c5d]`."""
    return dict(pair.split(" ", 1) for pair in listed(matching("[a-z_]+ [0-9a-f]{8}", "mark_form"))(notes, node))


def _step_marks(notes: Notes, node: Node) -> dict[str, dict[str, str]]:
    if not isinstance(node, Table):
        raise Misread("table_needed", node.line, found=shape_of(node))
    return {entry.key: _marks(notes, entry.value) for entry in node.entries.values()}


_DRAFTED = {"map_revision": needed(number(1, 100_000, whole=True), 1), "head": Field(_marks, {}), "steps": Field(_step_marks, {})}


def _drafted(notes: Notes, node: Node) -> dict[str, Any]:
    return read_record(notes, node, _DRAFTED, "drafted", "drafted")


_start_literals = listed_or_none(literal(START_WORDS))
_HEAD = {
    "procedure": needed(kebab, "unknown"), "title": needed(text, "…"), "summary": needed(text, "…"),
    "revision": needed(number(1, 100_000, whole=True), 1), "issued": needed(day, "2000-01-01"),
    "author": needed(text, "…"), "change_note": needed(text, "…"), "applies": needed(guard, None, "S1"),
    "goal": needed(one_or_more(literal(GOAL_WORDS)), []), "safety": needed(one_or_more(choice(*SAFETY)), ["normal"]),
    "people": needed(number(1, 20, whole=True), 1), "skill": needed(text, "…"),
    "start": needed(_start_literals, []), "ends": Field(_start_literals),
    "prepare": needed(_prepare, {"tools": [], "supplies": []}),
    "stop_and_ask": needed(text, "…"), "disposal": Field(text), "accepted": ACCEPTED,
}
_FOR_MODEL = {**_HEAD, "model": needed(kebab, "unknown"), "steps": needed(_steps, []), "drafted": Field(_drafted)}
# tables before steps only for the messages' order; the reader takes any order
_ANYWHERE = {**_HEAD, "invented": Field(flag, False), **TABLE_FIELDS, "steps": needed(_steps, [])}


@dataclass(frozen=True)
class ProcedureText:
    """A procedure as read. `model` None: it declares its own `tables`. `playable`: all that the steps do was read.
    `drafted`: the marks of its draft (`map_revision`, `head`, `steps`), if it was drafted from the map."""

    head: dict[str, Any]
    model: str | None
    tables: dict[str, dict[str, Any]]
    steps: list[dict[str, Any]]
    notes: Notes
    drafted: dict[str, Any] | None = None

    @property
    def playable(self) -> bool:
        unread = {f"steps.{step['id']}.{key}" for step in self.steps for key in ("do", "when")} | {"steps"}
        return bool(self.steps) and not unread & self.notes.broken


def read_procedure(notes: Notes, tree: Node) -> ProcedureText:
    """The procedure of a tree, with everything found noted."""
    model = isinstance(tree, Table) and "model" in tree.entries
    fields = _FOR_MODEL if model else _ANYWHERE
    if isinstance(tree, Table) and model:
        _note_tables_beside_model(notes, tree)
        tree = Table({key: entry for key, entry in tree.entries.items() if key not in TABLES}, tree.line)
    record = read_record(notes, tree, fields, "the procedure", "procedure")
    head = {key: record[key] for key in _HEAD}
    head["ends"] = head["start"] if head["ends"] is None else head["ends"]
    head["invented"] = record.get("invented", False)
    tables = read_tables(notes, record) if not model else {table: {} for table in TABLES}
    return ProcedureText(head, record["model"] if model else None, tables, record["steps"], notes,
                         record.get("drafted"))


def _note_tables_beside_model(notes: Notes, tree: Table) -> None:
    """With a model the objects stand in its map."""
    for table in TABLES:
        if table in tree.entries:
            notes.add("table_belongs_in_map", tree.entries[table].line, key=table)
