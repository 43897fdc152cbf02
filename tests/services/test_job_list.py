"""Kept rows are never stale: whatever happens to a job, the list with kept rows equals one folded anew."""

import hashlib
from collections.abc import Callable

import pytest
from tests.making import Journal, a_pack, a_photo, memory_ports, sha256_of, with_dealer, with_device

from benchtrail.services import job_list as job_list_module
from benchtrail.services.devices import enrol, make_code
from benchtrail.services.inbox import REASONS, by_need
from benchtrail.services.job_list import KeptRows, job_list
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.receive_events import receive_events
from benchtrail.services.records import Device
from benchtrail.services.uploads import add_piece, begin_upload

DEALER = "withen-bridge"


class Scene:
    """One job with a phone, and everything that can happen to it."""

    def __init__(self) -> None:
        self.ports: Ports = memory_ports()
        with_dealer(self.ports)
        (self.pack,) = publish_packs(self.ports, DEALER, Order([a_pack()], "anna"))
        self.device = with_device(self.ports)
        self.journal = Journal(self.device.device, pack=self.pack.sha256)
        self.send(self.device, self.journal.write(), self.journal.write("StepDone", {"step": "open"}))

    def send(self, device: Device, *events: object) -> None:
        receive_events(self.ports, device, list(events), 0)

    def note(self) -> None:
        self.send(self.device, self.journal.write())

    def malformed(self) -> None:
        self.send(self.device, self.journal.write("StepDone", {}))

    def contested(self) -> None:
        event = self.journal.write()
        self.send(self.device, event)
        self.send(self.device, event | {"body": {"step": None, "text": "other"}})

    def photo(self, content: bytes | None = None) -> None:
        sent = content or a_photo()
        name = hashlib.sha256(sent).hexdigest()
        place = begin_upload(self.ports, self.device, name, "image/jpeg", self.journal.job, len(sent))
        add_piece(self.ports, self.device, place.id, 0, sent, None)

    def bad_photo(self) -> None:
        self.photo(b"no picture")

    def newer_revision(self) -> None:
        publish_packs(self.ports, DEALER, Order([a_pack(revision=2)], "anna"))

    def other_label(self) -> None:
        code, _ = make_code(self.ports, DEALER, "Her new name", "anna")
        enrol(self.ports, code, self.device.device, "", "192.0.2.1")

    def second_phone(self) -> None:
        other = with_device(self.ports)
        second = Journal(other.device, job=self.journal.job, pack=self.pack.sha256)
        self.send(other, second.write("StepDone", {"step": "close"}))

    def other_job(self) -> None:
        other = with_device(self.ports)
        self.send(other, Journal(other.device, pack=self.pack.sha256).write())


HAPPENINGS: list[Callable[[Scene], None]] = [
    Scene.note, Scene.malformed, Scene.contested, Scene.bad_photo, Scene.newer_revision, Scene.other_label,
    Scene.second_phone, Scene.other_job]


@pytest.mark.parametrize("happen", HAPPENINGS)
def test_what_happened_shows_in_the_list_with_kept_rows(happen: Callable[[Scene], None]) -> None:
    scene, kept = Scene(), KeptRows()
    before = job_list(scene.ports, kept, DEALER)
    happen(scene)
    after = job_list(scene.ports, kept, DEALER)
    assert after == job_list(scene.ports, KeptRows(), DEALER)
    assert after != before, "nothing happened that the list shows"


def test_a_row_is_not_folded_again_while_nothing_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    scene, kept = Scene(), KeptRows()
    first = job_list(scene.ports, kept, DEALER)
    monkeypatch.setattr("benchtrail.services.job_list.gather_job", lambda *_: pytest.fail("folded again"))
    assert job_list(scene.ports, kept, DEALER) == first


def test_a_pack_that_comes_later_is_found() -> None:
    scene, kept = Scene(), KeptRows()
    other = a_pack("later")
    scene.journal.pack = sha256_of(other)
    device = with_device(scene.ports)
    scene.send(device, Journal(device.device, pack=scene.journal.pack).write())
    assert {row["attention"] for row in job_list(scene.ports, kept, DEALER)} == {0, 1}
    publish_packs(scene.ports, DEALER, Order([other], "anna"))
    assert {row["attention"] for row in job_list(scene.ports, kept, DEALER)} == {0}


def many(scene: Scene, count: int) -> None:
    """More jobs of the same phone."""
    for number in range(count):
        scene.journal.job = f"{number:08x}-0000-4000-8000-000000000000"
        scene.send(scene.device, scene.journal.write(), scene.journal.write("StepDone", {"step": "open"}))


def test_another_start_of_the_server_reads_what_was_folded(monkeypatch: pytest.MonkeyPatch) -> None:
    scene = Scene()
    many(scene, 12)
    before = job_list(scene.ports, KeptRows(), DEALER)
    folded: list[str] = []
    real = job_list_module.gather_job
    monkeypatch.setattr(job_list_module, "gather_job", lambda *given: (folded.append(given[3]), real(*given))[1])
    assert job_list(scene.ports, KeptRows(), DEALER) == before
    assert folded == []
    scene.note()
    changed = job_list(scene.ports, KeptRows(), DEALER)
    assert len(folded) == 1
    assert changed != before


def test_a_summary_made_by_other_code_is_not_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    scene = Scene()
    many(scene, 12)
    before = job_list(scene.ports, KeptRows(), DEALER)
    monkeypatch.setattr(job_list_module, "made_with", lambda: "other code")
    folded: list[str] = []
    real = job_list_module.gather_job
    monkeypatch.setattr(job_list_module, "gather_job", lambda *given: (folded.append(given[3]), real(*given))[1])
    assert job_list(scene.ports, KeptRows(), DEALER) == before
    assert len(folded) == 13


def test_erasing_takes_the_summary_too() -> None:
    scene = Scene()
    many(scene, 12)
    job_list(scene.ports, KeptRows(), DEALER)
    with scene.ports.storage.writing() as unit:
        assert unit.job_summaries.get(DEALER, scene.journal.job)
        unit.events.erase(DEALER, scene.journal.job, {}, scene.ports.clock.now())
        assert unit.job_summaries.get(DEALER, scene.journal.job) is None


def test_what_may_hurt_someone_stands_first() -> None:
    quiet = dict.fromkeys(REASONS, 0) | {"last_at": None}
    rows = [quiet | {"job": "nothing"}, quiet | {"job": "note", "superseded": 1},
            quiet | {"job": "brake", "skipped_safety": 1, "skipped": 1},
            quiet | {"job": "two", "outside": 2}, quiet | {"job": "one", "outside": 1, "attention": 9}]
    assert [row["job"] for row in by_need(rows)] == ["two", "one", "brake", "note", "nothing"]
    assert by_need(rows)[2]["needs"] == ["skipped_safety", "skipped"]
