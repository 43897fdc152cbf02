"""A text as a tree: tables, lists and scalars, each with the line where it stands.

Knows shapes only; nothing of YAML (services/read_yaml.py makes the tree) and nothing of what the keys mean.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Scalar:
    """One value: as resolved (text, number, true/false, nothing) and as it was written."""

    value: str | int | float | bool | None
    written: str
    line: int


@dataclass(frozen=True)
class Items:
    """A list."""

    items: tuple["Node", ...]
    line: int


@dataclass(frozen=True)
class Entry:
    """A key of a table with its value; `line` is the key's."""

    key: str
    line: int
    value: "Node"


@dataclass(frozen=True)
class Table:
    """Keys with their values, in the order written; a key that was written twice has its first value."""

    entries: dict[str, Entry]
    line: int

    def node(self, key: str) -> "Node | None":
        """The value of a key; None when the key is not there."""
        entry = self.entries.get(key)
        return entry.value if entry else None


Node = Scalar | Items | Table


def shape_of(node: Node) -> str:
    """What a node is, in a word for a message."""
    if isinstance(node, Table):
        return "a table of keys"
    if isinstance(node, Items):
        return "a list"
    if node.value is None:
        return "nothing"
    return f"“{node.written[:40]}”"
