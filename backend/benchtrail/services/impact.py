"""What publishing a proposal would mean: what changes, who holds it, which jobs went by what changes.

Knows the domain's difference and the list of jobs; changes nothing.
"""

from dataclasses import dataclass

from benchtrail.domain.difference.change import Change
from benchtrail.services.bulletins import draft_bulletin
from benchtrail.services.job_list import KeptRows, jobs_if_replaced
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject


@dataclass(frozen=True)
class Impact:
    """Of one pack that would be published. `before`: the revision in force, None for the first; `phones`: how many phones
    said they keep a revision of it; `jobs`: `{row, used, redo}` of jobs on earlier revisions."""

    kind: str
    subject: str
    title: str
    revision: int
    before: int | None
    changes: list[Change]
    draft: str
    phones: int
    jobs: list[JsonObject]


def impact_of(ports: Ports, kept: KeptRows, dealer: str, pack: JsonObject) -> Impact:
    """What publishing the pack would mean now."""
    kind = "model" if pack["format"] == "benchtrail.model/1" else "procedure"
    subject = str(pack[kind])
    draft = draft_bulletin(ports, dealer, pack)
    with ports.storage.reading() as unit:
        revisions = {one.sha256 for one in unit.packs.all(dealer) if (one.kind, one.subject) == (kind, subject)}
        shut_out = {one.device for one in unit.devices.all(dealer) if one.revoked_at}
        phones = sum(bool(revisions & set(one.packs)) for one in unit.held_packs.all(dealer) if one.device not in shut_out)
    jobs = jobs_if_replaced(ports, kept, dealer, revisions, pack) if kind == "procedure" else []
    return Impact(kind, subject, str(pack.get("title") or pack.get("name")), int(pack["revision"]),
                  draft.before.revision if draft.before else None, draft.changes, draft.text, phones, jobs)
