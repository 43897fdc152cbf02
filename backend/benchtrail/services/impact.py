"""What publishing a proposal would mean: what changes, who holds it, which jobs went by what changes.

Knows the domain's difference and the list of jobs; changes nothing.
"""

import hashlib
from dataclasses import dataclass

from benchtrail.domain.difference.change import Change
from benchtrail.services.bulletins import draft_bulletin
from benchtrail.services.held_packs import Holders, holders_of
from benchtrail.services.job_list import KeptRows, jobs_if_replaced
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject, Workfile
from benchtrail.services.touched import Touched, touched_by
from benchtrail.services.workfile_check import check_workfile, library_files_of


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


@dataclass(frozen=True)
class BeforeReview:
    """What sending a workfile's text for review would meet. `revision`: as the text says, None when it cannot be read;
    `in_force`: the revision published, None for the first; `same`: the text is the very one in force;
    `touched`: procedures that its map's change touches."""

    revision: int | None
    in_force: int | None
    same: bool
    changes: list[Change]
    touched: list[Touched]


def before_review(ports: Ports, dealer: str, workfile: Workfile, text: str) -> BeforeReview:
    """What changes against what is in force, in the text itself and in the procedures that stand on its map."""
    checked = check_workfile(ports, dealer, workfile, text)
    if checked.pack is None:
        return BeforeReview(None, None, False, [], [])
    files, used = library_files_of(ports, dealer, workfile, text)
    drafted = draft_bulletin(ports, dealer, checked.pack)
    before = drafted.before
    same = before is not None and hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest() == before.text_sha256
    own_map = workfile.kind == "map" or used["from"] == "workfile"
    return BeforeReview(int(checked.pack["revision"]), before.revision if before else None, same, drafted.changes,
                        touched_by(ports, dealer, files) if own_map else [])
