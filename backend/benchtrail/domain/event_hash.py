"""Hashes over events: of one envelope, and the digest by which two sides see that they hold the same events.

Knows canonical form and SHA-256 (shared/README.md §8 and §9); must not know what events mean.
"""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any

from benchtrail.domain.canonical_json import canonical_json, utf16_order


def event_hash(event: Mapping[str, Any]) -> str:
    """SHA-256 of the canonical JSON of the whole envelope, lower-case hex; `prev` of the device's next event.

    Raises Refused("no_canonical_form").
    """
    return hashlib.sha256(canonical_json(dict(event)).encode()).hexdigest()


def job_digest(ids: Iterable[str]) -> dict[str, Any]:
    """Count and SHA-256 of the event ids, each once, sorted as ASCII, joined by line feeds."""
    once = sorted(set(ids), key=utf16_order)
    return {"count": len(once), "sha256": hashlib.sha256("\n".join(once).encode()).hexdigest()}
