"""What came back, as the dealer sees it: the list, one job in full, photos, and what needs a person."""

import hashlib
import uuid
from dataclasses import dataclass
from typing import Any

import pytest
from flask import Flask
from tests.api.conftest import Asker, enrolled, sign_in
from tests.making import Journal, a_pack, a_photo, with_dealer

from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs

MACHINE = {"id": "m1", "name": "Red one", "model": "fell", "year": 2023, "options": ["kick_start"], "hours": 120.5,
           "serial": None}
START = {"machine": MACHINE, "procedure": "test-drain", "revision": 1, "title": "Look at it"}
READING = {"step": "measure", "check": "gap", "value": 0.9, "unit": "mm", "as_typed": "0,9 mm", "verdict": "outside"}


def model_pack() -> dict[str, Any]:
    """The small pack on a model with an option, a figure, limits, and a step that only later years have."""
    made = a_pack(model={"id": "fell", "name": "Fell 250", "years": [2021, 2026], "options": [
        {"id": "kick_start", "name": "kick starter", "group": None, "when": None}]})
    figure = {"kind": "length", "value": None, "low": None, "high": None, "unit": "mm", "tolerance": None,
              "condition": "cold", "revision": "2024-03", "safety": "normal", "when": None}
    made["figures"] = {
        "plug_torque": figure | {"id": "plug_torque", "kind": "torque", "value": 12, "unit": "N·m", "condition": "dry",
                                 "as_published": "12 N·m", "tolerance": "± 2 N·m", "source": "Sheet 4 (invented)"},
        "gap_most": figure | {"id": "gap_most", "value": 0.8, "as_published": "0.8 mm", "source": "Sheet 5 (invented)"},
    }
    made["joints"]["plug"]["figure"] = "plug_torque"
    made["checks"] = {"gap": {"name": "gap", "kind": "measure", "figure": "gap_most", "when": None}}
    measure = made["steps"][0] | {
        "id": "measure", "do": [{"verb": "measure", "object": "gap"}], "say": "Measure the gap.",
        "limits": {"check": "gap", "kind": "length", "unit": "mm", "low": None, "high": "gap_most", "pass": "Use it.",
                   "fail": "Renew it.", "fail_needs": "renew"}}
    later = made["steps"][0] | {"id": "later", "when": ["year", ">=", 2024], "do": [{"verb": "note", "object": ""}]}
    made["steps"] = [made["steps"][0], measure, later, made["steps"][1]]
    return made


@dataclass
class SentJob:
    journal: Journal
    photo: str
    retracted_note: str


@pytest.fixture
def pack(app: Flask, ports: Ports) -> str:
    with app.app_context():
        return publish_packs(ports, "withen-bridge", Order([model_pack()], "anna"))[0].sha256


@pytest.fixture
def sent(phone: Asker, pack: str) -> SentJob:
    """A job done but for the last step, with a reading outside, a skipped step's reason, notes and a photo."""
    journal = Journal(phone.device, pack=pack)
    picture = a_photo()
    photo = {"step": "open", "sha256": hashlib.sha256(picture).hexdigest(), "mime": "image/jpeg", "bytes": len(picture),
             "width": 64, "height": 48, "caption": "The plug"}
    bad_note = journal.write(body={"step": None, "text": "a slip of the thumb"})
    events = [
        bad_note,
        journal.write("JobStarted", START),
        journal.write("StepDone", {"step": "open"}),
        journal.write("TimerRun", {"step": "open", "seconds": 90}),
        journal.write("ReadingTaken", READING),
        journal.write("StepSkipped", {"step": "measure", "reason": "gauge broken"}),
        journal.write(body={"step": "open", "text": "Came off hard"}),
        journal.write(body={"step": None, "text": "Rode fine before"}),
        journal.write("PhotoTaken", photo),
        journal.write("Retracted", {"event": bad_note["id"]}),
    ]
    assert phone.post("/api/v1/events", {"events": events, "waiting": 1}).status_code == 200
    phone.send_photo(picture, journal.job)
    return SentJob(journal, photo["sha256"], bad_note["id"])


