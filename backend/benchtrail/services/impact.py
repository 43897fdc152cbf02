"""What publishing a proposal would mean: what changes, who holds it, which jobs went by what changes.

Knows the domain's difference and the list of jobs; changes nothing.
"""

from dataclasses import dataclass

from benchtrail.domain.difference.change import Change
from benchtrail.services.bulletins import draft_bulletin
from benchtrail.services.held_packs import Holders, holders_of
from benchtrail.services.job_list import KeptRows, jobs_if_replaced
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject


@dataclass(frozen=True)
class Impact:
    """Of one pack that would be published. `before`: the revision in force, None for the first; `holders`: which phones
    said that they keep a revision of it; `jobs`: `{row, used, redo}` of jobs on earlier revisions."""

    kind: str
    subject: str
    title: str
    revision: int
    before: int | None
    changes: list[Change]
    draft: str
    holders: Holders
    jobs: list[JsonObject]


def impact_of(ports: Ports, kept: KeptRows, dealer: str, pack: JsonObject) -> Impact:
    """What publishing the pack would mean now."""
    kind = "model" if pack["format"] == "benchtrail.model/1" else "procedure"
    subject = str(pack[kind])
    draft = draft_bulletin(ports, dealer, pack)
    with ports.storage.reading() as unit:
        revisions = {one.sha256: one.revision for one in unit.packs.all(dealer) if (one.kind, one.subject) == (kind, subject)}
        holders = holders_of(unit, dealer, revisions)
    jobs = jobs_if_replaced(ports, kept, dealer, set(revisions), pack) if kind == "procedure" else []
    return Impact(kind, subject, str(pack.get("title") or pack.get("name")), int(pack["revision"]),
                  draft.before.revision if draft.before else None, draft.changes, draft.text, holders, jobs)
