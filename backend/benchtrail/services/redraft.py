"""Drafts an edited procedure anew and puts both together in its text: edits stay, unedited words follow the map.

Knows lines of the text, so that whatever is not changed stays as a person typed it, comments included; what stays of
each side is decided in domain/planning/draft_again.py.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from benchtrail.domain.compile_pack import ReadPicture
from benchtrail.domain.findings import Finding, worst_first
from benchtrail.domain.planning.draft_again import HEAD, Again, Change, compare_again
from benchtrail.domain.planning.draft_marks import marks_of
from benchtrail.domain.planning.draft_steps import Phrases
from benchtrail.domain.planning.draft_text import MARKS, marks_text, scalar
from benchtrail.domain.procedure_text import ProcedureText
from benchtrail.domain.refused import Refused
from benchtrail.domain.text_pieces import Piece, pieces_of
from benchtrail.services.draft import AUTHOR, Drafted, check_text, draft_procedure, read_text
from benchtrail.services.least_work import SECONDS
from benchtrail.services.plan import ModelPack
from benchtrail.services.read_yaml import read_bytes

NOW = "drafted now:"
STEP_INDENT = 4


@dataclass(frozen=True)
class Difference:
    """One change in words: what the text says, and what the draft says now; None where it says nothing."""

    kind: str
    step: str
    field: str
    yours: str | None
    drafted: str | None


@dataclass(frozen=True)
class Redrafted:
    """The text with both put together, the same text when nothing changed; every difference; what is found in the result."""

    text: str
    differences: tuple[Difference, ...]
    findings: tuple[Finding, ...]


def redraft(pack: ModelPack, map_path: str, path: str, text: str, issued: str, phrases: Phrases | None = None,
            read_picture: ReadPicture = lambda _: None, seconds: float = SECONDS) -> Redrafted:
    """The new draft of a procedure's own goals beside its text. `read_picture`: for the checks of the result.

    Raises Refused: redraft_unreadable, redraft_no_marks (it was never drafted), and as `draft_procedure`.
    """
    edited = read_text(path, text)
    pieces = _pieces(path, text)
    if edited.drafted is None or pieces is None or not edited.steps:
        raise Refused("redraft_no_marks", file=path)
    goals = [" ".join(literal) for literal in edited.head["goal"]]
    start = [(literal[0], literal[1]) for literal in edited.head["start"] if literal[0] == "pose"]
    now = draft_procedure(pack, map_path, goals, issued, AUTHOR, None, start, phrases, seconds)
    again = compare_again(edited, now.read)
    whole = _put_together(pack, pieces, edited, now, again, issued) if again.changes else text
    differences = tuple(_said(change, pieces, _named(_pieces(now.path, now.text))) for change in again.changes)
    return Redrafted(whole, differences, tuple(worst_first(check_text(pack, map_path, path, whole, read_picture))))


def _pieces(path: str, text: str) -> list[Piece] | None:
    tree, _ = read_bytes(text.encode("utf-8", "surrogatepass"), path)
    return pieces_of(text, tree) if tree is not None else None


def _named(pieces: Sequence[Piece] | None) -> dict[str, str]:
    return {piece.name: piece.text for piece in pieces or ()}


# --- the text -------------------------------------------------------------------------------------------------------


def _put_together(pack: ModelPack, pieces: Sequence[Piece], edited: ProcedureText, now: Drafted, again: Again,
                  issued: str) -> str:
    mine, theirs = _named(pieces), _named(_pieces(now.path, now.text))
    head = [piece for piece in pieces if piece.name.partition("/")[0] not in ("steps", "drafted")]
    lines = "".join(_ended(_head_piece(piece, again, theirs, edited, issued)) for piece in head)
    lines += "".join(theirs[name] for name in _added_head(again, mine))
    lines += mine["steps"]
    section = ""
    for key in again.order:
        piece, section = _step_piece(key, again, mine, theirs, edited, now.read, section)
        lines += _ended(piece)
    return lines.rstrip("\n") + "\n" + _own_comments(mine["drafted"]) + marks_text(pack["revision"], *marks_of(now.read))


def _ended(text: str) -> str:
    return text if text.endswith("\n") or not text else text + "\n"


def _own_comments(piece: str) -> str:
    """What a person wrote between the last step and the marks."""
    above = piece.splitlines(keepends=True)
    above = above[:next(n for n, line in enumerate(above) if line.startswith("drafted"))]
    return "".join(line for line in above if line.strip() and line.strip() not in MARKS)


def _added_head(again: Again, mine: Mapping[str, str]) -> list[str]:
    return [change.field for change in again.changes
            if change.step == HEAD and change.kind == "taken" and change.field not in mine]


def _head_piece(piece: Piece, again: Again, theirs: Mapping[str, str], edited: ProcedureText, issued: str) -> str:
    fixed = {"revision": str(edited.head["revision"] + 1), "issued": issued,
             "change_note": "Drafted again after a change of the map."}
    if piece.name in fixed:
        return _with_value(piece.text, piece.name, f"{piece.name}: {fixed[piece.name]}\n", 0)
    kinds = {change.kind for change in again.changes if change.step == HEAD and change.field == piece.name}
    drafted = _lines_of_key(theirs.get(piece.name, ""), piece.name, 0)
    if "taken" in kinds:
        return _with_value(piece.text, piece.name, drafted, 0)
    return _comment(drafted, 0) + piece.text if "both" in kinds else piece.text


def _step_piece(key: str, again: Again, mine: Mapping[str, str], theirs: Mapping[str, str], edited: ProcedureText,
                now: ProcedureText, before: str) -> tuple[str, str]:
    """The lines of one step, and its section; the section is written out where it is another than that before."""
    name = f"steps/{key}"
    steps = {step["id"]: step for step in (*now.steps, *edited.steps)}
    section = str(steps[key]["section"])
    if name not in mine:
        text = theirs[name]
        section = next(str(step["section"]) for step in now.steps if step["id"] == key)
    else:
        text = mine[name]
        kinds = {change.field: change.kind for change in again.changes if change.step == key}
        if kinds.get("section") == "taken":
            section = next(str(step["section"]) for step in now.steps if step["id"] == key)
        for field, kind in kinds.items():
            drafted = _lines_of_key(theirs.get(name, ""), field, STEP_INDENT) if field else ""
            if kind == "kept":
                text = "  # The map asks for this step no more; it stays, for it was edited. Take it out if you agree.\n" + text
            elif kind == "taken" and field != "section":
                text = _taken(text, field, drafted)
            elif kind == "both":
                text = _beside(text, field, drafted)
    return _with_section(text, section, before), section


def _taken(text: str, field: str, drafted: str) -> str:
    """The draft's value in the place of the old one; as a comment where the step is not written line by line."""
    indent = _indent_of(text)
    if indent is None or re.match(rf"\s*- +{field}\s*:", _dash_line(text)):
        return _beside(text, field, drafted)
    return _with_value(text, field, f"{' ' * indent}{drafted.strip()}\n" if drafted else "", indent)


