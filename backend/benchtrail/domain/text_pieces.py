"""A dealer's text cut into pieces that can be compared: keys of the head, entries of tables, steps.

Knows lines and the tree of the text; nothing of what the keys mean. Put together again the pieces are the text.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from benchtrail.domain.text_tree import Items, Node, Scalar, Table


@dataclass(frozen=True)
class Piece:
    """Whole lines of a text under a name, `steps/drain` or `title`. Comments and empty lines above belong to it."""

    name: str
    text: str


def pieces_of(text: str, tree: Node) -> list[Piece] | None:
    """The pieces in their order; None when the text is no table at its top, or a name would stand twice."""
    lines = text.splitlines(keepends=True)
    starts = _starts(tree)
    names = [name for name, _ in starts]
    if not starts or len(set(names)) < len(names) or [n for _, n in starts] != sorted({n for _, n in starts}):
        return None
    begins = [0, *(_with_comments(lines, line - 1) for _, line in starts[1:]), len(lines)]
    return [Piece(name, "".join(lines[begins[n]:begins[n + 1]])) for n, name in enumerate(names)]


def _starts(tree: Node) -> list[tuple[str, int]]:
    """Name and line of everything that begins a piece."""
    if not isinstance(tree, Table):
        return []
    found = []
    for entry in tree.entries.values():
        found.append((entry.key, entry.line))
        inner = [(f"{entry.key}/{name}", line) for name, line in _inner(entry.value)]
        if all(line > entry.line for _, line in inner) and _rising(inner):
            found += inner
    return found


def _inner(node: Node) -> list[tuple[str, int]]:
    if isinstance(node, Table):
        return [(entry.key, entry.line) for entry in node.entries.values()]
    if isinstance(node, Items):
        named = [(_id_of(item), item.line) for item in node.items]
        return [(name, line) for name, line in named if name] if all(name for name, _ in named) else []
    return []


def _id_of(node: Node) -> str:
    value = node.node("id") if isinstance(node, Table) else None
    return value.written.strip() if isinstance(value, Scalar) else ""


def _rising(inner: Sequence[tuple[str, int]]) -> bool:
    lines = [line for _, line in inner]
    return all(before < after for before, after in pairwise(lines))


def _with_comments(lines: Sequence[str], at: int) -> int:
    """The first of the comment and empty lines right above a line."""
    while at > 0 and (not lines[at - 1].strip() or lines[at - 1].lstrip().startswith("#")):
        at -= 1
    return at