def test_the_list_counts_what_came_back(reader: Asker, sent: SentJob) -> None:
    (row,) = reader.get("/api/v1/desk/jobs").get_json()["jobs"]
    assert row == {
        "job": sent.journal.job, "machine": MACHINE, "variant": "2023, kick starter", "procedure": "test-drain",
        "title": "Look at it", "revision": 1, "superseded": False, "device": "Mrs Ashdown",
        "started_at": "2026-11-25T09:00:30+00:00", "last_at": "2026-11-25T09:00:00.000Z", "done": 1, "total": 3,
        "outside": 1, "skipped": 1, "notes": 2, "asked": 0, "replies_unread": 0, "photos": 1, "attention": 0, "superseded_used": 0,
        "skipped_safety": 0, "unplaced_readings": 0, "needs": ["outside", "skipped"],
        "unanswered": 0, "closed": None, "erased": None,
    }


def test_one_job_shows_everything_at_its_step(reader: Asker, sent: SentJob) -> None:
    job = reader.get(f"/api/v1/desk/jobs/{sent.journal.job}").get_json()
    first, measured, last = job["steps"]
    assert [step["id"] for step in job["steps"]] == ["open", "measure", "close"], "the step of later years is not shown"
    assert (first["state"], first["seconds"], first["number"]) == ("done", 90, 1)
    assert [(note["text"], note["device"]) for note in first["notes"]] == [("Came off hard", "Mrs Ashdown")]
    (photo,) = first["photos"]
    assert (photo["sha256"], photo["received"], photo["caption"]) == (sent.photo, True, "The plug")
    assert (measured["state"], measured["reason"]) == ("skipped", "gauge broken")
    (reading,) = measured["readings"]
    shown = [reading[name] for name in ("name", "as_typed", "verdict", "low", "high")]
    assert shown == ["gap", "0,9 mm", "outside", None, "0.8 mm"]
    assert (last["state"], last["figures"]) == ("open", ["12 N·m ± 2 N·m, dry (Sheet 4 (invented), 2024-03)"])
    assert [note["text"] for note in job["loose_notes"]] == ["Rode fine before"], "a retracted note does not count"
    assert len(job["timeline"]) == 10, "but it is still to be seen in the timeline"


def test_a_reading_without_limits_at_its_step_is_held_against_the_range_of_its_check(
    app: Flask, ports: Ports, phone: Asker, reader: Asker
) -> None:
    ranged = model_pack()
    ranged["figures"]["gap_most"] |= {"low": 0.1, "high": 0.8, "as_published": "0.1 to 0.8 mm"}
    ranged["steps"][1] |= {"limits": None}
    with app.app_context():
        (made,) = publish_packs(ports, "withen-bridge", Order([ranged], "anna"))
    journal = Journal(phone.device, pack=made.sha256)
    phone.post("/api/v1/events", {"events": [journal.write("ReadingTaken", READING)], "waiting": 0})
    job = reader.get(f"/api/v1/desk/jobs/{journal.job}").get_json()
    (reading,) = job["steps"][1]["readings"]
    assert (reading["low"], reading["high"]) == ("0.1 mm", "0.8 mm")


def test_what_is_not_final_is_said_in_words_with_its_reason(phone: Asker, reader: Asker, sent: SentJob) -> None:
    path = f"/api/v1/desk/jobs/{sent.journal.job}"
    (item,) = reader.get(path).get_json()["end_items"]
    assert (item["code"], item["words"], item["accepted"]) == ("joint_not_made", "plug: undone, not made again.", None)
    accepted = {"code": "joint_not_made", "object": "plug", "reason": "ring missing"}
    events = [sent.journal.write("EndItemAccepted", accepted),
              sent.journal.write("JobClosed", {"outcome": "handed_over", "words": "Over to you"})]
    phone.post("/api/v1/events", {"events": events, "waiting": 0})
    job = reader.get(path).get_json()
    assert [item["accepted"] for item in job["end_items"]] == ["ring missing"]
    assert (job["closed"]["outcome"], job["outcome_words"]) == ("handed_over", "Over to you")


def test_a_photo_is_shown_byte_for_byte_and_only_to_the_dealer(
    app: Flask, ports: Ports, reader: Asker, stranger: Asker, phone: Asker, sent: SentJob
) -> None:
    path = f"/api/v1/desk/photos/{sent.photo}"
    answer = reader.get(path)
    assert hashlib.sha256(answer.data).hexdigest() == sent.photo
    assert answer.mimetype == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    for other in (stranger, phone):
        assert other.get(path).status_code == 401
    with app.app_context():
        with_dealer(ports, "other")
    theirs = sign_in(app, "anna-other")
    assert theirs.get(path).status_code == 404
    assert theirs.get(f"/api/v1/desk/jobs/{sent.journal.job}").status_code == 404
    assert theirs.get("/api/v1/desk/jobs").get_json() == {"jobs": [], "total": 0, "asking": 0}


