"""How long jobs are kept, over HTTP: what goes is told before it goes, and an erased job is never called open."""

from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from tests.api.conftest import Asker, enrolled, sign_in
from tests.making import Journal, SetClock

from benchtrail.clock import as_text

DAYS = "/api/v1/desk/retention"


@pytest.fixture
def owner(app: Flask) -> Asker:
    return sign_in(app, "olive")


def send_job(app: Flask, close: bool = True) -> str:
    """A job that a phone sent, closed or open; its id."""
    phone = enrolled(app)
    journal = Journal(phone.device)
    events = [journal.write(body={"step": None, "text": "Where I live."})]
    events += [journal.write("JobClosed", {"outcome": "finished", "words": ""})] if close else []
    answer = phone.post("/api/v1/events", {"events": events, "waiting": 0})
    assert {one["status"] for one in answer.get_json()["results"]} == {"stored"}
    return journal.job


def put(owner: Asker, days: Any, jobs_now: Any) -> tuple[int, dict[str, Any]]:
    answer = owner.client.patch(DAYS, json={"days": days, "jobs_now": jobs_now}, headers={"X-Benchtrail": "1"})
    return answer.status_code, answer.get_json()


def listed(owner: Asker, query: str = "") -> dict[str, str | None]:
    return {row["job"]: row["erased"] for row in owner.get(f"/api/v1/desk/jobs{query}").get_json()["jobs"]}


def test_what_would_go_is_told_and_only_that_goes(app: Flask, owner: Asker, clock: SetClock) -> None:
    assert owner.get(DAYS).get_json() == {"days": None, "now": [], "next": None, "later": 0}
    old, begun = send_job(app), clock.at
    clock.move(days=40)
    owner = sign_in(app, "olive")
    fresh, still_open = send_job(app), send_job(app, close=False)
    told = owner.get(f"{DAYS}?days=30").get_json()
    assert [(one["job"], one["erased_at"]) for one in told["now"]] == [(old, as_text(begun + timedelta(days=30)))]
    assert (told["next"]["job"], told["later"]) == (fresh, 1)
    assert set(listed(owner).values()) == {None}, "looking changes nothing"
    status, refused = put(owner, 30, 0)
    assert (status, refused["code"], refused["values"]) == (409, "retention_other", {"told": 0, "found": 1})
    assert set(listed(owner).values()) == {None}, "told another number: nothing goes"
    status, kept = put(owner, 30, 1)
    assert (status, kept["days"], kept["now"], kept["next"]["job"]) == (200, 30, [], fresh)
    assert listed(owner) == {old: "all", fresh: None, still_open: None}
    assert listed(owner, "?open=true") == {still_open: None}, "an erased job is not an open one"
    assert owner.get(DAYS).get_json() == kept
    act = owner.get("/api/v1/desk/audit").get_json()["lines"]
    assert [(line["act"], line["subject"]) for line in act[:2]] == [("job_erased", old), ("retention_set", "30 days")]
    assert put(owner, None, 0)[1] == {"days": None, "now": [], "next": None, "later": 0}


@pytest.mark.parametrize(("days", "now"), [(0, 0), (36501, 0), (-1, 0), ("30", 0), (1.5, 0), (30, None), (30, -1)])
def test_days_that_are_none_are_refused_and_change_nothing(owner: Asker, days: object, now: object) -> None:
    status, refused = put(owner, days, now)
    assert (status, refused["code"]) in ((400, "input_not_as_described"), (400, "retention_range"))
    assert owner.get(DAYS).get_json()["days"] is None


@pytest.mark.parametrize("name", ["anna", "rob", "ben"])
def test_only_an_owner_sees_or_sets_it(app: Flask, name: str) -> None:
    asker = sign_in(app, name)
    assert asker.get(DAYS).status_code == 403
    assert put(asker, 30, 0)[0] == 403


def test_a_job_of_which_one_phone_erased_its_own_is_said_to_be_partly_erased(app: Flask, owner: Asker) -> None:
    first, second = enrolled(app), enrolled(app)
    journal = Journal(first.device)
    other = Journal(second.device, job=journal.job)
    for phone, one in ((first, journal), (second, other)):
        phone.post("/api/v1/events", {"events": [one.write(body={"step": None, "text": "words"})], "waiting": 0})
    assert first.delete(f"/api/v1/jobs/{journal.job}").status_code == 200
    assert listed(owner) == {journal.job: "some"}
