"""Photos after they came: clean ones are shown, hostile ones are kept whole and never shown.

The files are made here from their formats' descriptions (JPEG: ITU-T T.81; PNG: W3C Recommendation; TIFF/EXIF tags:
CIPA DC-008), so that what is hostile in them is plain to see.
"""

import gzip
import hashlib
import io
import struct
import subprocess
import sys
import uuid
import zipfile
import zlib
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from tests.making import a_photo, with_device

from benchtrail.domain.refused import Refused
from benchtrail.services.photos import clean_photo, held_photos, look_into_photo
from benchtrail.services.ports import CleanPhoto, Ports
from benchtrail.services.records import Device, Photo
from benchtrail.services.uploads import add_piece, begin_upload, receipt_of, tidy_uploads, upload_progress
from benchtrail.storage.decode_photo import MOST_PIXELS
from benchtrail.storage.photo_cleaner import SOURCE, SubprocessCleaner
from benchtrail.storage.photo_shape import is_plain

DEALER = "withen-bridge"
JOB = str(uuid.uuid4())


def send(ports: Ports, device: Device, content: bytes) -> Photo:
    name = hashlib.sha256(content).hexdigest()
    place = begin_upload(ports, device, name, "image/jpeg", JOB, len(content))
    for start in range(0, len(content), 256 * 1024):
        add_piece(ports, device, place.id, start, content[start : start + 256 * 1024], None)
    return receipt_of(ports, device, name)


