"""A job as one file (shared/README.md §11): made here, and taken in here, each thing in it held to its hash.

Knows the form of the file and what must agree in it; journals and photos are taken in as from a phone.
"""

import base64
import binascii
import hashlib
import json
import secrets
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import rfc8785

from benchtrail.domain.event_hash import job_digest
from benchtrail.domain.hlc import journal_order
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.devices import is_uuid
from benchtrail.services.jobs import job_of
from benchtrail.services.ports import Ports
from benchtrail.services.receive_events import MOST_EVENTS, receive_events
from benchtrail.services.records import Device, JsonObject, Photo

FORMAT = "benchtrail.job/1"
MOST_PHOTO_BYTES = 20 * 1024 * 1024
NO_DEVICE = str(uuid.UUID(int=0))


@dataclass(frozen=True)
class TakenIn:
    """What came of a file: events that are new, known, kept apart; photos new and known, and how many the journal names
    that are neither in the file nor here; the digest of the job as it is here now, and whether it is that of the file."""

    job: str
    stored: int
    known: int
    quarantined: int
    photos: int
    photos_known: int
    photos_missing: int
    digest: JsonObject
    equal: bool
    pack_known: bool


def job_as_file(ports: Ports, dealer: str, id: str) -> JsonObject:
    """The whole job: its events in the order of the journal, its photos, its pack. Raises Refused("no_such_job")."""
    job = job_of(ports, dealer, id)
    events = sorted((json.loads(event.text) for event in job.events), key=journal_order)
    content = ports.files.get(dealer, "packs", job.published.sha256) if job.published else None
    return {
        "format": FORMAT, "job": id, "events": events,
        "photos": [made for photo in job.photos if (made := _photo_entry(ports, photo))],
        "pack": json.loads(content) if content else None,
        "digest": job_digest(event.id for event in job.events),
    }


def _photo_entry(ports: Ports, photo: Photo) -> JsonObject | None:
    """The clean copy; `of` names the photo that it was made from when metadata had to be taken out of it."""
    content = ports.files.get(photo.dealer, "photos", photo.clean_sha256) if photo.clean_sha256 else None
    if content is None:
        return None
    entry = {"sha256": photo.clean_sha256, "mime": photo.clean_mime, "base64": base64.b64encode(content).decode()}
    return entry if photo.clean_sha256 == photo.sha256 else entry | {"of": photo.sha256}


def take_in_job(ports: Ports, dealer: str, content: bytes, by: str) -> TakenIn:
    """Takes a job in from a file; the same file again changes nothing.

    Raises Refused: job_file_unreadable, job_file_digest, job_file_photo, job_file_pack, no_such_dealer.
    """
    made = _read(content)
    photos = [_photo_bytes(entry) for entry in made["photos"]]
    _check_pack(made)
    results = [result for device, events in _by_device(made["events"]) for result in _events_in(ports, dealer, device, events)]
    named = {event["body"].get("sha256"): event["device"] for event in made["events"] if event.get("kind") == "PhotoTaken"}
    new = sum(_photo_in(ports, dealer, made["job"], entry, data, named) for entry, data in zip(made["photos"], photos, strict=True))
    with ports.storage.writing() as unit:
        record_act(unit, ports, dealer, by, "job_taken_in", made["job"], events=len(made["events"]), photos=len(photos))
        held = unit.events.of_job(dealer, made["job"])
        here = {photo.sha256 for photo in unit.photos.of_job(dealer, made["job"])}
        apart = {item.claimed_id for item in unit.events.quarantined(dealer, made["job"]) if item.claimed_id}
        pack_known = all(unit.packs.get(dealer, sha256) for sha256 in {event["pack"] for event in made["events"][:1]})
    digest = job_digest({event.id for event in held} | apart)
    return TakenIn(
        job=made["job"], stored=sum(one == "stored" for one in results), known=sum(one == "duplicate" for one in results),
        quarantined=sum(one == "quarantined" for one in results), photos=new, photos_known=len(photos) - new,
        photos_missing=len(set(named) - here), digest=digest, equal=digest == made["digest"], pack_known=pack_known,
    )


