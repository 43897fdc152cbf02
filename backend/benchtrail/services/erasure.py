"""Erasing what a job holds: at the wish of the phone that sent it, of the dealer, or when its time is over.

The envelopes stay (ids, numbers, hashes, kinds), so that nothing is sent again, digests still agree and the chain holds;
bodies and the bytes of photos go. Knows what is erased; who may ask is for those who call.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.jobs import Shelf, gather_job
from benchtrail.services.ports import Ports, Room, Unit
from benchtrail.services.records import ERASED, Dealer, Device, Photo, StoredEvent

LONGEST_DAYS = 36500
ERASED_PHOTO = {"state": "erased", "clean_sha256": None, "clean_mime": None, "width": None, "height": None, "reason": None}


@dataclass(frozen=True)
class Erased:
    """How much was erased, and how many entries of other phones stay."""

    events: int
    photos: int
    others: int


def erase_own(ports: Ports, device: Device, job: str) -> Erased:
    """Erases what this phone sent of a job. Doing it again changes nothing. Raises Refused("no_such_job")."""
    with ports.storage.reading() as unit:
        if not unit.events.joined(device.dealer, job, device.device):
            raise Refused("no_such_job")
    return _erase(ports, device.dealer, job, device.device, f"phone {device.label}")


def erase_job(ports: Ports, dealer: str, job: str, by: str) -> Erased:
    """Erases all of a job. Raises Refused("no_such_job")."""
    with ports.storage.reading() as unit:
        if not unit.events.of_job(dealer, job) and not unit.events.quarantined(dealer, job):
            raise Refused("no_such_job")
    return _erase(ports, dealer, job, None, by)


@dataclass(frozen=True)
class ClosedJob:
    """A closed job that holds something still; `last_at` is the server's time of the last news of it."""

    job: str
    title: str
    last_at: datetime


def check_days(days: int | None) -> None:
    """Raises Refused("retention_range")."""
    if days is not None and not 1 <= days <= LONGEST_DAYS:
        raise Refused("retention_range", days=days, most=LONGEST_DAYS)


def set_retention(ports: Ports, dealer: str, days: int | None, by: str) -> None:
    """How many days after its close a job's contents are kept; None for good. Raises Refused: no_such_dealer, retention_range."""
    check_days(days)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        if unit.dealers.get(dealer) is None:
            raise Refused("no_such_dealer", slug=dealer)
        unit.dealers.set_retention(dealer, days)
        record_act(unit, ports, dealer, by, "retention_set", "for good" if days is None else f"{days} days")


def apply_retention(ports: Ports) -> list[tuple[str, str]]:
    """Erases the contents of closed jobs whose time is over, by the server's clock. Answers (dealer, job) of each."""
    with ports.storage.reading() as unit:
        due = [(dealer.slug, one.job) for dealer in unit.dealers.all() for one in _due(ports, unit, dealer)]
    for dealer, job in due:
        _erase(ports, dealer, job, None, "retention")
    return due


def closed_jobs(ports: Ports, dealer: str) -> list[ClosedJob]:
    """The closed jobs of the dealer whose contents are still kept."""
    with ports.storage.reading() as unit:
        return list(_closed(ports, unit, dealer))


def _due(ports: Ports, unit: Unit, dealer: Dealer) -> Iterable[ClosedJob]:
    if dealer.retention_days is None:
        return []
    return _closed(ports, unit, dealer.slug, ports.clock.now() - timedelta(days=dealer.retention_days))


def _closed(ports: Ports, unit: Unit, dealer: str, before: datetime | None = None) -> Iterable[ClosedJob]:
    """`before`: only those whose last news is older."""
    shelf = Shelf(ports, unit, dealer)
    for id in unit.events.jobs(dealer):
        events = unit.events.of_job(dealer, id)
        if not events or all(event.erased_at for event in events):
            continue
        last_at = max(event.received_at for event in events)
        if before is not None and last_at >= before:
            continue
        job = gather_job(unit, shelf, dealer, id, events)
        if job.fold["closed"]:
            yield ClosedJob(id, job.published.title if job.published else "", last_at)


def _erase(ports: Ports, dealer: str, job: str, device: str | None, by: str) -> Erased:
    now = ports.clock.now()
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        events = unit.events.of_job(dealer, job)
        mine = [event for event in events if device in (None, event.device)]
        photos = [photo for photo in unit.photos.of_job(dealer, job)
                  if device in (None, photo.device) and photo.state != "erased" and not _used_elsewhere(unit, photo, mine, job)]
        fresh = {event.id: _without_body(event) for event in mine if event.erased_at is None}
        unit.events.erase(dealer, job, fresh, now, device)
        for photo in photos:
            unit.photos.put(Photo(**vars(photo) | ERASED_PHOTO))
        uploads = [one for one in unit.photos.uploads(dealer) if one.job == job and device in (None, one.device)]
        for upload in uploads:
            unit.photos.end_upload(upload.id)
        if fresh or photos:
            record_act(unit, ports, dealer, by, "job_erased", job, events=len(fresh), photos=len(photos))
    # Files after the record: a stop in between leaves files that nothing names, and doctor finds those.
    for photo in photos:
        _remove_files(ports, photo)
    for upload in uploads:
        ports.files.remove(dealer, "uploads", upload.id)
    return Erased(len(fresh), len(photos), len(events) - len(mine))


def _without_body(event: StoredEvent) -> str:
    envelope = json.loads(event.text) | {"body": json.loads(ERASED)}
    return json.dumps(envelope, ensure_ascii=True, separators=(",", ":"))


def _used_elsewhere(unit: Unit, photo: Photo, mine: list[StoredEvent], job: str) -> bool:
    """A photo that an entry which stays shows: of another phone, or of another job."""
    own = {event.id for event in mine}
    return any(event.kind == "PhotoTaken" and event.id not in own and event.erased_at is None
               and json.loads(event.text)["body"].get("sha256") == photo.sha256
               for other in unit.photos.jobs_of(photo.dealer, photo.sha256) | {job}
               for event in unit.events.of_job(photo.dealer, other))


def _remove_files(ports: Ports, photo: Photo) -> None:
    places: list[tuple[Room, str | None]] = [("quarantine", photo.sha256), ("photos", photo.clean_sha256)]
    for room, name in places:
        if name:
            ports.files.remove(photo.dealer, room, name)
