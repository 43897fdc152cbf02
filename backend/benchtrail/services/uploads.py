"""Photos coming in piece by piece, named by their hash. Knows the order that cannot lose one; no HTTP, no pixels.

A photo counts as here (and gets a receipt) only when its whole file has the right hash, lies under its final name, and
the record of it is committed. At every earlier moment the phone still holds it and sends again.
"""

import hashlib
import re
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.devices import is_uuid
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Device, Photo, Upload

MOST_BYTES = 20 * 1024 * 1024
PIECE_BYTES = 256 * 1024
MOST_OPEN = 200
LIFE = timedelta(days=30)
SHA256 = re.compile(r"[0-9a-f]{64}")
MIME = re.compile(r"image/[a-z0-9.+-]{1,40}")


@dataclass(frozen=True)
class Progress:
    """Where an upload stands: its name in addresses, how much is here, how much there is; the photo once it is here."""

    id: str
    offset: int
    bytes: int
    photo: Photo | None = None


def begin_upload(ports: Ports, device: Device, sha256: str, mime: str, job: str, length: int) -> Progress:
    """Opens an upload, or answers with the one that is open, or with the photo itself when it is here already.

    Only photos that this phone sent, or of jobs it takes part in, are compared: an answer must not tell that someone
    else has the same picture.
    Raises Refused: upload_header_missing, upload_too_large, too_many_uploads.
    """
    _check_facts(sha256, mime, job, length)
    with ports.storage.writing() as unit:
        unit.dealers.lock(device.dealer)
        photo = unit.photos.get(device.dealer, sha256)
        if photo and unit.photos.known_to(device.dealer, sha256, device.device):
            unit.photos.join_job(device.dealer, sha256, job)
            return Progress(sha256, photo.bytes, photo.bytes, photo)
        upload = _open_upload(unit, ports, device, sha256, mime, job, length)
    return Progress(upload.id, _settled_offset(ports, upload), upload.bytes)


def _open_upload(unit: Unit, ports: Ports, device: Device, sha256: str, mime: str, job: str, length: int) -> Upload:
    all_open = [one for one in unit.photos.uploads(device.dealer) if one.completed_at is None]
    mine = [one for one in all_open if one.device == device.device]
    for one in mine:
        if (one.sha256, one.bytes, one.job) == (sha256, length, job):
            return one
    if len(mine) >= MOST_OPEN:
        raise Refused("too_many_uploads", most=MOST_OPEN, wait_s=60)
    fresh = Upload(device.dealer, str(uuid.uuid4()), device.device, job, sha256, mime, length, ports.clock.now())
    unit.photos.add_upload(fresh)
    return fresh


def upload_progress(ports: Ports, device: Device, id: str) -> Progress:
    """Where the upload stands; `id` may be a photo's hash. Raises Refused("no_such_upload")."""
    if SHA256.fullmatch(id):
        with ports.storage.reading() as unit:
            photo = unit.photos.get(device.dealer, id)
            known = unit.photos.known_to(device.dealer, id, device.device)
        if photo is None or not known:
            raise Refused("no_such_upload")
        return Progress(id, photo.bytes, photo.bytes, photo)
    upload = _own(ports, device, id)
    return Progress(id, _settled_offset(ports, upload), upload.bytes)


def add_piece(ports: Ports, device: Device, id: str, offset: int, piece: bytes, sha256: str | None) -> Progress:
    """Adds a piece; returns when it is on disk, and, after the last one, when the photo is here.

    Raises Refused: no_such_upload, upload_in_use, piece_hash_differs, upload_offset_differs, piece_beyond_end,
    photo_hash_differs (then the upload begins anew).
    """
    if SHA256.fullmatch(id):
        held = upload_progress(ports, device, id)
        raise Refused("upload_offset_differs", offset=held.offset)
    with _held(ports, device, id) as upload:
        have = _offset(ports, upload)
        if offset != have:
            raise Refused("upload_offset_differs", offset=have)
        if offset + len(piece) > upload.bytes:
            raise Refused("piece_beyond_end", bytes=upload.bytes)
        if sha256 is not None and hashlib.sha256(piece).hexdigest() != sha256:
            raise Refused("piece_hash_differs", offset=have)
        length = ports.files.append(upload.dealer, "uploads", id, offset, piece)
        if length == upload.bytes:
            _complete(ports, upload)
    if length < upload.bytes:
        return Progress(id, length, upload.bytes)
    with ports.storage.reading() as unit:
        return Progress(id, length, upload.bytes, unit.photos.get(device.dealer, upload.sha256))


