"""Photos after they came: looked into once, shown clean, or kept for a person. Knows the order; decoding is a port."""

import hashlib
from dataclasses import replace

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import CleanPhoto, Ports
from benchtrail.services.records import Photo


def look_into_photo(ports: Ports, dealer: str, sha256: str) -> Photo | None:
    """Decodes the photo and keeps a clean copy, or marks it as needing a person; None if there is no such photo.

    What came stays in quarantine until the clean copy is kept and recorded: a fault of the decoder loses nothing.
    """
    with ports.storage.reading() as unit:
        photo = unit.photos.get(dealer, sha256)
    if photo is None or photo.state != "held":
        return photo
    content = ports.files.get(dealer, "quarantine", sha256)
    if content is None or hashlib.sha256(content).hexdigest() != sha256:
        return _record(ports, replace(photo, state="needs_person", reason="photo_file_damaged"))
    try:
        clean = ports.cleaner.clean(content)
    except Refused as refusal:
        return _record(ports, replace(photo, state="needs_person", reason=refusal.code))
    return _keep_clean(ports, photo, clean)


def held_photos(ports: Ports) -> list[Photo]:
    """Photos that nobody has looked into yet, as after a stop of the server."""
    with ports.storage.reading() as unit:
        found = [photo for dealer in unit.dealers.all() for photo in unit.photos.all(dealer.slug)]
    return [photo for photo in found if photo.state == "held"]


def take_up_photos(ports: Ports) -> None:
    """At the start of a server: puts every photo in line that was left when it stopped."""
    for photo in held_photos(ports):
        ports.photo_queue.put(photo.dealer, photo.sha256)


def clean_photo(ports: Ports, dealer: str, sha256: str) -> tuple[bytes, str]:
    """Bytes and MIME type of the clean picture. Raises Refused: no_such_photo, photo_needs_person."""
    photo = look_into_photo(ports, dealer, sha256)
    if photo is None:
        raise Refused("no_such_photo")
    content = ports.files.get(dealer, "photos", photo.clean_sha256) if photo.clean_sha256 else None
    if photo.state == "erased":
        raise Refused("photo_erased")
    if photo.state != "clean" or content is None:
        raise Refused("photo_needs_person", reason=photo.reason or "photo_file_damaged")
    return content, photo.clean_mime or "application/octet-stream"


def _keep_clean(ports: Ports, photo: Photo, clean: CleanPhoto) -> Photo:
    clean_sha256 = hashlib.sha256(clean.content).hexdigest()
    ports.files.put(photo.dealer, "photos", clean_sha256, clean.content)
    kept = replace(photo, state="clean", clean_sha256=clean_sha256, clean_mime=clean.mime, width=clean.width,
                   height=clean.height)
    _record(ports, kept)
    ports.files.remove(photo.dealer, "quarantine", photo.sha256)
    return kept


def _record(ports: Ports, photo: Photo) -> Photo:
    with ports.storage.writing() as unit:
        unit.dealers.lock(photo.dealer)
        unit.photos.put(photo)
    return photo