def _read(content: bytes) -> JsonObject:
    """The file's content, of the form that the readme names and true to its own digest."""
    try:
        made = json.loads(content)
        sound = made["format"] == FORMAT and is_uuid(made["job"]) and made["events"] and isinstance(made["photos"], list)
        same_job = all(isinstance(event, dict) and event.get("job") == made["job"] for event in made["events"])
        ids = [str(event["id"]) for event in made["events"]]
        whole = sound and same_job and all(isinstance(event.get("body"), dict) and isinstance(event.get("device"), str)
                                           and isinstance(event.get("seq"), int) for event in made["events"])
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise Refused("job_file_unreadable") from error
    if not whole:
        raise Refused("job_file_unreadable")
    if job_digest(ids) != made.get("digest"):
        raise Refused("job_file_digest", count=len(set(ids)))
    return dict(made)


def _check_pack(made: JsonObject) -> None:
    """A pack in the file is the one that the events name."""
    if made.get("pack") is None:
        return
    try:
        sha256 = hashlib.sha256(rfc8785.dumps(made["pack"])).hexdigest()
    except (ValueError, TypeError, RecursionError) as error:
        raise Refused("job_file_pack") from error
    if sha256 != made["events"][0].get("pack"):
        raise Refused("job_file_pack")


def _photo_bytes(entry: Any) -> bytes:
    try:
        data = base64.b64decode(entry["base64"], validate=True)
        sound = 0 < len(data) <= MOST_PHOTO_BYTES and hashlib.sha256(data).hexdigest() == entry["sha256"]
        sound = sound and isinstance(entry["mime"], str) and _is_hash(entry.get("of", entry["sha256"]))
    except (KeyError, TypeError, ValueError, binascii.Error) as error:
        raise Refused("job_file_photo", sha256="unreadable") from error
    if not sound:
        raise Refused("job_file_photo", sha256=str(entry["sha256"])[:12])
    return data


def _is_hash(text: Any) -> bool:
    return isinstance(text, str) and len(text) == 64 and set(text) <= set("0123456789abcdef")


def _by_device(events: Iterable[JsonObject]) -> list[tuple[str, list[JsonObject]]]:
    """Each phone's own events in the order of their numbers."""
    found: dict[str, list[JsonObject]] = {}
    for event in events:
        found.setdefault(event["device"] if is_uuid(event["device"]) else NO_DEVICE, []).append(event)
    return [(device, sorted(mine, key=lambda event: event["seq"])) for device, mine in sorted(found.items())]


def _events_in(ports: Ports, dealer: str, id: str, events: list[JsonObject]) -> list[str]:
    device = _known_device(ports, dealer, id)
    found: list[str] = []
    for start in range(0, len(events), MOST_EVENTS):
        results, _ = receive_events(ports, device, events[start : start + MOST_EVENTS], None, by_hand=True)
        found += [result.status for result in results]
    return found


def _known_device(ports: Ports, dealer: str, id: str) -> Device:
    """The phone, made known when it never joined: it cannot sign in until it joins with a code."""
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        if unit.dealers.get(dealer) is None:
            raise Refused("no_such_dealer", slug=dealer)
        device = unit.devices.get(dealer, id)
        if device is None:
            unusable = hashlib.sha256(secrets.token_bytes(32)).hexdigest()
            device = Device(dealer, id, "A phone known by a file", unusable, ports.clock.now())
            unit.devices.put(device)
    return device


def _photo_in(ports: Ports, dealer: str, job: str, entry: JsonObject, data: bytes, named: dict[Any, str]) -> bool:
    """Keeps the photo as one that came by upload; True when it is new here."""
    sha256 = str(entry.get("of", entry["sha256"]))
    with ports.storage.reading() as unit:
        known = unit.photos.get(dealer, sha256)
    clean = ports.cleaner.clean(data) if known is None and "of" in entry else None
    if clean:
        ports.files.put(dealer, "photos", hashlib.sha256(clean.content).hexdigest(), clean.content)
    elif known is None:
        ports.files.put(dealer, "quarantine", sha256, data)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        device = named.get(sha256) or next(iter(named.values()), None) or unit.events.of_job(dealer, job)[0].device
        if known is None:
            photo = Photo(dealer, sha256, len(data), entry["mime"], device, ports.clock.now())
            if clean:
                photo = Photo(**vars(photo) | {
                    "state": "clean", "clean_sha256": hashlib.sha256(clean.content).hexdigest(), "clean_mime": clean.mime,
                    "width": clean.width, "height": clean.height})
            unit.photos.put(photo)
        unit.photos.join_job(dealer, sha256, job)
    if known is None and clean is None:
        ports.photo_queue.put(dealer, sha256)
    return known is None


def file_bytes(made: JsonObject) -> bytes:
    """The file as it is written."""
    return json.dumps(made, ensure_ascii=False).encode()

