"""Photos in real Chromium, from the camera's file to the server: upright, small, without metadata, equal by hash."""

from __future__ import annotations

import base64
import hashlib
import io
from typing import Any

import pytest
from PIL import Image, ImageDraw
from tests.offline.phone import Phone
from tests.offline.test_store import START_JOB, enrol, with_procedure
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser

ADD = """await bench.addPhoto(a.job, 'first', fileOf(a.data, a.type), 'the seal')
    .then((event) => event.body, (error) => error.shown)"""
ORIENTATION, GPS = 0x0112, 0x8825


def picture(width: int, height: int, mode: str = "RGB") -> Image.Image:
    """White, with a red block in the corner that is upper left when upright."""
    made = Image.new(mode, (width, height), (255, 255, 255, 255) if mode == "RGBA" else (255, 255, 255))
    ImageDraw.Draw(made).rectangle((0, 0, width // 4, height // 4), fill=(200, 0, 0))
    return made


def as_bytes(made: Image.Image, kind: str, **options: Any) -> bytes:
    file = io.BytesIO()
    made.save(file, kind, **options)
    return file.getvalue()


def camera_file(width: int = 4000, height: int = 3000, orientation: int = 1) -> bytes:
    """A JPEG as a phone writes it: with the place where it was taken, and turned by its orientation tag."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif.get_ifd(GPS).update({1: "N", 2: (54.0, 27.0, 30.0), 3: "W", 4: (3.0, 5.0, 0.0)})
    # Stored so that a reader who obeys the tag sees the picture upright. Source: Exif 2.32, table 6.
    upright = picture(width, height)
    stored = {
        1: upright,
        6: upright.transpose(Image.Transpose.ROTATE_90),
        3: upright.transpose(Image.Transpose.ROTATE_180),
    }[orientation]
    return as_bytes(stored, "JPEG", exif=exif, quality=90)


def add(phone: Phone, job: str, data: bytes, kind: str = "image/jpeg") -> dict[str, Any]:
    answer: dict[str, Any] = phone.bench(ADD, {"job": job, "data": base64.b64encode(data).decode(), "type": kind})
    return answer


def kept(phone: Phone, sha256: str) -> Image.Image:
    """The picture as the phone keeps it, with its hash checked."""
    data = base64.b64decode(phone.page.evaluate("keptPhoto", sha256))
    assert hashlib.sha256(data).hexdigest() == sha256
    return Image.open(io.BytesIO(data))


@pytest.fixture
def job(phone: Phone, workshop: Workshop) -> str:
    started: str = phone.bench(START_JOB, with_procedure(phone, workshop))
    return started


def test_a_camera_file_becomes_small_and_loses_where_it_was_taken(phone: Phone, job: str) -> None:
    original = camera_file()
    assert Image.open(io.BytesIO(original)).getexif().get_ifd(GPS)
    body = add(phone, job, original)
    small = kept(phone, body["sha256"])
    assert (body["mime"], body["width"], body["height"], small.size) == ("image/jpeg", 2048, 1536, (2048, 1536))
    assert not small.getexif()
    assert body["caption"] == "the seal"


@pytest.mark.parametrize("orientation", [1, 3, 6])
def test_a_turned_photo_comes_out_upright_whatever_its_tag(phone: Phone, job: str, orientation: int) -> None:
    body = add(phone, job, camera_file(1200, 900, orientation))
    assert (body["width"], body["height"]) == (1200, 900)
    small = kept(phone, body["sha256"]).convert("RGB")
    red, green, _ = small.getpixel((40, 40))  # type: ignore[misc]
    assert (red > 150, green < 80) == (True, True)
    assert small.getpixel((1150, 850)) == (255, 255, 255)


def test_a_large_turned_photo_fits_the_limit(phone: Phone, job: str) -> None:
    body = add(phone, job, camera_file(4000, 3000, 6))
    assert (body["width"], body["height"]) == (2048, 1536)


def test_a_small_photo_is_not_blown_up(phone: Phone, job: str) -> None:
    assert (add(phone, job, camera_file(300, 200))["width"]) == 300


@pytest.mark.parametrize(("kind", "mode"), [("PNG", "RGBA"), ("WEBP", "RGB")])
def test_png_and_webp_are_taken_as_well(phone: Phone, job: str, kind: str, mode: str) -> None:
    body = add(phone, job, as_bytes(picture(800, 600, mode), kind), f"image/{kind.lower()}")
    assert (body["mime"], body["width"]) == ("image/jpeg", 800)


def test_48_megapixels_are_taken(phone: Phone, job: str) -> None:
    body = add(phone, job, camera_file(8000, 6000))
    assert (body["width"], body["height"]) == (2048, 1536)


def test_a_picture_of_900_megapixels_is_refused_before_it_is_decoded(phone: Phone, job: str) -> None:
    bomb = as_bytes(Image.new("1", (30000, 30000)), "PNG")
    said = add(phone, job, bomb, "image/png")
    assert said["code"] == "photo_not_readable"
    assert "30000" in said["values"]["detail"]


def test_a_cut_off_photo_is_kept_with_its_bytes_and_says_so(phone: Phone, job: str) -> None:
    said = add(phone, job, camera_file()[:3000])
    assert said["code"] == "photo_not_readable"
    assert phone.bench("bench.photosInHand.value.length") == 1
    assert phone.bench("bench.outbox.value.attention[0].message.code") == "photo_not_readable"
    assert phone.bench("bench.journalOf(a).value.length", job) == 1


@pytest.mark.parametrize(
    "data", [b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"GIF89a" + bytes(20), b"%PDF-1.7 " + bytes(20)]
)
def test_what_is_no_photo_is_refused_whatever_it_says_it_is(phone: Phone, job: str, data: bytes) -> None:
    assert add(phone, job, data)["code"] == "photo_kind"
    assert phone.bench("bench.photosInHand.value.length") == 0


def test_photos_arrive_on_the_server_equal_by_hash(phone: Phone, workshop: Workshop, job: str) -> None:
    bodies = [
        add(phone, job, as_bytes(Image.effect_noise((2048, 1536), 90).convert("RGB"), "JPEG", quality=95))
        for _ in range(2)
    ]
    assert bodies[0]["bytes"] > 3 * 256 * 1024, "several pieces"
    enrol(phone, workshop)
    phone.until("bench.outbox.value.photos === 0", seconds=60)
    for body in bodies:
        arrived = workshop.photo_bytes(body["sha256"])
        assert arrived is not None
        assert hashlib.sha256(arrived).hexdigest() == body["sha256"]
        assert phone.bench("bench.itemState(a)", body["sha256"]) == "received"
    assert phone.bench("bench.outbox.value.attention") == []


def test_a_photo_whose_server_dies_in_the_middle_goes_on_when_it_is_back(
    phone: Phone, workshop: Workshop, job: str
) -> None:
    body = add(phone, job, as_bytes(Image.effect_noise((2048, 2048), 90).convert("RGB"), "JPEG", quality=95))
    pieces: list[str] = []
    phone.context.on("requestfinished", lambda request: pieces.extend(_piece_of(request)))
    phone.page.route("**/api/v1/photos/*", lambda route: _kill_at_second_piece(route, workshop, pieces))
    enrol(phone, workshop)
    phone.until("bench.connection.value === 'not_reached'", seconds=60)
    phone.page.unroute("**/api/v1/photos/*")
    workshop.start()
    phone.bench("bench.syncSoon('button')")
    phone.until("bench.outbox.value.photos === 0", seconds=60)
    arrived = workshop.photo_bytes(body["sha256"])
    assert arrived is not None
    assert hashlib.sha256(arrived).hexdigest() == body["sha256"]
    assert len(set(pieces)) == -(-body["bytes"] // (256 * 1024))
    assert len(pieces) <= len(set(pieces)) + 1, "at most one piece again"


def _piece_of(request: Any) -> list[str]:
    """Where the piece of a request stands; the first one goes with the announcement, which has no offset."""
    carries = request.headers.get("content-type") == "application/offset+octet-stream"
    return [request.headers.get("upload-offset", "0")] if carries else []


def _kill_at_second_piece(route: Any, workshop: Workshop, pieces: list[str]) -> None:
    if route.request.method == "PATCH" and len(pieces) == 2:
        workshop.kill()
    route.continue_()


def test_a_page_killed_before_the_copy_was_made_finishes_it_at_the_next_start(
    phone: Phone, workshop: Workshop, job: str
) -> None:
    data = base64.b64encode(camera_file(8000, 6000)).decode()
    phone.page.evaluate(
        "(a) => void bench.addPhoto(a.job, 'first', fileOf(a.data, ''), 'in time', () => (window.safe = true))",
        {"job": job, "data": data},
    )
    phone.until("window.safe === true")
    phone.kill()
    phone.switch_on()
    phone.open(workshop.address)
    phone.until("bench.photosInHand.value.length === 0 && bench.journalOf(a).value.length === 2", job)
    body = phone.bench("bench.journalOf(a).value[1].body", job)
    assert (body["caption"], body["step"]) == ("in time", "first")
    assert kept(phone, body["sha256"]).size == (2048, 1536)
