"""The envelope of an event (shared/README.md §8): its hash, and what can be wrong with it.

Knows form only. What a body must hold is the domain's to say; whether an event is new is receive_events' to say.
"""

import hashlib
import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import rfc8785

from benchtrail.services.devices import is_uuid

FIELDS = ("id", "device", "seq", "job", "kind", "body", "hlc", "wall", "pack", "prev", "schema")
HIGHEST_NUMBER = 2**53 - 1
KIND = re.compile(r"[A-Za-z][A-Za-z0-9_.-]{0,63}")
HLC = re.compile(r"\d{15}-[0-9a-f]{4}-[0-9a-f]{8}")
SHA256 = re.compile(r"[0-9a-f]{64}")
DEEPEST = 32


@dataclass(frozen=True)
class Sealed:
    """What came, and its hash: of its canonical form, or of the ASCII text when it has none (`canonical` False)."""

    text: str
    sha256: str
    canonical: bool


def seal(item: Any) -> Sealed:
    """The item as ASCII JSON (no database can stumble over it) and its SHA-256 over the canonical form (RFC 8785)."""
    text = json.dumps(item, ensure_ascii=True, separators=(",", ":"))
    try:
        return Sealed(text, hashlib.sha256(rfc8785.dumps(item)).hexdigest(), True)
    except (rfc8785.CanonicalizationError, UnicodeEncodeError, RecursionError):
        return Sealed(text, hashlib.sha256(text.encode()).hexdigest(), False)


def envelope_problems(item: Any) -> list[str]:
    """Names of the envelope's fields that are missing, unknown or malformed; empty when it is sound."""
    if not isinstance(item, dict):
        return ["event"]
    unknown = sorted(str(name)[:40] for name in item if name not in FIELDS)
    return [name for name in FIELDS if not _SOUND[name](item.get(name))] + unknown


def depth(item: Any, most: int = DEEPEST) -> int:
    """How deep lists and objects are nested; counting stops at `most` + 1."""
    level, rank = 0, [item]
    while rank and level <= most:
        rank = [inner for value in rank for inner in _inside(value)]
        level += 1
    return level


def _inside(value: Any) -> Iterable[Any]:
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()


def _is_moment(value: Any) -> bool:
    if not isinstance(value, str) or len(value) > 40:
        return False
    try:
        return datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        return False


def _is_number(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= HIGHEST_NUMBER


def _matches(pattern: re.Pattern[str], value: Any) -> bool:
    return isinstance(value, str) and pattern.fullmatch(value) is not None


_SOUND: dict[str, Callable[[Any], bool]] = {
    "id": is_uuid,
    "device": is_uuid,
    "seq": _is_number,
    "job": is_uuid,
    "kind": lambda value: _matches(KIND, value),
    "body": lambda value: isinstance(value, dict) and depth(value) <= DEEPEST,
    "hlc": lambda value: _matches(HLC, value),
    "wall": _is_moment,
    "pack": lambda value: _matches(SHA256, value),
    "prev": lambda value: value is None or _matches(SHA256, value),
    "schema": _is_number,
}
