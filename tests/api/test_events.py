"""Journals over HTTP: the batch, its results, reading back, and what a batch may not be."""

import json
from typing import Any

import pytest
from tests.api.conftest import WRITE, Asker
from tests.making import Journal, sha256_of

JSON = WRITE | {"Content-Type": "application/json"}


def push(phone: Asker, events: list[Any], waiting: int = 0) -> Any:
    answer = phone.post("/api/v1/events", {"events": events, "waiting": waiting})
    assert answer.status_code == 200, answer.text
    return answer.get_json()


def test_a_batch_gets_a_receipt_for_each_event(phone: Asker) -> None:
    journal = Journal(phone.device)
    events = [journal.write() for _ in range(100)]
    body = push(phone, events)
    assert body["high"] == 100
    assert [one["sha256"] for one in body["results"]] == [sha256_of(event) for event in events]
    assert body["results"][0] == {
        "id": events[0]["id"], "status": "stored", "sha256": sha256_of(events[0]),
        "received_at": "2026-11-25T09:00:00.000Z", "reason": None,
    }


def test_bodies_are_kept_whole_whatever_a_newer_phone_puts_into_them(phone: Asker) -> None:
    body = {"step": "a", "check": "slack", "value": 0.1, "unit": "mm", "as_typed": "0,1 mm", "verdict": "within"}
    event = Journal(phone.device).write("ReadingTaken", body | {"new": {"deep": [1, None, "é"]}})
    push(phone, [event])
    assert phone.get("/api/v1/events").get_json()["events"] == [event]


def test_a_batch_with_poison_in_it_stores_the_rest(phone: Asker) -> None:
    journal = Journal(phone.device)
    good = [journal.write(), journal.write()]
    results = push(phone, [good[0], {"id": 5}, good[1]])["results"]
    assert [one["status"] for one in results] == ["stored", "quarantined", "stored"]
    assert results[1]["reason"] == "event_malformed"


@pytest.mark.parametrize("text", [
    '{"events": [], "waiting": 0', '{"events": [NaN], "waiting": 0}', '{"events": [], "waiting": Infinity}',
    '{"events": [{"id": 1, "id": 2}], "waiting": 0}', "[" * 100_000,
])
def test_a_batch_that_is_not_json_is_refused_whole(phone: Asker, text: str) -> None:
    answer = phone.client.post("/api/v1/events", data=text, headers=JSON)
    assert (answer.status_code, answer.get_json()["code"]) == (400, "json_unreadable")


@pytest.mark.parametrize("body", [
    [], {}, {"events": "x"}, {"events": [{}] * 101}, {"events": [], "waiting": -1}, {"events": [], "waiting": 1.5},
    {"events": [], "surprise": 1},
])
def test_a_batch_of_another_form_is_refused_with_its_fields(phone: Asker, body: object) -> None:
    answer = phone.post("/api/v1/events", body)
    assert (answer.status_code, answer.get_json()["code"]) == (400, "input_not_as_described")
    assert answer.get_json()["fields"]


def test_a_stranger_and_a_phone_that_was_shut_out_send_nothing(stranger: Asker, phone: Asker, author: Asker) -> None:
    answer = stranger.post("/api/v1/events", {"events": [], "waiting": 0})
    assert (answer.status_code, answer.get_json()["code"]) == (401, "not_enrolled")
    assert author.delete(f"/api/v1/desk/devices/{phone.device}").status_code == 200
    answer = phone.post("/api/v1/events", {"events": [], "waiting": 0})
    assert (answer.status_code, answer.get_json()["code"]) == (401, "device_shut_out")


def test_reading_goes_on_from_the_cursor(phone: Asker) -> None:
    journal = Journal(phone.device)
    first, second = journal.write(), journal.write()
    push(phone, [first])
    page = phone.get("/api/v1/events").get_json()
    push(phone, [second])
    following = phone.get(f"/api/v1/events?after={page['cursor']}").get_json()
    assert (page["events"], following["events"]) == ([first], [second])
    assert following["epoch"] == page["epoch"]
    assert following["more"] is False


def test_a_cursor_of_another_time_is_out_of_date(phone: Asker) -> None:
    answer = phone.get("/api/v1/events?after=0123456789abcdef.5.5")
    assert (answer.status_code, answer.get_json()["code"]) == (409, "cursor_out_of_date")


def test_the_digest_of_a_job_and_of_none(phone: Asker) -> None:
    event = Journal(phone.device).write()
    push(phone, [event])
    assert phone.get(f"/api/v1/jobs/{event['job']}/digest").get_json()["count"] == 1
    answer = phone.get("/api/v1/jobs/0198/digest")
    assert (answer.status_code, answer.get_json()["code"]) == (404, "no_such_job")


def test_json_numbers_keep_one_hash_however_they_were_written(phone: Asker) -> None:
    event = Journal(phone.device).write(body={"step": "a", "value": 5})
    text = json.dumps({"events": [event], "waiting": 0}).replace('"value": 5', '"value": 5.0e0')
    answer = phone.client.post("/api/v1/events", data=text, headers=JSON)
    assert answer.get_json()["results"][0]["sha256"] == sha256_of(event)
