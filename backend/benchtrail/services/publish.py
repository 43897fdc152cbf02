"""Publishing compiled packs: canonical bytes named by hash, signed; a manifest that counts up. Every revision is kept.

Knows packs, not the dealer's text: what was compiled has passed its checks (publish_library.py sees to that).
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import rfc8785

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.bulletins import issue_bulletins
from benchtrail.services.manifests import issue_manifest
from benchtrail.services.ports import Ports, Signer, Unit
from benchtrail.services.records import Dealer, JsonObject, Picture, PublishedPack

KINDS: dict[str, tuple[Literal["procedure", "model"], str]] = {
    "benchtrail.procedure/1": ("procedure", "procedure"), "benchtrail.model/1": ("model", "model")}


@dataclass(frozen=True)
class Order:
    """What is to be published: packs, the bytes of their pictures by SHA-256, and the dealer's text of each pack by
    `"<kind> <id>"`; who publishes, and what changed; the dealer's own words of a bulletin by `"<kind> <id>"`."""

    packs: list[JsonObject]
    by: str
    change_note: str = ""
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    texts: Mapping[str, bytes] = field(default_factory=dict)
    bulletins: Mapping[str, str] = field(default_factory=dict)


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
    text: bytes | None
    pack: PublishedPack
    pictures: list[Picture]


def publish_packs(ports: Ports, dealer: str, order: Order) -> list[Published]:
    """Publishes all of the packs or none. The same content again changes nothing.

    Raises Refused: no_such_dealer, signing_key_missing, signing_key_changed, pack_of_other_dealer, picture_missing,
    revision_unchanged, revision_not_newer.
    """
    owner, signer = _owner(ports, dealer)
    sealed = [_seal(ports, signer, owner, order, pack) for pack in order.packs]
    with ports.storage.reading() as unit:
        new = _changed(unit, sealed)
    # Files first: a manifest must never name what is not there. A file without a record does no harm.
    for one in new:
        _put_files(ports, one, order.pictures)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        new = _changed(unit, new)
        for one in new:
            unit.packs.add(one.pack)
            for picture in one.pictures:
                unit.packs.add_picture(picture)
        if new:
            issue_bulletins(ports, unit, dealer, order.bulletins)
            issue_manifest(unit, ports, owner, signer)
        for one in new:
            record_act(unit, ports, dealer, order.by, "published", one.pack.subject, kind=one.pack.kind,
                       revision=one.pack.revision, sha256=one.pack.sha256)
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


def _seal(ports: Ports, signer: Signer, owner: Dealer, order: Order, pack: JsonObject) -> _Sealed:
    kind, key = KINDS[pack["format"]]
    if pack["dealer"] != owner.slug:
        raise Refused("pack_of_other_dealer", id=pack[key], dealer=owner.slug, other=pack["dealer"])
    shown = _pictures(owner, pack, order.pictures)
    content, text = rfc8785.dumps(pack), order.texts.get(f"{kind} {pack[key]}")
    sha256 = _sha256(content)
    entry = _entry(kind, pack, sha256, len(content), shown) | {"signature": signer.sign(content)}
    record = PublishedPack(
        dealer=owner.slug, sha256=sha256, kind=kind, subject=pack[key], revision=pack["revision"], title=entry["title"],
        issued=pack["issued"], change_note=order.change_note or pack.get("change_note") or "",
        published_at=ports.clock.now(), published_by=order.by, entry=entry, text_sha256=_sha256(text) if text else None,
    )
    return _Sealed(content, text, record, shown)


def _pictures(owner: Dealer, pack: JsonObject, pictures: Mapping[str, bytes]) -> list[Picture]:
    shown = []
    for key, picture in sorted(pack.get("pictures", {}).items()):
        content = pictures.get(picture["sha256"])
        if content is None or _sha256(content) != picture["sha256"]:
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


def must_be_newer(ports: Ports, dealer: str, packs: Sequence[JsonObject]) -> None:
    """Raises Refused, naming all: revision_unchanged, revision_not_newer, for packs that publishing would refuse."""
    with ports.storage.reading() as unit:
        latest: dict[str, PublishedPack] = {}
        for pack in unit.packs.all(dealer):
            latest.setdefault(f"{pack.kind} {pack.subject}", pack)
    stale: dict[str, list[str]] = {"revision_unchanged": [], "revision_not_newer": []}
    for made in packs:
        kind, key = KINDS[made["format"]]
        before = latest.get(f"{kind} {made[key]}")
        if before and made["revision"] <= before.revision and _sha256(rfc8785.dumps(made)) != before.sha256:
            code = "revision_unchanged" if made["revision"] == before.revision else "revision_not_newer"
            stale[code].append(_named(made[key], made["revision"]))
    for code, names in stale.items():
        if names:
            raise Refused(code, packs=", ".join(names))


def _changed(unit: Unit, sealed: list[_Sealed]) -> list[_Sealed]:
    """Those that are not in force byte for byte. Raises Refused, naming all: revision_unchanged, revision_not_newer."""
    latest: dict[str, PublishedPack] = {}
    for one in sealed:
        for pack in unit.packs.all(one.pack.dealer):
            latest.setdefault(f"{pack.kind} {pack.subject}", pack)  # the newest revision comes first
    pairs = [(one, latest.get(f"{one.pack.kind} {one.pack.subject}")) for one in sealed]
    changed = [(one, before) for one, before in pairs if before is None or before.sha256 != one.pack.sha256]
    _must_be_newer("revision_unchanged", [one for one, before in changed if before and _step(one, before) == 0])
    _must_be_newer("revision_not_newer", [one for one, before in changed if before and _step(one, before) < 0])
    return [one for one, _ in changed]


def _step(one: _Sealed, before: PublishedPack) -> int:
    return one.pack.revision - before.revision


def _must_be_newer(code: str, stale: list[_Sealed]) -> None:
    if stale:
        raise Refused(code, packs=", ".join(_named(one.pack.subject, one.pack.revision) for one in stale))


def _named(subject: str, revision: int) -> str:
    return f"{subject} (revision {revision})"


def _put_files(ports: Ports, one: _Sealed, pictures: Mapping[str, bytes]) -> None:
    for picture in one.pictures:
        if ports.files.size(picture.dealer, "pictures", picture.sha256) != picture.bytes:
            ports.files.put(picture.dealer, "pictures", picture.sha256, pictures[picture.sha256])
    if one.text and one.pack.text_sha256:
        ports.files.put(one.pack.dealer, "texts", one.pack.text_sha256, one.text)
    ports.files.put(one.pack.dealer, "packs", one.pack.sha256, one.content)


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