def _dash_line(text: str) -> str:
    return next((line for line in text.splitlines() if re.match(r"\s*- ", line)), "")


def _indent_of(text: str) -> int | None:
    """Where the keys of a step begin; None for a step written in braces."""
    match = re.match(r"\s*- +(?=[a-z'\"])", _dash_line(text))
    return len(match[0]) if match else None


def _with_section(text: str, section: str, before: str) -> str:
    """The step with its section written out where it is another than that before."""
    indent = _indent_of(text)
    if indent is None:
        return text
    own = _lines_of_key(text, "section", indent)
    wanted = f"{' ' * indent}section: {scalar(section)}\n" if section != before else ""
    if own and wanted and own.split(":", 1)[1].split("#")[0].strip().strip("\"'") == section:
        return text
    return _with_value(text, "section", wanted, indent) if own or wanted else text


def _key_span(lines: Sequence[str], key: str, indent: int) -> tuple[int, int] | None:
    """The lines [from, to) of a key and its value: all that is indented deeper, or a list at the same indent, belongs to it."""
    lead = re.compile(rf" {{{indent}}}['\"]?{re.escape(key)}['\"]?\s*:")
    first = next((n for n, line in enumerate(lines) if lead.match(line)), None)
    if first is None:
        return None
    end = first + 1
    while end < len(lines) and (not lines[end].strip() or re.match(rf" {{{indent}}}( |- )", lines[end])):
        end += 1
    while end > first + 1 and not lines[end - 1].strip():
        end -= 1
    return first, end


def _lines_of_key(text: str, key: str, indent: int) -> str:
    lines = text.splitlines(keepends=True)
    span = _key_span(lines, key, indent)
    return "".join(lines[slice(*span)]) if span else ""


def _with_value(text: str, key: str, value: str, indent: int) -> str:
    """The text with a key's lines put in the place of its old ones; a new key goes to the end; no lines take it out."""
    lines = text.splitlines(keepends=True)
    span = _key_span(lines, key, indent)
    if span is None:
        at = _after_id(lines) if key == "section" else _last_line(lines)
        span = (at, at)
    return "".join([*lines[:span[0]], *([value] if value else []), *lines[span[1]:]])


def _after_id(lines: Sequence[str]) -> int:
    return next((n for n, line in enumerate(lines) if re.match(r" *- ", line)), 0) + 1


def _last_line(lines: Sequence[str]) -> int:
    return next((n + 1 for n in range(len(lines) - 1, -1, -1) if lines[n].strip()), len(lines))


def _comment(drafted: str, indent: int) -> str:
    words = " ".join(drafted.split()) or "nothing"
    return f"{' ' * indent}# {NOW} {words}\n"


def _beside(text: str, field: str, drafted: str) -> str:
    """The draft's words as a comment above the edited ones; an earlier such comment goes."""
    lines = [line for line in text.splitlines(keepends=True) if not line.strip().startswith(f"# {NOW} {field}:")]
    indent = _indent_of(text) or STEP_INDENT
    span = _key_span(lines, field, indent)
    at = span[0] if span else _last_line(lines)
    return "".join([*lines[:at], _comment(drafted or f"{field}: nothing", indent), *lines[at:]])


# --- the difference -------------------------------------------------------------------------------------------------


def _said(change: Change, pieces: Sequence[Piece], theirs: Mapping[str, str]) -> Difference:
    mine = _named(pieces)
    if change.step == HEAD:
        yours, drafted = (_value(side.get(change.field, ""), change.field, 0) for side in (mine, theirs))
    else:
        field = change.field or "say"
        own = mine.get(f"steps/{change.step}", "")
        yours = _value(own, field, _indent_of(own) or STEP_INDENT)
        drafted = _value(theirs.get(f"steps/{change.step}", ""), field, STEP_INDENT)
    return Difference(change.kind, change.step, change.field, yours, drafted)


def _value(text: str, key: str, indent: int) -> str | None:
    lines = _lines_of_key(text, key, indent)
    return " ".join(lines.split(":", 1)[1].split()) or None if lines else None
