"""Between rows and records: the same field names on both sides. Knows nothing of any one table."""

from dataclasses import fields
from typing import Any, TypeVar

Record = TypeVar("Record")


def _names(kind: Any) -> list[str]:
    return [field.name for field in fields(kind)]


def record_of(kind: type[Record], row: Any) -> Record:
    """The record of a row."""
    return kind(**{name: getattr(row, name) for name in _names(kind)})


def columns_of(record: Any) -> dict[str, Any]:
    """The record's fields as columns; the values themselves, not copies."""
    return {name: getattr(record, name) for name in _names(type(record))}