def test_what_cannot_count_is_shown_and_blocks_nothing(phone: Asker, reader: Asker, sent: SentJob) -> None:
    twin = sent.journal.write(body={"step": None, "text": "first"})
    other = twin | {"id": str(uuid.uuid4()), "body": {"step": None, "text": "second"}}
    malformed = sent.journal.write("StepDone", {"no": "step"})
    phone.post("/api/v1/events", {"events": [twin, other, malformed], "waiting": 0})
    name = phone.send_photo(b"<svg onload=alert(1)>", sent.journal.job)
    job = reader.get(f"/api/v1/desk/jobs/{sent.journal.job}").get_json()
    assert job["attention"] == 4
    assert sorted(item["reason"] for item in job["attention_items"]) == [
        "event_contested", "event_malformed", "event_number_reused", "photo_needs_person"]
    assert all("{" not in item["words"] for item in job["attention_items"])
    (malformed_item,) = [item for item in job["attention_items"] if item["reason"] == "event_malformed"]
    assert "body.step" in malformed_item["words"]
    answer = reader.get(f"/api/v1/desk/photos/{name}")
    assert (answer.status_code, answer.get_json()["code"]) == (409, "photo_needs_person")


def test_a_photo_that_is_still_on_the_phone_is_said_to_be_there(phone: Asker, reader: Asker, sent: SentJob) -> None:
    body = {"step": "close", "sha256": "9" * 64, "mime": "image/jpeg", "bytes": 9, "width": 1, "height": 1,
            "caption": "x"}
    phone.post("/api/v1/events", {"events": [sent.journal.write("PhotoTaken", body)], "waiting": 1})
    job = reader.get(f"/api/v1/desk/jobs/{sent.journal.job}").get_json()
    (photo,) = job["steps"][2]["photos"]
    assert (photo["received"], photo["state"]) == (False, "on_phone")


def test_a_job_on_a_pack_that_is_not_known_here_still_shows_its_notes(phone: Asker, reader: Asker) -> None:
    journal = Journal(phone.device)
    phone.post("/api/v1/events", {"events": [journal.write()], "waiting": 0})
    job = reader.get(f"/api/v1/desk/jobs/{journal.job}").get_json()
    assert [note["text"] for note in job["loose_notes"]] == ["Note 1"]
    assert [item["reason"] for item in job["attention_items"]] == ["job_pack_unknown"]
    assert (job["steps"], job["title"], job["variant"]) == ([], "", "for any machine")


def test_a_job_on_an_earlier_revision_is_marked(app: Flask, ports: Ports, reader: Asker, sent: SentJob) -> None:
    with app.app_context():
        publish_packs(ports, "withen-bridge", Order([model_pack() | {"revision": 2}], "anna"))
    (row,) = reader.get("/api/v1/desk/jobs").get_json()["jobs"]
    assert row["superseded"]


def test_two_phones_on_one_job_are_one_job(app: Flask, phone: Asker, reader: Asker, sent: SentJob) -> None:
    other = enrolled(app)
    second = Journal(other.device, job=sent.journal.job, pack=sent.journal.pack)
    other.post("/api/v1/events", {"events": [second.write("StepDone", {"step": "close"})], "waiting": 0})
    (row,) = reader.get("/api/v1/desk/jobs").get_json()["jobs"]
    assert (row["done"], row["device"]) == (2, "Mrs Ashdown")


@pytest.mark.parametrize("path", ["/jobs", "/jobs/x", "/photos/x", "/devices"])
def test_strangers_see_nothing_of_the_desk(stranger: Asker, path: str) -> None:
    assert stranger.get(f"/api/v1/desk{path}").status_code == 401


def test_a_job_that_is_not_there(reader: Asker) -> None:
    answer = reader.get(f"/api/v1/desk/jobs/{uuid.uuid4()}")
    assert (answer.status_code, answer.get_json()["code"]) == (404, "no_such_job")
