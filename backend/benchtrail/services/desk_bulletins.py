"""Bulletins as the desk shows them: each with the jobs that went by what it replaced, and who has answered.

Knows the list of jobs and the bulletins; no words beyond those kept, no HTTP.
"""

from collections.abc import Iterable

from benchtrail.domain.difference.on_job import OnJob
from benchtrail.services.job_list import KeptRows, jobs_on_replaced_packs
from benchtrail.services.ports import Ports
from benchtrail.services.records import Bulletin, JsonObject


def bulletins_of(ports: Ports, kept: KeptRows, dealer: str) -> list[JsonObject]:
    """One for each revision that replaced another, newest first; the jobs stand with the revision in force."""
    with ports.storage.reading() as unit:
        every = unit.bulletins.all(dealer)
    touched = jobs_on_replaced_packs(ports, kept, dealer)
    newest: dict[str, Bulletin] = {}
    for one in every:  # of one revision the bulletin from the newest earlier one comes first
        newest.setdefault(one.to_sha256, one)
    return [_bulletin(one, [pair for pair in touched if pair[0]["to"] == one.to_sha256]) for one in newest.values()]


def _bulletin(one: Bulletin, jobs: Iterable[tuple[JsonObject, OnJob]]) -> JsonObject:
    counts = {severity: sum(change["severity"] == severity for change in one.changes)
              for severity in ("safety", "work", "words")}
    return {
        "kind": one.kind, "id": one.subject, "title": one.title, "revision": one.to_revision,
        "replaces": one.from_revision, "issued_at": one.issued_at, "issued_by": one.issued_by, "text": one.text,
        "changes": one.changes, **counts, "jobs": [_job(row, mine) for row, mine in jobs],
    }


def _job(row: JsonObject, mine: OnJob) -> JsonObject:
    facts = ("job", "title", "machine", "device", "closed", "revision", "last_at")
    return {fact: row[fact] for fact in facts} | {
        "used": len(mine["used"]), "to_see": len(mine["steps"]), "left": mine["left"], "seen": mine["seen"]}
