"""The library as the desk shows it: every subject with all its revisions. Knows no HTTP."""

from itertools import groupby

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject, PublishedPack


def library_of(ports: Ports, dealer: str) -> list[JsonObject]:
    """Procedures first, then maps; of each subject its revisions, newest first."""
    with ports.storage.reading() as unit:
        packs = unit.packs.all(dealer)
    groups = [list(group) for _, group in groupby(packs, key=lambda pack: (pack.kind, pack.subject))]
    return sorted((_subject(group) for group in groups), key=lambda one: (one["kind"] != "procedure", one["title"]))


def current_procedure(ports: Ports, dealer: str, procedure: str) -> PublishedPack:
    """The procedure's revision in force. Raises Refused("no_such_procedure")."""
    with ports.storage.reading() as unit:
        found = [pack for pack in unit.packs.all(dealer) if (pack.kind, pack.subject) == ("procedure", procedure)]
    if not found:
        raise Refused("no_such_procedure", procedure=procedure)
    return found[0]


def _subject(packs: list[PublishedPack]) -> JsonObject:
    current = packs[0]
    return {
        "id": current.subject, "kind": current.kind, "title": current.title, "model": current.entry["model"],
        "safety": current.entry["safety"], "revisions": [_revision(pack, pack is current) for pack in packs],
    }


def _revision(pack: PublishedPack, is_current: bool) -> JsonObject:
    return {
        "revision": pack.revision, "sha256": pack.sha256, "issued": pack.issued, "published_at": pack.published_at,
        "published_by": pack.published_by, "change_note": pack.change_note, "current": is_current,
    }