def end_upload(ports: Ports, device: Device, id: str) -> None:
    """Gives an unfinished upload up. Raises Refused: no_such_upload, upload_in_use."""
    with _held(ports, device, id) as upload:
        with ports.storage.writing() as unit:
            unit.dealers.lock(upload.dealer)
            unit.photos.end_upload(id)
        ports.files.remove(upload.dealer, "uploads", id)


def receipt_of(ports: Ports, device: Device, sha256: str) -> Photo:
    """The photo, if it is here and this phone's business. Raises Refused("no_such_photo")."""
    with ports.storage.reading() as unit:
        photo = unit.photos.get(device.dealer, sha256)
        known = unit.photos.known_to(device.dealer, sha256, device.device)
    if photo is None or not known:
        raise Refused("no_such_photo")
    return photo


def tidy_uploads(ports: Ports, dealer: str) -> int:
    """Forgets uploads that were begun more than 30 days ago; unfinished ones are still on their phones. How many."""
    limit = ports.clock.now() - LIFE
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        old = [one for one in unit.photos.uploads(dealer) if one.created_at < limit]
        for one in old:
            unit.photos.end_upload(one.id)
    for one in old:
        ports.files.remove(dealer, "uploads", one.id)
    return len(old)


def _check_facts(sha256: str, mime: str, job: str, length: int) -> None:
    sound = {"sha256": bool(SHA256.fullmatch(sha256)), "mime": bool(MIME.fullmatch(mime)), "job": is_uuid(job),
             "Upload-Length": length > 0}
    missing = [name for name, there in sound.items() if not there]
    if missing:
        raise Refused("upload_header_missing", names=", ".join(missing))
    if length > MOST_BYTES:
        raise Refused("upload_too_large", most_mb=MOST_BYTES // 1024**2)


@contextmanager
def _held(ports: Ports, device: Device, id: str) -> Iterator[Upload]:
    """The device's own upload, locked. Looked up before too: the lock is a file, and only a real id may name one."""
    _own(ports, device, id)
    with ports.upload_locks.hold(id):
        yield _own(ports, device, id)


def _own(ports: Ports, device: Device, id: str) -> Upload:
    with ports.storage.reading() as unit:
        upload = unit.photos.upload(id) if is_uuid(id) else None
    if upload is None or (upload.dealer, upload.device) != (device.dealer, device.device):
        raise Refused("no_such_upload")
    return upload


def _offset(ports: Ports, upload: Upload) -> int:
    if upload.completed_at:
        return upload.bytes
    return ports.files.size(upload.dealer, "uploads", upload.id) or 0


def _settled_offset(ports: Ports, upload: Upload) -> int:
    """The offset; completes an upload whose last piece is on disk though the server stopped before recording it."""
    have = _offset(ports, upload)
    if upload.completed_at or have < upload.bytes:
        return have
    try:
        with ports.upload_locks.hold(upload.id):
            _complete(ports, upload)
    except Refused as refusal:
        return 0 if refusal.code == "photo_hash_differs" else have
    return upload.bytes


def _complete(ports: Ports, upload: Upload) -> None:
    content = ports.files.get(upload.dealer, "uploads", upload.id)
    if content is None:
        return  # another request completed it meanwhile
    if hashlib.sha256(content).hexdigest() != upload.sha256:
        ports.files.append(upload.dealer, "uploads", upload.id, 0, b"")
        raise Refused("photo_hash_differs", offset=0)
    with ports.storage.reading() as unit:
        held = unit.photos.get(upload.dealer, upload.sha256)
    if held is None or held.state == "held":
        ports.files.put(upload.dealer, "quarantine", upload.sha256, content)
    keep_photo(ports, upload, len(content))
    ports.files.remove(upload.dealer, "uploads", upload.id)
    ports.photo_queue.put(upload.dealer, upload.sha256)


def keep_photo(ports: Ports, upload: Upload, length: int) -> None:
    """Records the photo whose file lies in quarantine, and its upload as complete, in one unit."""
    now = ports.clock.now()
    with ports.storage.writing() as unit:
        unit.dealers.lock(upload.dealer)
        if unit.photos.get(upload.dealer, upload.sha256) is None:
            unit.photos.put(Photo(upload.dealer, upload.sha256, length, upload.mime, upload.device, now))
        unit.photos.join_job(upload.dealer, upload.sha256, upload.job)
        unit.photos.complete_upload(upload.id, now)
