"""Publishing compiled packs: canonical bytes named by hash, signed; a manifest that counts up. Every revision is kept.

Knows packs, not the dealer's text: what was compiled has passed its checks (publish_library.py sees to that).
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import rfc8785

from benchtrail.domain.refused import Refused
from benchtrail.services.manifests import issue_manifest
from benchtrail.services.ports import Ports, Signer, Unit
from benchtrail.services.records import Dealer, JsonObject, Picture, PublishedPack

KINDS: dict[str, tuple[Literal["procedure", "model"], str]] = {
    "benchtrail.procedure/1": ("procedure", "procedure"), "benchtrail.model/1": ("model", "model")}


@dataclass(frozen=True)
class Published:
    """What became of one pack; `new` is False when exactly this was published before."""

    id: str
    kind: str
    revision: int
    sha256: str
    new: bool


@dataclass(frozen=True)
class _Sealed:
    content: bytes
    pack: PublishedPack
    pictures: list[Picture]


def publish_packs(
    ports: Ports, dealer: str, packs: list[JsonObject], pictures: Mapping[str, bytes], by: str, change_note: str = ""
) -> list[Published]:
    """Publishes all of the packs or none; `pictures` by SHA-256. The same content again changes nothing.

    Raises Refused: no_such_dealer, signing_key_missing, signing_key_changed, pack_of_other_dealer, picture_missing,
    revision_unchanged, revision_not_newer.
    """
    owner, signer = _owner(ports, dealer)
    sealed = [_seal(ports, signer, owner, pack, pictures, by, change_note) for pack in packs]
    with ports.storage.reading() as unit:
        new = [one for one in sealed if _is_new(unit, one.pack)]
    # Files first: a manifest must never name what is not there. A file without a record does no harm.
    for one in new:
        _put_files(ports, one, pictures)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        new = [one for one in new if _is_new(unit, one.pack)]
        for one in new:
            unit.packs.add(one.pack)
            for picture in one.pictures:
                unit.packs.add_picture(picture)
        if new:
            issue_manifest(unit, ports, owner, signer)
    fresh = {one.pack.sha256 for one in new}
    return [Published(one.pack.subject, one.pack.kind, one.pack.revision, one.pack.sha256, one.pack.sha256 in fresh)
            for one in sealed]


def _owner(ports: Ports, slug: str) -> tuple[Dealer, Signer]:
    with ports.storage.reading() as unit:
        owner = unit.dealers.get(slug)
    if owner is None:
        raise Refused("no_such_dealer", slug=slug)
    signer = ports.signers.get(slug)
    if signer.kid != owner.kid:
        raise Refused("signing_key_changed", dealer=slug, kid=signer.kid, known=owner.kid)
    return owner, signer


def _seal(ports: Ports, signer: Signer, owner: Dealer, pack: JsonObject, pictures: Mapping[str, bytes], by: str,
          change_note: str) -> _Sealed:
    kind, key = KINDS[pack["format"]]
    if pack["dealer"] != owner.slug:
        raise Refused("pack_of_other_dealer", id=pack[key], dealer=owner.slug, other=pack["dealer"])
    shown = _pictures(owner, pack, pictures)
    content = rfc8785.dumps(pack)
    sha256 = hashlib.sha256(content).hexdigest()
    entry = _entry(kind, pack, sha256, len(content), shown) | {"signature": signer.sign(content)}
    record = PublishedPack(
        dealer=owner.slug, sha256=sha256, kind=kind, subject=pack[key], revision=pack["revision"], title=entry["title"],
        issued=pack["issued"], change_note=change_note or pack.get("change_note") or "", published_at=ports.clock.now(),
        published_by=by, entry=entry,
    )
    return _Sealed(content, record, shown)


def _pictures(owner: Dealer, pack: JsonObject, pictures: Mapping[str, bytes]) -> list[Picture]:
    shown = []
    for key, picture in sorted(pack.get("pictures", {}).items()):
        content = pictures.get(picture["sha256"])
        if content is None or hashlib.sha256(content).hexdigest() != picture["sha256"]:
            raise Refused("picture_missing", picture=key)
        shown.append(Picture(owner.slug, picture["sha256"], picture["mime"], len(content)))
    return list({one.sha256: one for one in shown}.values())


def _entry(kind: str, pack: JsonObject, sha256: str, size: int, shown: list[Picture]) -> JsonObject:
    model = pack["model"] if kind == "model" else (pack["model"] or {}).get("id")
    return {
        "sha256": sha256, "bytes": size, "kind": kind, "id": pack[kind], "title": pack.get("title") or pack.get("name"),
        "summary": pack.get("summary", ""), "revision": pack["revision"], "issued": pack["issued"], "model": model,
        "applies": pack.get("applies"), "safety": pack.get("safety", []),
        "pictures": [{"sha256": one.sha256, "bytes": one.bytes, "mime": one.mime} for one in shown],
    }


def _is_new(unit: Unit, pack: PublishedPack) -> bool:
    """False if it is the revision in force, byte for byte. Raises Refused: revision_unchanged, revision_not_newer."""
    earlier = [one for one in unit.packs.all(pack.dealer) if (one.kind, one.subject) == (pack.kind, pack.subject)]
    if not earlier:
        return True
    latest = max(earlier, key=lambda one: one.revision)
    if latest.sha256 == pack.sha256:
        return False
    if pack.revision == latest.revision:
        raise Refused("revision_unchanged", id=pack.subject, revision=pack.revision, next=pack.revision + 1)
    if pack.revision < latest.revision:
        raise Refused("revision_not_newer", id=pack.subject, revision=pack.revision, latest=latest.revision)
    return True


def _put_files(ports: Ports, one: _Sealed, pictures: Mapping[str, bytes]) -> None:
    for picture in one.pictures:
        if ports.files.size(picture.dealer, "pictures", picture.sha256) != picture.bytes:
            ports.files.put(picture.dealer, "pictures", picture.sha256, pictures[picture.sha256])
    ports.files.put(one.pack.dealer, "packs", one.pack.sha256, one.content)
