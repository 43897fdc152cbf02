"""Reads YAML into a tree with line numbers; reports every mistake it can at once, and never a traceback.

Knows YAML and its traps: only true/false, numbers and nothing are resolved (`on`, `yes`, dates stay text), no aliases,
no tags, no deep nesting. Nothing of what the keys mean.
"""

import math
import re
from collections.abc import Iterator

import yaml

from benchtrail.domain.findings import Finding
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.text_tree import Entry, Items, Node, Scalar, Table

MOST_BYTES = 1024 * 1024
MOST_DEPTH = 16
MOST_REPORTED = 20

# libyaml is some ten times quicker; where it is missing the Python parser gives the same events
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_REFUSED_CHARACTER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff"
                                "\u202a-\u202e\u2066-\u2069]")
_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_INT = re.compile(r"[-+]?[0-9]{1,15}")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]{1,20}|[0-9]{1,15}(?:\.[0-9]{0,20})?)(?:[eE][-+]?[0-9]{1,3})?")
_RESTART = re.compile(r"(?:[A-Za-z_][\w-]*:|  - id:)")
# words of the parser's problem → our code; the first that fits counts
_PROBLEMS = (
    ("max depth", "nested_too_deep"),
    ("nesting depth", "nested_too_deep"),
    ("mapping values are not allowed", "yaml_colon_in_text"),
    ("could not find expected ':'", "yaml_colon_missing"),
    ("unknown escape", "yaml_backslash"),
    ("quoted scalar", "yaml_quote_open"),
    ("expected ',' or", "yaml_bracket_open"),
    ("cannot start any token", "yaml_quote_needed"),
    ("expected <block end>", "yaml_indent"),
    ("did not find expected key", "yaml_indent"),
    ("did not find expected '-' indicator", "yaml_indent"),
)


