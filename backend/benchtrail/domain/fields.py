"""Reads the values of a text's keys by a table of fields: text, ids, numbers, choices, lists, guards, conditions.

Knows shapes and limits; which keys a machine's map or a procedure has stands in map_text.py and procedure_text.py.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.dates import iso_date
from benchtrail.domain.findings import Severity
from benchtrail.domain.guard_text import parse_guard
from benchtrail.domain.guards import Guard
from benchtrail.domain.literal_text import ISOLATION_WORDS, STATE_WORDS, read_alternatives, read_literal
from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Misread, Notes, meant, nearest
from benchtrail.domain.text_tree import Items, Node, Scalar, Table, shape_of

LONGEST_TEXT = 1200
MOST_ITEMS = 400
SAFETY = ("normal", "brakes", "steering", "fuel", "wheels", "throttle", "lifting")
Reader = Callable[[Notes, Node], Any]


@dataclass(frozen=True)
class Field:
    """How the value of one key is read; `default` stands when the key is missing; `check` names the check it serves."""

    read: Reader
    default: Any = None
    required: bool = False
    check: str = "R"


def needed(read: Reader, default: Any, check: str = "R") -> Field:
    """A field that must be there; `default` stands in for it while the rest is read."""
    return Field(read, default, True, check)


def read_record(notes: Notes, node: Node, fields: Mapping[str, Field], what: str, path: str) -> dict[str, Any]:
    """The values of a table's keys, with a default for each that is missing or cannot be read.

    Notes unknown and missing keys and values that cannot be taken; `path`, and `path.key`, then count as broken.
    """
    before = len(notes.findings)
    entries = node.entries if isinstance(node, Table) else {}
    if not isinstance(node, Table):
        notes.add("table_needed", node.line, what=what, found=shape_of(node))
    for entry in entries.values():
        notes.lines[f"{path}.{entry.key}"] = entry.line
        if entry.key not in fields:
            notes.add("key_unknown", entry.line, key=entry.key[:60], what=what, meant=_meant_key(entry.key, fields))
    record = {}
    for key, field in fields.items():
        found = len(notes.findings)
        record[key] = _value(notes, node, key, field, what)
        if len(notes.findings) > found:
            notes.broken.add(f"{path}.{key}")
    if len(notes.findings) > before:
        notes.broken.add(path)
    return record


def _meant_key(key: str, fields: Mapping[str, Field]) -> str:
    near = nearest(key, fields)
    return f"“{near}” may be meant." if near else f"Known are: {', '.join(fields)}."


def _value(notes: Notes, node: Node, key: str, field: Field, what: str) -> Any:
    value = node.node(key) if isinstance(node, Table) else None
    if value is None:
        if field.required and isinstance(node, Table):
            notes.add("key_missing", node.line, check=field.check, key=key, what=what)
        return field.default
    outer = notes.what, notes.key
    notes.what, notes.key = what, key
    try:
        return field.read(notes, value)
    except Misread as misread:
        notes.add_misread(misread)
        return field.default
    finally:
        notes.what, notes.key = outer


def read_table(notes: Notes, node: Node, fields: Mapping[str, Field], table: str, noun: str) -> dict[str, Any]:
    """A table of objects by id: each read as a record, ids checked."""
    if not isinstance(node, Table):
        raise Misread("table_needed", node.line, found=shape_of(node))
    objects = {}
    for entry in node.entries.values():
        path = f"{table}.{entry.key}"
        notes.lines[path] = entry.line
        if not re.fullmatch("[a-z][a-z0-9_]{0,79}", entry.key):
            notes.add("id_form", entry.line, id=entry.key[:60], what=noun)
        objects[entry.key] = read_record(notes, entry.value, fields, f"{noun} “{entry.key[:60]}”", path)
    return objects


def text(notes: Notes, node: Node) -> str:
    """Words, as written; a number or true/false is taken as its text."""
    if not isinstance(node, Scalar):
        raise Misread("text_needed", node.line, found=shape_of(node))
    written = " ".join(node.written.split())
    if node.value is None or not written:
        raise Misread("value_empty", node.line)
    if len(written) > LONGEST_TEXT:
        raise Misread("text_too_long", node.line, limit=LONGEST_TEXT)
    return written


def matching(pattern: str, code: str) -> Reader:
    """Text of a given form."""
    def read(notes: Notes, node: Node) -> str:
        written = text(notes, node)
        if not re.fullmatch(pattern, written):
            raise Misread(code, node.line, id=written[:80], written=written[:80])
        return written
    return read


identifier = matching("[a-z][a-z0-9_]{0,79}", "id_unreadable")
kebab = matching("[a-z0-9][a-z0-9-]{0,99}", "kebab_form")


def flag(notes: Notes, node: Node) -> bool:
    """true or false."""
    if not isinstance(node, Scalar) or not isinstance(node.value, bool):
        raise Misread("flag_needed", node.line, found=shape_of(node))
    return node.value


def number(low: float, high: float, whole: bool = False) -> Reader:
    """A number from `low` to `high`, without a unit: the key names it."""
    def read(notes: Notes, node: Node) -> int | float:
        value = node.value if isinstance(node, Scalar) else None
        if isinstance(value, bool) or not isinstance(value, int | float) or (whole and isinstance(value, float)):
            code = "whole_number_expected" if whole else "number_expected"
            raise Misread(code, node.line, found=shape_of(node))
        if not low <= value <= high:
            raise Misread("number_out_of_range", node.line, value=value, low=f"{low:g}", high=f"{high:g}")
        # 2.0 and 2 are the same number in canonical JSON; one form inside as well
        return int(value) if value == int(value) else value
    return read


def choice(*allowed: str) -> Reader:
    """One of a few words."""
    def read(notes: Notes, node: Node) -> str:
        written = text(notes, node)
        if written not in allowed:
            raise Misread("choice_not_known", node.line, written=written[:60], meant=meant(written, allowed))
        return written
    return read


def listed(read_item: Reader, least: int = 0) -> Reader:
    """A list; every item that cannot be taken is noted, the others are kept."""
    def read(notes: Notes, node: Node) -> list[Any]:
        items = node.items if isinstance(node, Items) else None
        if items is None or len(items) > MOST_ITEMS:
            raise Misread("list_expected", node.line, found=shape_of(node), limit=MOST_ITEMS)
        if len(items) < least:
            raise Misread("list_too_short", node.line, least=least)
        return _read_items(notes, items, read_item)
    return read


def _read_items(notes: Notes, items: Iterable[Node], read_item: Reader) -> list[Any]:
    taken = []
    for item in items:
        try:
            taken.append(read_item(notes, item))
        except Misread as misread:
            notes.add_misread(misread)
    return taken


def listed_or_none(read_item: Reader) -> Reader:
    """A list, or the word `none` for an empty one; S3: an empty list that does not say so."""
    def read(notes: Notes, node: Node) -> list[Any]:
        if isinstance(node, Scalar) and node.written == "none":
            return []
        if isinstance(node, Items) and not node.items:
            notes.add("empty_not_none", node.line, check="S3", severity=Severity.NOTE, key=notes.key)
        result: list[Any] = listed(read_item)(notes, node)
        return result
    return read


def one_or_more(read_item: Reader) -> Reader:
    """A list, or one item alone."""
    def read(notes: Notes, node: Node) -> list[Any]:
        result: list[Any] = listed(read_item, 1)(notes, node) if isinstance(node, Items) else [read_item(notes, node)]
        return result
    return read


def guard(notes: Notes, node: Node) -> Guard:
    """A guard in words. Raises Misread with the codes of `parse_guard`."""
    try:
        return parse_guard(text(notes, node))
    except Refused as refusal:
        raise Misread(refusal.code, node.line, refusal.values) from None


def literal(words: tuple[str, ...] = STATE_WORDS) -> Reader:
    """One condition in words."""
    return lambda notes, node: read_literal(node, words)


def alternatives(notes: Notes, node: Node) -> list[list[list[str]]]:
    """OR of ANDs of conditions."""
    return read_alternatives(node)


def isolation(notes: Notes, node: Node) -> list[list[list[str]]]:
    """Conditions as an isolation asks for them: also `aid strap`, which means that the aid is on."""
    return read_alternatives(node, ISOLATION_WORDS)


def day(notes: Notes, node: Node) -> str:
    """A date as YYYY-MM-DD."""
    written = text(notes, node)
    try:
        return iso_date(written, "date").isoformat()
    except Refused:
        raise Misread("day_unreadable", node.line, written=written[:40]) from None
