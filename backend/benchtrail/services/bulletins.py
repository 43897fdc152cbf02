"""Bulletins: that a revision replaces an earlier one, what changed, and which jobs went by what was replaced.

Knows packs, bulletins and jobs; the changes are the domain's, the sentences the messages'.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from benchtrail.clock import as_text
from benchtrail.domain.difference.change import Change
from benchtrail.domain.difference.difference import difference
from benchtrail.domain.difference.words import bulletin_text
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Bulletin, JsonObject, PublishedPack

MOST_REVISIONS = 20
LONGEST_TEXT = 4000


@dataclass(frozen=True)
class Draft:
    """What would be told if a pack replaced the revision in force: `before` is None for the first of its subject."""

    before: PublishedPack | None
    changes: list[Change]
    text: str


def draft_bulletin(ports: Ports, dealer: str, pack: JsonObject) -> Draft:
    """The changes from the revision in force to a pack that is not published yet, and a text drafted from them."""
    kind = "model" if pack["format"] == "benchtrail.model/1" else "procedure"
    with ports.storage.reading() as unit:
        before = next((one for one in unit.packs.all(dealer) if (one.kind, one.subject) == (kind, pack[kind])), None)
    old = _pack(ports, before) if before else None
    changes = difference(old, pack) if old else []
    title = str(pack.get("title") or pack.get("name"))
    text = bulletin_text(ports.change_texts, changes, title, before.revision, pack["revision"]) if before else ""
    return Draft(before, changes, text)


def issue_bulletins(ports: Ports, unit: Unit, dealer: str, words: Mapping[str, str]) -> None:
    """Keeps a bulletin from each of the newest earlier revisions to the one in force, where there is none yet.

    Within a writing unit, before its manifest. `words`: the dealer's own text by `"<kind> <id>"`; else one is drafted
    from the changes. A revision whose file is gone has none.
    """
    for _, group in groupby(unit.packs.all(dealer), key=lambda pack: (pack.kind, pack.subject)):
        to, *earlier = group
        new = _pack(ports, to) if earlier and not unit.bulletins.to_pack(dealer, to.sha256) else None
        for old in earlier[:MOST_REVISIONS] if new else []:
            old_pack = _pack(ports, old)
            if new and old_pack:
                text = words.get(f"{to.kind} {to.subject}", "").strip()
                unit.bulletins.add(_bulletin(ports, old, old_pack, to, new, text))


def _bulletin(
    ports: Ports, old: PublishedPack, old_pack: JsonObject, to: PublishedPack, new_pack: JsonObject, words: str
) -> Bulletin:
    changes = difference(old_pack, new_pack)
    text = words or bulletin_text(ports.change_texts, changes, to.title, old.revision, to.revision)
    return Bulletin(
        dealer=to.dealer, kind=to.kind, subject=to.subject, title=to.title, from_sha256=old.sha256,
        from_revision=old.revision, to_sha256=to.sha256, to_revision=to.revision, issued_at=to.published_at,
        issued_by=to.published_by, text=text, changes=[dict(change) for change in changes],
    )


def in_manifest(bulletin: Bulletin) -> JsonObject:
    """The bulletin as the signed manifest carries it (shared/README.md §10)."""
    return {
        "kind": bulletin.kind, "id": bulletin.subject, "title": bulletin.title,
        "from": {"sha256": bulletin.from_sha256, "revision": bulletin.from_revision},
        "to": {"sha256": bulletin.to_sha256, "revision": bulletin.to_revision},
        "issued_at": as_text(bulletin.issued_at), "text": bulletin.text, "changes": bulletin.changes,
    }


def _pack(ports: Ports, published: PublishedPack) -> JsonObject | None:
    content = ports.files.get(published.dealer, "packs", published.sha256)
    made: Any = json.loads(content) if content else None
    return made if isinstance(made, dict) else None