def read_bytes(content: bytes, file: str) -> tuple[Node | None, list[Finding]]:
    """The tree of a file's bytes; None when there is none. Takes UTF-8, with or without a byte order mark."""
    notes = Notes(file)
    if len(content) > MOST_BYTES:
        notes.add("file_too_large", 1, size_kb=-(-len(content) // 1024), limit_kb=MOST_BYTES // 1024)
        return None, notes.findings
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        notes.add("encoding_utf16", 1)
        return None, notes.findings
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        notes.add("encoding_not_utf8", line, byte=f"0x{content[error.start]:02X}")
        return None, notes.findings
    return read_yaml(text, file)


def read_yaml(text: str, file: str) -> tuple[Node | None, list[Finding]]:
    """The tree of a text, and everything found; the tree is None when the text cannot be read as a whole."""
    notes = Notes(file)
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        notes.add("file_too_large", 1, size_kb=-(-size // 1024), limit_kb=MOST_BYTES // 1024)
        return None, notes.findings
    text = text.removeprefix("\ufeff")
    lines = _LINE_END.split(text)
    _note_characters(notes, lines)
    if notes.findings:
        return None, notes.findings
    tree = _tree_of(notes, text)
    if isinstance(tree, _Broken):
        _note_further(notes, lines, tree.line)
        return None, notes.findings
    if tree is None and not notes.findings:
        notes.add("file_empty", 1)
    return tree, notes.findings


def _note_characters(notes: Notes, lines: list[str]) -> None:
    """Characters that YAML forbids or that would not be seen, and tabs where only spaces may stand."""
    for number, line in enumerate(lines, 1):
        found = _REFUSED_CHARACTER.search(line)
        if found:
            notes.add("character_refused", number, character=f"U+{ord(found[0]):04X}", column=found.start() + 1)
        elif "\t" in line[:len(line) - len(line.lstrip(" \t"))] and line.strip():
            notes.add("tab_in_indent", number)
        if len(notes.findings) >= MOST_REPORTED:
            return


class _Broken:
    """The text could not be read from `line` on."""

    def __init__(self, line: int) -> None:
        self.line = line


def _tree_of(notes: Notes, text: str) -> Node | _Broken | None:
    """The first document as a tree; notes what the parser and the builder complain about."""
    try:
        builder = _Builder(notes)
        for event in _events(text):
            builder.take(event)
            if builder.given_up:
                return None
    except yaml.MarkedYAMLError as error:
        line = _line_of(error)
        problem = str(error.problem or error.context or "").strip()
        notes.add(_code_of(error), line, problem=problem, limit=MOST_DEPTH)
        return _Broken(line)
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        notes.add("yaml_unreadable", 1, problem=str(error).splitlines()[0][:120])
        return _Broken(10**9)
    return builder.root


def _events(text: str) -> Iterator[yaml.Event]:
    return yaml.parse(text, Loader=_LOADER)


def _line_of(error: yaml.MarkedYAMLError) -> int:
    """The line of the problem; for an open quote or bracket, where it was opened."""
    opened = error.context_mark if error.context and ("quoted" in error.context or "flow" in error.context) else None
    mark = opened or error.problem_mark or error.context_mark
    return mark.line + 1 if mark else 1


def _code_of(error: yaml.MarkedYAMLError) -> str:
    problem = f"{error.problem or ''} {error.context or ''}"
    return next((code for words, code in _PROBLEMS if words in problem), "yaml_unreadable")


def _note_further(notes: Notes, lines: list[str], line: int) -> None:
    """Further mistakes of form: reads on at the next step or top-level key, with everything before blanked out."""
    while len(notes.findings) < MOST_REPORTED:
        restart = next((n for n in range(line, len(lines)) if _RESTART.match(lines[n])), None)
        if restart is None:
            return
        rest = Notes(notes.file)
        tree = _tree_of(rest, "\n" * restart + "\n".join(lines[restart:]))
        if not isinstance(tree, _Broken):
            return
        notes.findings.extend(rest.findings)
        line = max(tree.line, restart + 1)


class _Builder:
    """Builds the tree from the parser's events, on a stack of its own (deep nesting cannot exhaust Python's)."""

    def __init__(self, notes: Notes) -> None:
        self.notes = notes
        self.root: Node | None = None
        self.given_up = False
        self._documents = 0
        self._stack: list[_Open] = []

    def take(self, event: yaml.Event) -> None:
        """Takes one event of the parser."""
        line = event.start_mark.line + 1 if event.start_mark else 1
        if isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents == 2:
                self.notes.add("several_documents", line)
                self.given_up = True
        elif isinstance(event, yaml.AliasEvent):
            self.notes.add("alias_refused", line, name=event.anchor)
            self._put(Scalar(None, "", line))
        elif isinstance(event, yaml.ScalarEvent):
            self._note_tag(event, line)
            self._put(_scalar(event, line))
        elif isinstance(event, yaml.CollectionStartEvent):
            self._note_tag(event, line)
            self._open(isinstance(event, yaml.MappingStartEvent), line)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._put(self._stack.pop().close())

    def _note_tag(self, event: yaml.NodeEvent, line: int) -> None:
        tag = getattr(event, "tag", None)
        if tag is not None:
            self.notes.add("tag_refused", line, tag=str(tag)[:60])

    def _open(self, table: bool, line: int) -> None:
        if len(self._stack) >= MOST_DEPTH:
            self.notes.add("nested_too_deep", line, limit=MOST_DEPTH)
            self.given_up = True
        self._stack.append(_Open(self.notes, table, line))

    def _put(self, node: Node) -> None:
        if self._stack:
            self._stack[-1].put(node)
        else:
            self.root = None if isinstance(node, Scalar) and node.written == "" else node


class _Open:
    """A table or list that is not closed yet."""

    def __init__(self, notes: Notes, table: bool, line: int) -> None:
        self.notes, self.table, self.line = notes, table, line
        self.items: list[Node] = []
        self.entries: dict[str, Entry] = {}
        self.key: Node | None = None

    def put(self, node: Node) -> None:
        if not self.table:
            self.items.append(node)
        elif self.key is None:
            self.key = node
        else:
            key, self.key = self.key, None
            self._enter(key, node)

    def _enter(self, key: Node, value: Node) -> None:
        if not isinstance(key, Scalar) or key.value is None:
            self.notes.add("key_not_text", key.line)
        elif key.written in self.entries:
            first = self.entries[key.written].line
            self.notes.add("key_twice", key.line, key=key.written[:60], first=first)
        else:
            self.entries[key.written] = Entry(key.written, key.line, value)

    def close(self) -> Node:
        return Table(self.entries, self.line) if self.table else Items(tuple(self.items), self.line)


def _scalar(event: yaml.ScalarEvent, line: int) -> Scalar:
    written = str(event.value)
    return Scalar(written if event.style else _resolved(written), written, line)


def _resolved(written: str) -> str | int | float | bool | None:
    """A plain scalar: nothing, true or false, a number, else the text. Never a date, `on`, `yes` or 1:30."""
    if written in ("", "~", "null", "Null", "NULL"):
        return None
    if written.lower() in ("true", "false"):
        return written.lower() == "true"
    if _INT.fullmatch(written):
        return int(written)
    if _FLOAT.fullmatch(written) and math.isfinite(number := float(written)):
        return number
    return written