def png_chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width: int, height: int, pixels: bytes = b"", *extra: bytes) -> bytes:
    """A PNG of the claimed size in one bit grey, with whatever pixel data."""
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    chunks = [png_chunk(b"IHDR", header), *extra, png_chunk(b"IDAT", zlib.compress(pixels, 9)), png_chunk(b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


def located_photo() -> bytes:
    """A JPEG that is turned by 90 degrees and says where it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x0110] = "Camera of a test"
    place = exif.get_ifd(0x8825)
    place.update({1: "N", 2: (54.0, 3.0, 0.0), 3: "W", 4: (2.0, 16.0, 0.0)})
    return a_photo(120, 60, exif=exif)


def test_a_plain_photo_is_shown_byte_for_byte(ports: Ports) -> None:
    for kind in ("JPEG", "PNG", "WEBP"):
        content = a_photo(80, 60, kind)
        photo = send(ports, with_device(ports), content)
        assert (photo.state, photo.width, photo.height, photo.clean_sha256) == ("clean", 80, 60, photo.sha256)
        assert clean_photo(ports, DEALER, photo.sha256) == (content, f"image/{kind.lower()}")
        assert ports.files.get(DEALER, "quarantine", photo.sha256) is None


def test_place_and_camera_are_gone_from_what_is_kept_and_the_picture_stands_upright(ports: Ports) -> None:
    content = located_photo()
    assert dict(Image.open(io.BytesIO(content)).getexif().get_ifd(0x8825)), "the test's own photo must say a place"
    photo = send(ports, with_device(ports), content)
    shown, mime = clean_photo(ports, DEALER, photo.sha256)
    picture = Image.open(io.BytesIO(shown))
    assert (picture.size, mime) == ((60, 120), "image/jpeg")
    assert dict(picture.getexif()) == {}
    assert b"Camera of a test" not in shown
    assert b"Exif" not in shown
    assert ports.files.get(DEALER, "quarantine", photo.sha256) is None, "the located original must not stay"
    assert list(ports.files.names(DEALER, "photos")) == [photo.clean_sha256]


def behind(content: bytes) -> bytes:
    """A picture with an archive behind its end: two files in one."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as made:
        made.writestr("evil.html", "<script>alert(1)</script>")
    return content + archive.getvalue()


NOT_PLAIN_BUT_GOOD = {
    "a page behind a PNG": lambda: a_photo(kind="PNG") + b"<script>alert(1)</script>",
    "an archive behind it": lambda: behind(a_photo()),
    "a page in a comment": lambda: a_photo(comment=b"<html><script>alert(1)</script>"),
    "text in a chunk": lambda: png(8, 8, b"\0\0" * 8, png_chunk(b"tEXt", b"Comment\0<script>alert(1)</script>")),
    "XMP": lambda: a_photo(kind="WEBP", xmp=b"<x:xmpmeta>secret</x:xmpmeta>"),
    "a thumbnail's place in EXIF": located_photo,
    "several pictures": lambda: a_photo(kind="PNG", save_all=True, append_images=[Image.new("RGB", (64, 48))]),
}


@pytest.mark.parametrize("name", NOT_PLAIN_BUT_GOOD)
def test_whatever_rides_along_with_a_picture_is_not_kept(ports: Ports, name: str) -> None:
    content = NOT_PLAIN_BUT_GOOD[name]()
    assert not is_plain(content)
    photo = send(ports, with_device(ports), content)
    assert photo.state == "clean", photo.reason
    shown, _ = clean_photo(ports, DEALER, photo.sha256)
    assert is_plain(shown)
    for word in (b"<script", b"secret", b"PK\x03\x04"):
        assert word not in shown


def claiming(content: bytes, width: int, height: int) -> bytes:
    """A JPEG whose frame header claims another size. Source: ITU-T T.81, B.2.2 (SOF0: length, precision, lines, samples)."""
    at = content.index(b"\xff\xc0") + 5
    return content[:at] + struct.pack(">HH", height, width) + content[at + 4 :]


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HOSTILE = {
    "30,000 × 30,000 pixels": (lambda: png(30_000, 30_000), "photo_too_many_pixels"),
    "a long strip": (lambda: png(100_000, 10), "photo_too_many_pixels"),
    "a bomb: small file, many pixels": (lambda: png(7_000, 7_200, b"\0" * (876 * 7_200)), "photo_too_many_pixels"),
    "cut off in the middle": (lambda: a_photo(400, 300)[:-2000], "photo_not_decodable"),
    "only a header": (lambda: a_photo()[:20], "photo_not_decodable"),
    "SVG with a script": (lambda: SVG, "photo_not_decodable"),
    "a page": (lambda: b"<!doctype html><script>alert(1)</script>", "photo_not_decodable"),
    "GIF": (lambda: a_photo(kind="GIF"), "photo_not_decodable"),
    "TIFF": (lambda: a_photo(kind="TIFF"), "photo_not_decodable"),
    "EPS, which runs a program": (lambda: b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "photo_not_decodable"),
    "a JPEG's name on an archive": (lambda: behind(b"\xff\xd8\xff\xe0"), "photo_not_decodable"),
    "noise": (lambda: bytes(range(256)) * 50, "photo_not_decodable"),
    "one byte": (lambda: b"\xff", "photo_not_decodable"),
    "BMP": (lambda: a_photo(kind="BMP"), "photo_not_decodable"),
    "ICO": (lambda: a_photo(kind="ICO"), "photo_not_decodable"),
    "PDF around a picture": (lambda: a_photo(kind="PDF"), "photo_not_decodable"),
    "a film's header": (lambda: b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom" + bytes(500), "photo_not_decodable"),
    "a HEIC header and nothing behind it": (lambda: b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(500), "photo_not_decodable"),
    "a program": (lambda: b"\x7fELF\x02\x01\x01" + bytes(500), "photo_not_decodable"),
    "a packed bomb": (lambda: gzip.compress(bytes(30_000_000)), "photo_not_decodable"),
    "WebP cut off in the middle": (lambda: a_photo(200, 150, kind="WEBP")[:-200], "photo_not_decodable"),
    "JPEG that claims 65,535 × 65,535 pixels": (lambda: claiming(a_photo(), 65_535, 65_535), "photo_too_many_pixels"),
    "JPEG that claims no width": (lambda: claiming(a_photo(), 0, 48), "photo_not_decodable"),
    "a PNG that begins in the middle of a page": (lambda: b"<html>" + png(8, 8, b"\0\0" * 8), "photo_not_decodable"),
    "a PNG whose pixels are broken": (lambda: png(8, 8)[:-30] + b"\0" * 30, "photo_not_decodable"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_cannot_be_shown_is_kept_whole_has_a_receipt_and_is_never_served(ports: Ports, name: str) -> None:
    make, reason = HOSTILE[name]
    content = make()
    photo = send(ports, with_device(ports), content)
    assert (photo.state, photo.reason) == ("needs_person", reason)
    assert ports.files.get(DEALER, "quarantine", photo.sha256) == content
    assert list(ports.files.names(DEALER, "photos")) == []
    with pytest.raises(Refused, match="photo_needs_person"):
        clean_photo(ports, DEALER, photo.sha256)


def test_a_photo_of_the_largest_allowed_size_is_taken() -> None:
    side = int(MOST_PIXELS**0.5)
    clean = SubprocessCleaner().clean(png(side, side, b"\0" * ((side + 7) // 8 + 1) * side))
    assert (clean.width, clean.height) == (side, side)


def test_a_decoder_that_takes_too_long_is_stopped() -> None:
    with pytest.raises(Refused, match="photo_too_costly"):
        SubprocessCleaner(time_s=0.001).clean(a_photo())


@pytest.mark.parametrize(("act", "error"), [
    ("bytearray(2 * 1024**3)", b"MemoryError"),
    ("os.write(os.open(sys.argv[2], os.O_CREAT | os.O_WRONLY), b'x')", b"File too large"),
])
def test_the_decoder_may_not_use_all_memory_nor_write_files(tmp_path: Path, act: str, error: bytes) -> None:
    program = ("import os, sys; sys.path.insert(0, sys.argv[1]); from benchtrail.storage.decode_photo import *;"
               f"limit_this_process(); {act}")
    command = [sys.executable, "-I", "-c", program, str(SOURCE), str(tmp_path / "written")]
    done = subprocess.run(command, capture_output=True)
    assert done.returncode != 0
    assert error in done.stderr


class Failing:
    """A decoder that breaks down, as when the computer has no memory left."""

    def clean(self, content: bytes) -> CleanPhoto:
        raise OSError(12, "Cannot allocate memory")


def test_a_decoder_that_breaks_down_leaves_the_photo_held_and_a_later_look_shows_it(ports: Ports) -> None:
    broken = replace(ports, cleaner=Failing(), photo_queue=_NoQueue())
    content = a_photo()
    photo = send(broken, with_device(ports), content)
    assert photo.state == "held"
    with pytest.raises(OSError, match="Cannot allocate"):
        look_into_photo(broken, DEALER, photo.sha256)
    assert [one.sha256 for one in held_photos(ports)] == [photo.sha256]
    assert clean_photo(ports, DEALER, photo.sha256)[0] == content


class _NoQueue:
    def put(self, dealer: str, sha256: str) -> None:
        """Nobody looks."""


def test_a_stop_between_the_last_piece_and_its_record_loses_nothing(
    ports: Ports, monkeypatch: pytest.MonkeyPatch
) -> None:
    device, content = with_device(ports), a_photo()
    name = hashlib.sha256(content).hexdigest()
    place = begin_upload(ports, device, name, "image/jpeg", JOB, len(content))

    def stop(*_: object) -> None:
        raise SystemExit

    for step in ("benchtrail.services.uploads._complete", "benchtrail.services.uploads.keep_photo"):
        monkeypatch.setattr(step, stop)
        offset = ports.files.size(DEALER, "uploads", place.id) or 0
        if offset < len(content):
            with pytest.raises(SystemExit):
                add_piece(ports, device, place.id, offset, content[offset:], None)
        else:
            with pytest.raises(SystemExit):
                upload_progress(ports, device, place.id)
        monkeypatch.undo()
        with pytest.raises(Refused, match="no_such_photo"):
            receipt_of(ports, device, name)
    assert upload_progress(ports, device, place.id).offset == len(content)
    assert receipt_of(ports, device, name).state == "clean"


def test_a_file_that_went_bad_on_disk_is_not_shown(ports: Ports) -> None:
    no_look = replace(ports, photo_queue=_NoQueue())
    photo = send(no_look, with_device(ports), a_photo())
    ports.files.put(DEALER, "quarantine", photo.sha256, b"changed")
    found = look_into_photo(ports, DEALER, photo.sha256)
    assert found is not None
    assert (found.state, found.reason) == ("needs_person", "photo_file_damaged")


def test_an_upload_begun_long_ago_is_forgotten_and_a_young_one_stays(ports: Ports) -> None:
    device = with_device(ports)
    old = begin_upload(ports, device, "a" * 64, "image/png", JOB, 100)
    add_piece(ports, device, old.id, 0, b"x" * 50, None)
    ports.clock.move(days=29)  # type: ignore[attr-defined]
    young = begin_upload(ports, device, "b" * 64, "image/png", JOB, 100)
    ports.clock.move(days=2)  # type: ignore[attr-defined]
    assert tidy_uploads(ports, DEALER) == 1
    assert ports.files.size(DEALER, "uploads", old.id) is None
    assert upload_progress(ports, device, young.id).offset == 0
    with pytest.raises(Refused, match="no_such_upload"):
        upload_progress(ports, device, old.id)
