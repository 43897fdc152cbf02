"""Reads conditions as a dealer writes them: `out pump_cover`, `set fuel_valve off`, and OR of ANDs of these.

Knows their form (shared/README.md §3); whether the object exists is checked later.
"""

import re

from benchtrail.domain.source_notes import Misread, meant
from benchtrail.domain.text_tree import Items, Node, Scalar

STATE_WORDS = ("out", "aside", "undone", "drained", "pose", "set", "renewed", "done")
GOAL_WORDS = (*STATE_WORDS, "reach", "measure", "changed")
ISOLATION_WORDS = (*STATE_WORDS, "aid")
_ID = re.compile("[a-z][a-z0-9_]{0,79}")


def read_literal(node: Node, words: tuple[str, ...] = STATE_WORDS) -> list[str]:
    """The compiled literal. Raises Misread: literal_unreadable, literal_word_unknown."""
    if not isinstance(node, Scalar) or not isinstance(node.value, str):
        raise Misread("literal_unreadable", node.line, written=_shown(node))
    parts = node.written.split()
    if not parts or parts[0] not in words:
        raise Misread("literal_word_unknown", node.line, written=node.written, meant=meant((parts or [""])[0], words))
    length = 3 if parts[0] == "set" else 2
    if len(parts) != length or not _ID.fullmatch(parts[1]):
        raise Misread("literal_unreadable", node.line, written=node.written)
    return parts


def read_alternatives(node: Node, words: tuple[str, ...] = STATE_WORDS) -> list[list[list[str]]]:
    """OR of ANDs: `[[out seat, out tank], [aside tank]]`; also one AND alone, `[out seat]`, or one literal."""
    if isinstance(node, Scalar):
        return [[read_literal(node, words)]]
    if not isinstance(node, Items):
        raise Misread("literal_unreadable", node.line, written=_shown(node))
    nested = [isinstance(item, Items) for item in node.items]
    if not any(nested):
        return [[read_literal(item, words) for item in node.items]] if node.items else []
    if not all(nested):
        raise Misread("alternatives_mixed", node.line)
    return [[read_literal(literal, words) for literal in item.items] for item in node.items if isinstance(item, Items)]


def _shown(node: Node) -> str:
    return node.written if isinstance(node, Scalar) else "a list" if isinstance(node, Items) else "a table"
