"""Answering a note at the desk over HTTP, and what the phone then reads."""

import uuid
from typing import Any

import pytest
from tests.api.conftest import Asker
from tests.making import Journal


@pytest.fixture
def journal(phone: Asker) -> Journal:
    made = Journal(phone.device)
    note = made.write(body={"step": "open", "text": "Is this right?"}, id="0190a000-0000-4000-8000-0000000000f1")
    assert phone.post("/api/v1/events", {"events": [note], "waiting": 0}).status_code == 200
    return made


NOTE = "0190a000-0000-4000-8000-0000000000f1"


def answer(asker: Asker, job: str, **body: Any) -> Any:
    return asker.post(f"/api/v1/desk/jobs/{job}/replies", {"text": "Yes.", **body})


def test_a_reader_answers_and_the_phone_reads_it_and_says_so(reader: Asker, phone: Asker, journal: Journal) -> None:
    assert reader.get("/api/v1/desk/jobs").get_json()["jobs"][0]["needs"][0] == "asked"
    made = answer(reader, journal.job, to=NOTE)
    assert made.status_code == 201, made.text
    [row] = made.get_json()["loose_replies"]
    assert (row["to"], row["step"], row["text"], row["by"], row["seen"]) == (NOTE, "open", "Yes.", "ben", None)
    listed = reader.get("/api/v1/desk/jobs").get_json()["jobs"][0]
    assert (listed["asked"], listed["replies_unread"], listed["device"]) == (0, 1, "Mrs Ashdown")
    assert [one["label"] for one in reader.get("/api/v1/desk/devices").get_json()["devices"]] == ["Mrs Ashdown"]
    got = phone.get("/api/v1/events").get_json()["events"]
    assert [event["kind"] for event in got] == ["NoteWritten", "ReplyWritten"]
    seen = journal.write("ReplySeen", {"reply": got[1]["id"]})
    phone.post("/api/v1/events", {"events": [seen], "waiting": 0})
    whole = reader.get(f"/api/v1/desk/jobs/{journal.job}").get_json()
    assert whole["loose_replies"][0]["seen"] == {"device": "Mrs Ashdown", "wall": seen["wall"]}
    assert [line["device"] for line in whole["timeline"]] == ["Mrs Ashdown", "Desk", "Mrs Ashdown"]


def test_bad_answers_are_refused_in_three_parts_and_write_nothing(reader: Asker, phone: Asker, journal: Journal) -> None:
    cases: list[tuple[str, dict[str, Any], int, str]] = [
        (journal.job, {"text": " "}, 422, "reply_without_words"),
        (journal.job, {"text": "x" * 2001}, 422, "reply_too_long"),
        (journal.job, {"to": str(uuid.uuid4())}, 404, "no_such_entry_of_job"),
        (journal.job, {"to": ""}, 400, "input_not_as_described"),
        (str(uuid.uuid4()), {}, 404, "no_such_job"),
    ]
    for job, body, status, code in cases:
        refused = answer(reader, job, **body)
        assert (refused.status_code, refused.get_json()["code"]) == (status, code), body
        assert all(refused.get_json()["message"].values())
    assert len(phone.get("/api/v1/events").get_json()["events"]) == 1


def test_a_stranger_and_a_phone_answer_nothing(stranger: Asker, phone: Asker, journal: Journal) -> None:
    assert answer(stranger, journal.job).status_code == 401
    assert answer(phone, journal.job).status_code == 401
