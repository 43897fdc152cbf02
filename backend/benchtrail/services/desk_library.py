"""The library as the desk shows it: every subject with all its revisions. Knows no HTTP."""

from collections.abc import Mapping
from itertools import groupby

from benchtrail.domain.refused import Refused
from benchtrail.services.desk_records import Review, Withdrawal
from benchtrail.services.manifests import current_packs, not_withdrawn
from benchtrail.services.ports import Ports
from benchtrail.services.proposals import reviews_by_pack
from benchtrail.services.records import JsonObject, PublishedPack

Withdrawn = Mapping[tuple[str, int], Withdrawal]


def library_of(ports: Ports, dealer: str) -> list[JsonObject]:
    """Procedures first, then maps; of each subject its revisions, newest first."""
    with ports.storage.reading() as unit:
        packs, reviews = unit.packs.all(dealer), reviews_by_pack(unit, dealer)
        withdrawn = {(one.subject, one.revision): one for one in unit.withdrawals.all(dealer)}
    groups = [list(group) for _, group in groupby(packs, key=lambda pack: (pack.kind, pack.subject))]
    return sorted((_subject(group, reviews, withdrawn) for group in groups), key=lambda one: (one["kind"] != "procedure", one["title"]))


def current_procedure(ports: Ports, dealer: str, procedure: str) -> PublishedPack:
    """The procedure's revision in force. Raises Refused("no_such_procedure")."""
    with ports.storage.reading() as unit:
        newest = current_packs(unit.packs.all(dealer))
        found = [pack for pack in not_withdrawn(unit, dealer, newest) if (pack.kind, pack.subject) == ("procedure", procedure)]
    if not found:
        raise Refused("no_such_procedure", procedure=procedure)
    return found[0]


def newest_revision(ports: Ports, dealer: str, procedure: str) -> PublishedPack:
    """The procedure's newest revision, withdrawn or not. Raises Refused("no_such_procedure")."""
    with ports.storage.reading() as unit:
        found = next((pack for pack in unit.packs.all(dealer) if (pack.kind, pack.subject) == ("procedure", procedure)), None)
    if found is None:
        raise Refused("no_such_procedure", procedure=procedure)
    return found


def _subject(packs: list[PublishedPack], reviews: Mapping[str, Review], withdrawn: Withdrawn) -> JsonObject:
    newest = packs[0]
    return {
        "id": newest.subject, "kind": newest.kind, "title": newest.title, "model": newest.entry["model"],
        "safety": newest.entry["safety"],
        "revisions": [_revision(pack, pack is newest, reviews.get(pack.sha256), _withdrawal(withdrawn, pack)) for pack in packs],
    }


def _withdrawal(withdrawn: Withdrawn, pack: PublishedPack) -> Withdrawal | None:
    return withdrawn.get((pack.subject, pack.revision)) if pack.kind == "procedure" else None


def _revision(pack: PublishedPack, is_newest: bool, review: Review | None, out: Withdrawal | None) -> JsonObject:
    return {
        "revision": pack.revision, "sha256": pack.sha256, "issued": pack.issued, "published_at": pack.published_at,
        "published_by": pack.published_by, "change_note": pack.change_note, "current": is_newest and out is None,
        "reviewed_by": review and review.by, "own_review": review.words if review and review.own else None,
        "withdrawn": out and {"by": out.by, "at": out.at, "reason": out.reason},
    }
