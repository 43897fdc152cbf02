"""What came as an event, with its hash. What an event must be is the domain's to say (domain/event_problems.py)."""

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.event_hash import event_hash
from benchtrail.domain.refused import Refused


@dataclass(frozen=True)
class Sealed:
    """What came as ASCII JSON, and its hash: of its canonical form, or of that very text when it has none."""

    text: str
    sha256: str


def seal(item: Any) -> Sealed:
    """The item as ASCII JSON, so that no database can stumble over it, and its SHA-256."""
    text = json.dumps(item, ensure_ascii=True, separators=(",", ":"))
    try:
        return Sealed(text, event_hash(item))
    except (Refused, RecursionError, TypeError, ValueError):
        return Sealed(text, hashlib.sha256(text.encode()).hexdigest())
