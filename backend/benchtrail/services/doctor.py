"""Looks over everything that is kept: is it what it says it is, and all there. Changes nothing unless asked to mend.

Knows what should be so; how to say it stands in the messages.
"""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import first_break
from benchtrail.services.envelopes import seal
from benchtrail.services.erasure import apply_retention
from benchtrail.services.photos import held_photos, look_into_photo
from benchtrail.services.ports import Ports, Room, Unit
from benchtrail.services.records import Dealer, JsonObject, Photo


@dataclass(frozen=True)
class Ailment:
    """Something that is not as it should be. `grave`: what was promised may be missing or changed."""

    code: str
    grave: bool
    values: JsonObject = field(default_factory=dict)


def examine(ports: Ports, mend: bool = False) -> list[Ailment]:
    """All ailments, grave ones first. `mend` takes up photos that nobody looked into, clears broken-off
    writes, and erases what a dealer keeps no longer."""
    found = [Ailment("database_damaged", True, {"reason": line}) for line in ports.storage.faults()]
    with ports.storage.reading() as unit:
        for dealer in unit.dealers.all():
            for examine_one in (_audit, _key, _manifest, _packs, _texts, _pictures, _events, _numbers, _photos, _strays):
                found += examine_one(ports, unit, dealer)
    if mend:
        _mend(ports)
    return sorted(found, key=lambda one: not one.grave)


def _audit(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    broken = first_break(unit.audit.all(dealer.slug))
    if broken:
        yield Ailment("audit_log_changed", True, {"dealer": dealer.slug, "number": broken})


def _key(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    try:
        signer = ports.signers.get(dealer.slug)
    except Refused as refusal:
        yield Ailment(refusal.code, False, refusal.values)
        return
    if signer.kid != dealer.kid:
        values = {"dealer": dealer.slug, "kid": signer.kid, "known": dealer.kid}
        yield Ailment("signing_key_changed", True, values)


def _manifest(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    signed = unit.packs.manifest(dealer.slug)
    if signed is None or not ports.signers.verifies(dealer.jwk, signed.payload.encode(), signed.signature):
        yield Ailment("manifest_damaged", True, {"dealer": dealer.slug})
        return
    for entry in json.loads(signed.payload)["packs"]:
        if unit.packs.get(dealer.slug, entry["sha256"]) is None:
            yield Ailment("manifest_names_nothing", True, {"dealer": dealer.slug, "id": entry["id"]})


def _packs(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    for pack in unit.packs.all(dealer.slug):
        content = ports.files.get(dealer.slug, "packs", pack.sha256)
        if content is None or not _named(content, pack.sha256):
            values = {"dealer": dealer.slug, "id": pack.subject, "revision": pack.revision, "sha256": pack.sha256}
            yield Ailment("pack_file_damaged", True, values)
        elif not ports.signers.verifies(dealer.jwk, content, pack.entry["signature"]):
            yield Ailment("pack_signature_wrong", True, {"id": pack.subject, "revision": pack.revision})


def _texts(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    for pack in unit.packs.all(dealer.slug):
        text = ports.files.get(dealer.slug, "texts", pack.text_sha256) if pack.text_sha256 else b""
        if text is None or (pack.text_sha256 and not _named(text, pack.text_sha256)):
            values = {"dealer": dealer.slug, "id": pack.subject, "sha256": pack.text_sha256}
            yield Ailment("text_file_damaged", True, values)


def _pictures(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    for picture in unit.packs.pictures(dealer.slug):
        content = ports.files.get(dealer.slug, "pictures", picture.sha256)
        if content is None or not _named(content, picture.sha256):
            yield Ailment("picture_file_damaged", True, {"dealer": dealer.slug, "sha256": picture.sha256})


def _events(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    for event in unit.events.all(dealer.slug):
        if event.erased_at is None and seal(json.loads(event.text)).sha256 != event.sha256:
            yield Ailment("event_damaged", True, {"dealer": dealer.slug, "id": event.id, "job": event.job})
    for item in unit.events.quarantined(dealer.slug):
        if item.erased_at is None and seal(json.loads(item.text)).sha256 != item.sha256:
            yield Ailment("event_damaged", True, {"dealer": dealer.slug, "id": item.claimed_id, "job": item.job})


def _numbers(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    for device in unit.devices.all(dealer.slug):
        held = unit.events.held_numbers(dealer.slug, device.device, 0)
        if held[: device.high] != list(range(1, device.high + 1)):
            yield Ailment("events_missing", True, {"dealer": dealer.slug, "label": device.label, "high": device.high})


def _photos(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    for photo in unit.photos.all(dealer.slug):
        if photo.state == "erased":
            continue
        room, name = _place(photo)
        content = ports.files.get(dealer.slug, room, name)
        values = {"dealer": dealer.slug, "sha256": photo.sha256}
        if content is None or not _named(content, name):
            yield Ailment("photo_file_missing", True, values)
        elif photo.state == "held":
            yield Ailment("photo_not_looked_into", False, values)
        elif photo.state == "needs_person":
            yield Ailment("photo_kept_apart", False, values)


def _strays(ports: Ports, unit: Unit, dealer: Dealer) -> Iterator[Ailment]:
    places = {_place(photo) for photo in unit.photos.all(dealer.slug) if photo.state != "erased"}
    known: dict[Room, set[str]] = {
        "packs": {pack.sha256 for pack in unit.packs.all(dealer.slug)},
        "texts": {pack.text_sha256 for pack in unit.packs.all(dealer.slug) if pack.text_sha256},
        "pictures": {picture.sha256 for picture in unit.packs.pictures(dealer.slug)},
        "uploads": {upload.id for upload in unit.photos.uploads(dealer.slug)},
        "photos": {name for room, name in places if room == "photos"},
        "quarantine": {name for room, name in places if room == "quarantine"},
    }
    for room, names in known.items():
        for name in sorted(set(ports.files.names(dealer.slug, room)) - names):
            yield Ailment("stray_file", False, {"dealer": dealer.slug, "room": room, "name": name})
    unfinished = ports.files.unfinished(dealer.slug)
    if unfinished:
        yield Ailment("unfinished_files", False, {"dealer": dealer.slug, "count": unfinished})


def _place(photo: Photo) -> tuple[Room, str]:
    return ("photos", photo.clean_sha256) if photo.clean_sha256 else ("quarantine", photo.sha256)


def _named(content: bytes, sha256: str) -> bool:
    return hashlib.sha256(content).hexdigest() == sha256


def _mend(ports: Ports) -> None:
    apply_retention(ports)
    for photo in held_photos(ports):
        look_into_photo(ports, photo.dealer, photo.sha256)
    with ports.storage.reading() as unit:
        dealers = unit.dealers.all()
    for dealer in dealers:
        ports.files.clear_unfinished(dealer.slug)
