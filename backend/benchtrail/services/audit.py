"""The audit log: who did what, each line chained by hash to the one before. Knows the chain; not what the acts mean.

What the chain shows: a line changed, taken out, or put in between. What it cannot show by itself: that the newest lines
were cut off by someone who may write to the database's files; `doctor` therefore names the last hash, to be kept apart.
"""

import hashlib

import rfc8785

from benchtrail.clock import as_text
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import AuditEntry, JsonObject

PAGE = 100


def record_act(unit: Unit, ports: Ports, dealer: str, by: str, act: str, subject: str = "", **values: object) -> None:
    """Adds a line, in the same unit of work as the act itself, under the dealer's lock."""
    unit.dealers.lock(dealer)
    last = unit.audit.last(dealer)
    line = AuditEntry(
        dealer=dealer, number=last.number + 1 if last else 1, at=ports.clock.now(), by=by[:120], act=act,
        subject=subject[:200], values=values, prev=last.sha256 if last else None, sha256="",
    )
    unit.audit.add(AuditEntry(**vars(line) | {"sha256": line_hash(line)}))


def line_hash(line: AuditEntry) -> str:
    """SHA-256 over the canonical JSON (RFC 8785) of all the line's other fields."""
    said: JsonObject = {**vars(line), "at": as_text(line.at)}
    del said["sha256"]
    return hashlib.sha256(rfc8785.dumps(said)).hexdigest()


def first_break(lines: list[AuditEntry]) -> int | None:
    """The number of the first line that does not follow from the one before; None when the chain is whole."""
    prev: str | None = None
    for number, line in enumerate(lines, 1):
        if line.number != number or line.prev != prev or line.sha256 != line_hash(line):
            return number
        prev = line.sha256
    return None


def audit_page(ports: Ports, dealer: str, before: int | None = None) -> tuple[list[AuditEntry], bool]:
    """Up to 100 lines, newest first, and whether older ones follow."""
    with ports.storage.reading() as unit:
        lines = unit.audit.before(dealer, before, PAGE + 1)
    return lines[:PAGE], len(lines) > PAGE


def audit_all(ports: Ports, dealer: str) -> list[AuditEntry]:
    """Every line, oldest first."""
    with ports.storage.reading() as unit:
        return unit.audit.all(dealer)
