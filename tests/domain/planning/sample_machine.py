"""A small machine for tests of the planner, read as a dealer's text is read."""

from __future__ import annotations

from typing import Any

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.guards import Variant
from benchtrail.services.compile_library import LibraryFile, compile_library

HEAD = """
model: sample
name: Sample
invented: true
years: 2020-2024
revision: 1
issued: 2026-01-01
"""
_JOINT = "positions: [{at: [0, 0]}], hand: tight, minutes: {undo: 1, make: 1}"


def joint(key: str, joins: str, extra: str = "", kind: str = "threaded") -> str:
    """One line of a map's joints; two minutes of work."""
    return f"  {key}: {{name: {key.replace('_', ' ')}, joins: [{joins}], kind: {kind}, {_JOINT}{', ' + extra if extra else ''}}}\n"


def machine(text: str, year: int = 2022, options: list[str] | None = None) -> dict[str, Any]:
    """The map of a text (without its head) for a variant. Every mistake in the text fails the test."""
    return for_variant(pack(text), Variant(year=year, options=options or []))


def pack(text: str) -> Any:
    """The compiled map of a text without its head."""
    library = compile_library([LibraryFile("sample/map.yaml", (HEAD + text).encode())], lambda path: None)
    assert library.findings == [], library.findings
    return library.maps[0].pack
