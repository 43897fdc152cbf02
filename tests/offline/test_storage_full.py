"""A phone whose storage is really full: notes still fit, photos are refused or wait with a word, and nothing is lost.

Two kinds of full. The browser allows no more: Chromium's quota, lowered before the page opens its database. And the disk has
not one byte left: a small file system in memory, filled to the end while the app is open.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Playwright
from tests.offline.camera import jpeg_photo
from tests.offline.phone import Phone
from tests.offline.small_disk import SmallDisk
from tests.offline.test_store import NOTE, START_JOB, enrol, with_procedure
from tests.offline.test_worker import deploy, look_for_update, mark
from tests.offline.workshop import Workshop

from environment import find_chromium

pytestmark = pytest.mark.browser

TELL = "await outcome(bench.record(a[0], 'NoteWritten', {step: null, text: a[1]}))"
PHOTO = "await outcome(bench.addPhoto(a[0], 'first', fileOf(a[1], 'image/jpeg'), 'at its step', () => window.safe?.()))"
TEXTS = "bench.journalOf(a).value.map((event) => event.body.text).filter((text) => text)"
ROOM = "document.dispatchEvent(new Event('visibilitychange'))"  # back on screen, as after freeing space in another app


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[SmallDisk]:
    made = SmallDisk(tmp_path / "disk")
    if not made.mounted:
        pytest.skip("NOT RUN: a disk that is really full needs the right to mount one. This is not a pass.")
    yield made
    made.unmount()


@pytest.fixture
def small_phone(disk: SmallDisk, playwright: Playwright) -> Iterator[Phone]:
    """A phone whose profile lies on the small disk."""
    chromium = find_chromium()
    assert chromium
    made = Phone(playwright, chromium, disk.path / "profile")
    yield made
    made.kill()


def limit(phone: Phone, workshop: Workshop, size: int) -> None:
    """Before the page opens its database: the browser reckons with what was left when it was opened (offline.md 2.2)."""
    session = phone.context.new_cdp_session(phone.page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": workshop.address, "quotaSize": size})


def photo(seed: int = 1) -> str:
    return base64.b64encode(jpeg_photo(seed)).decode()


def ready(phone: Phone, workshop: Workshop) -> str:
    """A job under way on a phone whose reserve is laid in."""
    job: str = phone.bench(START_JOB, with_procedure(phone, workshop))
    phone.until("bench.storage.value.reserve === 'held'")
    return job


def notes(phone: Phone, job: str, name: str, count: int) -> list[str]:
    """Writes short notes; what was said of each."""
    return [phone.bench(TELL, [job, f"{name} {n}"]) for n in range(count)]


def three_parts(shown: dict[str, Any]) -> bool:
    return all(len(shown[part]) > 10 for part in ("happened", "means", "do"))


def test_on_a_disk_without_one_byte_left_notes_are_saved_and_photos_refused_and_all_survive_a_kill(
    small_phone: Phone, disk: SmallDisk, workshop: Workshop
) -> None:
    phone = small_phone
    job = ready(phone, workshop)
    before = notes(phone, job, "before", 3)
    disk.fill()
    told = notes(phone, job, "full", 20)
    assert set(before + told) == {"saved"}
    assert phone.bench("[bench.storage.value.reserve, bench.storage.value.problem.code]") == ["spent", "storage_reserve_spent"]
    assert three_parts(phone.bench("bench.storage.value.problem"))
    assert phone.bench(PHOTO, [job, photo()]) == "storage_full_photo"
    assert phone.bench("bench.photosInHand.value") == []
    phone.kill()
    disk.free()
    phone.switch_on()
    phone.open(workshop.address)
    kept = phone.bench(TEXTS, job)
    assert kept == [*(f"before {n}" for n in range(3)), *(f"full {n}" for n in range(20))]
    phone.until("bench.storage.value.reserve === 'held' && bench.storage.value.problem === null")
    assert phone.bench(PHOTO, [job, photo()]) == "saved"
    enrol(phone, workshop)
    phone.until("bench.outbox.value.notes + bench.outbox.value.photos === 0", seconds=40)
    assert len(workshop.events(job)) == 25


def test_when_even_the_reserve_is_used_up_the_words_wait_and_follow_when_there_is_room(
    small_phone: Phone, disk: SmallDisk, workshop: Workshop
) -> None:
    phone = small_phone
    job = ready(phone, workshop)
    told = []
    for n in range(40):
        disk.fill()
        told.append(phone.bench(TELL, [job, f"note {n}"]))
        if told[-1] != "saved":
            break
    assert told[-1] in ("storage_full_note", "storage_lost_note")
    assert three_parts(phone.bench("bench.storage.value.problem"))
    held = phone.bench("bench.journalOf(a).value.length", job)
    assert held == len(told), "the job's start and every note but the last"
    disk.free()
    phone.page.evaluate(ROOM)
    phone.until(f"{TEXTS}.length === {len(told)}", job)
    assert phone.bench(TEXTS, job) == [f"note {n}" for n in range(len(told))]
    phone.until("bench.storage.value.reserve === 'held' && bench.storage.value.problem === null")
    phone.kill()
    phone.switch_on()
    phone.open(workshop.address)
    assert phone.bench(TEXTS, job) == [f"note {n}" for n in range(len(told))], "the full disk left no damage behind"


def test_a_disk_that_fills_in_the_middle_of_a_photo_keeps_the_photo_and_says_that_it_waits(
    small_phone: Phone, disk: SmallDisk, workshop: Workshop
) -> None:
    phone = small_phone
    job = ready(phone, workshop)
    disk.fill(leave=12_000_000)
    phone.page.expose_function("safe", lambda: disk.fill())
    assert phone.bench(PHOTO, [job, photo()]) == "photo_waits_for_room"
    assert phone.bench("bench.journalOf(a).value.length", job) == 1, "nothing is half recorded"
    assert phone.bench("bench.photosInHand.value.length") == 1
    disk.free()
    phone.kill()
    phone.switch_on()
    phone.open(workshop.address)
    phone.until("bench.photosInHand.value.length === 0 && bench.journalOf(a).value.length === 2", job)
    body = phone.bench("bench.journalOf(a).value.at(-1).body", job)
    assert (body["step"], body["caption"]) == ("first", "at its step")
    assert phone.bench("await bench.photoUrl(a)", body["sha256"]).startswith("blob:")


def test_a_first_visit_on_a_full_disk_says_to_free_space_and_opens_when_that_is_done(
    small_phone: Phone, disk: SmallDisk, workshop: Workshop
) -> None:
    phone = small_phone
    disk.fill()
    phone.page.goto(workshop.address)
    shown = phone.page.evaluate("opened.then(() => null, (error) => error.shown)")
    assert shown["code"] == "storage_not_opened"
    assert "free space" in shown["do"].lower()
    assert three_parts(shown)
    disk.free()
    phone.kill()
    phone.switch_on()
    assert notes(phone, ready(phone, workshop), "after", 1) == ["saved"]


def test_a_start_on_a_full_disk_shows_all_that_was_saved_and_what_was_being_typed(
    small_phone: Phone, disk: SmallDisk, workshop: Workshop
) -> None:
    phone = small_phone
    job = ready(phone, workshop)
    phone.worker_ready()
    saved = [phone.bench(NOTE, [job, f"note {n}"]) for n in range(5)]
    phone.bench("bench.writeDraft('field', 'half a sent')")
    phone.bench("await bench.flushDrafts()")
    phone.kill()
    phone.switch_on()
    disk.fill()
    workshop.kill()
    phone.open(workshop.address)
    assert phone.bench("bench.journalOf(a).value.map((event) => event.id)", job)[1:] == saved
    assert phone.bench("await bench.readDraft('field')") == "half a sent"
    told = notes(phone, job, "still", 5)
    assert set(told) <= {"saved", "storage_full_note", "storage_lost_note"}
    disk.free()
    phone.page.evaluate(ROOM)
    phone.until(f"{TEXTS}.length === 10", job)
    assert sorted(phone.bench(TEXTS, job)) == sorted(f"{name} {n}" for name in ("note", "still") for n in range(5))


def new_version(workshop: Workshop, build: Callable[[str], Path], site: Path) -> None:
    workshop.kill()
    workshop.web = site
    deploy(site, build("second"))
    workshop.start()


def test_a_new_version_that_finds_no_room_on_the_disk_leaves_the_old_one_at_work(
    small_phone: Phone, disk: SmallDisk, workshop: Workshop, build: Callable[[str], Path], tmp_path: Path
) -> None:
    phone = small_phone
    job = ready(phone, workshop)
    phone.worker_ready()
    disk.fill()
    new_version(workshop, build, tmp_path / "site")
    look_for_update(phone)
    assert notes(phone, job, "full", 1) == ["saved"]
    workshop.kill()
    phone.open(f"{workshop.address}/library")
    assert mark(phone) == "first"
    assert phone.bench(TEXTS, job) == ["full 0"]


def test_a_new_version_beyond_the_quota_is_not_installed_and_says_so_and_the_old_one_goes_on(
    phone: Phone, workshop: Workshop, build: Callable[[str], Path], tmp_path: Path
) -> None:
    limit(phone, workshop, 9_000_000)
    job = ready(phone, workshop)
    phone.worker_ready()
    told = phone.page.evaluate("fillUp", job)["told"]
    for size in (300_000, 100_000, 30_000):
        while phone.bench("await outcome(bench.record(a[0], 'NoteWritten', {step: null, text: noise(a[1])}))", [job, size]) == "saved":
            pass
    new_version(workshop, build, tmp_path / "site")
    look_for_update(phone)
    phone.until("bench.update.value === 'failed'")
    workshop.kill()
    phone.open(f"{workshop.address}/library")
    assert (mark(phone), told) == ("first", ["saved"])
    assert phone.bench("bench.journalOf(a).value.length", job) > 3


@pytest.mark.parametrize("size", [7_500_000, 9_000_000])
def test_at_any_quota_every_note_is_saved_and_every_photo_saved_or_refused(
    phone: Phone, workshop: Workshop, size: int
) -> None:
    limit(phone, workshop, size)
    job = ready(phone, workshop)
    photos = [phone.bench(PHOTO, [job, photo(seed)]) for seed in range(6)]
    refused = {"storage_full_photo", "photo_waits_for_room"}
    assert set(photos) <= {"saved", *refused}
    assert refused & set(photos)
    assert set(notes(phone, job, "note", 30)) == {"saved"}
    recorded = phone.bench("bench.journalOf(a).value.filter((event) => event.kind === 'PhotoTaken').length", job)
    assert recorded == photos.count("saved")
    assert phone.bench("bench.photosInHand.value.length") == photos.count("photo_waits_for_room")
    phone.kill()
    phone.switch_on()  # without the override: space was freed
    phone.open(workshop.address)
    assert phone.bench(TEXTS, job) == [f"note {n}" for n in range(30)]
    phone.until("bench.photosInHand.value.length === 0")
    assert phone.bench(PHOTO, [job, photo(9)]) == "saved"


def test_a_quota_too_small_for_the_first_start_is_said_with_what_to_do(phone: Phone, workshop: Workshop) -> None:
    limit(phone, workshop, 1)
    phone.page.goto(workshop.address)
    shown = phone.page.evaluate("opened.then(() => null, (error) => error.shown)")
    assert shown["code"] == "storage_not_opened"
    assert three_parts(shown)
    phone.kill()
    phone.switch_on()
    assert notes(phone, ready(phone, workshop), "after", 1) == ["saved"]
