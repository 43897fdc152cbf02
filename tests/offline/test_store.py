"""The phone's storage in real Chromium: what was called saved survives a kill, and goes out when the server is back."""

from __future__ import annotations

import json

import pytest
from tests.offline.phone import Phone
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser

START_JOB = "await bench.startJob(null, a, null)"
NOTE = "(await bench.record(a[0], 'NoteWritten', {step: null, text: a[1]})).id"


def with_procedure(phone: Phone, workshop: Workshop) -> str:
    """A phone that has seen the library and keeps the procedures for anywhere; the pack's hash."""
    sha256 = workshop.publish()
    phone.open(workshop.address)
    phone.bench("await bench.refreshLibrary()")
    phone.bench("await bench.keepOnPhone(null)")
    return sha256


def enrol(phone: Phone, workshop: Workshop) -> None:
    phone.bench("await bench.enrol(a, 'Test phone')", workshop.code())


def test_notes_called_saved_survive_a_killed_browser(phone: Phone, workshop: Workshop) -> None:
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    saved = [phone.bench(NOTE, [job, f"note {n}"]) for n in range(20)]
    phone.kill()
    phone.switch_on()
    phone.open(workshop.address)
    events = phone.bench("bench.journalOf(a).value", job)
    assert [event["id"] for event in events][1:] == saved
    assert [event["seq"] for event in events] == list(range(1, 22))
    assert {phone.bench("bench.itemState(a)", one) for one in saved} == {"saved"}


def test_notes_written_with_the_server_dead_arrive_when_it_is_back(phone: Phone, workshop: Workshop) -> None:
    sha256 = with_procedure(phone, workshop)
    enrol(phone, workshop)
    workshop.kill()
    job = phone.bench(START_JOB, sha256)
    saved = [phone.bench(NOTE, [job, f"note {n}"]) for n in range(3)]
    assert phone.bench("bench.outbox.value.notes") == 4
    workshop.start()
    phone.bench("bench.syncSoon('online')")
    phone.until("bench.outbox.value.notes === 0")
    received = workshop.events(job)
    assert [event.id for event in received][1:] == saved
    assert [json.loads(event.text)["body"].get("text") for event in received][1:] == ["note 0", "note 1", "note 2"]
    assert phone.bench("bench.itemState(a)", saved[0]) == "received"
    assert phone.bench("bench.itemReceivedAt(a)", saved[0])
    assert phone.bench("bench.outbox.value.attention") == []


def test_a_phone_that_has_not_joined_keeps_its_notes_and_sends_them_after_joining(
    phone: Phone, workshop: Workshop
) -> None:
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    phone.bench("bench.syncSoon('button')")
    phone.until("bench.connection.value === 'reached'")
    assert workshop.events(job) == []
    enrol(phone, workshop)
    phone.until("bench.outbox.value.notes === 0")
    assert len(workshop.events(job)) == 1


def test_a_wrong_code_says_what_to_do_and_changes_nothing(phone: Phone, workshop: Workshop) -> None:
    with_procedure(phone, workshop)
    said = phone.bench("await bench.enrol('AAAAAAAA', 'x').then(() => null, (e) => e.shown)")
    assert said["code"] == "code_unknown"
    assert said["do"]
    assert phone.bench("bench.enrolment.value") is None


def test_a_phone_that_was_shut_out_keeps_everything_and_says_so(phone: Phone, workshop: Workshop) -> None:
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    enrol(phone, workshop)
    phone.until("bench.outbox.value.notes === 0")
    workshop.revoke_all()
    phone.bench(NOTE, [job, "after"])
    phone.until("bench.enrolment.value.revoked")
    phone.until("bench.outbox.value.attention.some((one) => one.message.code === 'device_revoked')")
    assert phone.bench("bench.outbox.value.notes") == 1
    enrol(phone, workshop)
    phone.until("bench.outbox.value.notes === 0")
    assert phone.bench("bench.outbox.value.attention") == []
    assert len(workshop.events(job)) == 2


def test_two_tabs_show_the_same_and_number_their_notes_without_gaps(phone: Phone, workshop: Workshop) -> None:
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    other = phone.open(workshop.address, phone.context.new_page())
    for n in range(5):
        phone.bench(NOTE, [job, f"first tab {n}"])
        phone.bench(NOTE, [job, f"second tab {n}"], other)
    for page in (phone.page, other):
        phone.until("bench.journalOf(a).value.length === 11", job, page)
    events = phone.bench("bench.journalOf(a).value", job)
    assert sorted(event["seq"] for event in events) == list(range(1, 12))
    enrol(phone, workshop)
    phone.until("bench.outbox.value.notes === 0", page=other)
    assert len(workshop.events(job)) == 11


def test_a_draft_is_there_after_the_browser_was_killed(phone: Phone, workshop: Workshop) -> None:
    phone.open(workshop.address)
    phone.bench("bench.writeDraft('note', 'half a sent')")
    phone.bench("await bench.flushDrafts()")
    phone.kill()
    phone.switch_on()
    phone.open(workshop.address)
    assert phone.bench("await bench.readDraft('note')") == "half a sent"


def test_a_machine_is_kept_and_checked(phone: Phone, workshop: Workshop) -> None:
    phone.open(workshop.address)
    facts = {
        "name": " Blue one ",
        "model": "hobmoor-fell-250",
        "modelName": "Hobmoor Fell 250",
        "year": 2023,
        "options": ["skid_plate", "kick_start"],
        "hours": 120.5,
        "serial": "",
    }
    machine = phone.bench("await bench.addMachine(a)", facts)
    assert (machine["name"], machine["options"], machine["serial"]) == ("Blue one", ["kick_start", "skid_plate"], None)
    refused = phone.bench("await bench.addMachine(a).then(() => null, (e) => e.shown.code)", {**facts, "hours": -1})
    assert refused == "hours_range"
    phone.switch_off()
    phone.switch_on()
    phone.open(workshop.address)
    assert phone.bench("bench.machines.value") == [machine]


def test_a_whole_job_comes_out_as_one_file_with_the_server_dead(phone: Phone, workshop: Workshop) -> None:
    sha256 = with_procedure(phone, workshop)
    workshop.kill()
    job = phone.bench(START_JOB, sha256)
    phone.bench(NOTE, [job, "exported"])
    file = json.loads(phone.bench("await (await bench.exportJob(a)).text()", job))
    assert file["format"] == "benchtrail.job/1"
    assert [event["kind"] for event in file["events"]] == ["JobStarted", "NoteWritten"]
    assert file["pack"]["procedure"] == "mend-a-puncture"
    assert file["digest"]["count"] == 2


def test_when_the_quota_is_used_up_notes_are_saved_and_photos_refused(phone: Phone, workshop: Workshop) -> None:
    # Before the page opens its database: the browser reckons with what was left when it was opened (offline.md 2.2).
    session = phone.context.new_cdp_session(phone.page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": workshop.address, "quotaSize": 10_000_000})
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    phone.until("bench.storage.value.reserve === 'held'")
    assert phone.page.evaluate("fillUp", job) == {
        "told": ["saved"],
        "photos": "storage_full_photo",
        "reserve": "spent",
        "problem": "storage_reserve_spent",
    }
