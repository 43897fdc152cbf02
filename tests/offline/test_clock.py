"""A phone whose clock is ten years wrong, in real Chromium: ages are never called fresh, and what is written is whole and arrives."""

from __future__ import annotations

import datetime
import json

import pytest
from tests.offline.phone import Phone
from tests.offline.test_store import NOTE, START_JOB, enrol, with_procedure
from tests.offline.workshop import Workshop

from benchtrail.domain.event_problems import event_problems

pytestmark = pytest.mark.browser
TEN_YEARS = datetime.timedelta(days=3653)


def set_clock(phone: Phone, workshop: Workshop, by: datetime.timedelta) -> None:
    """Sets the page's clock, as a person or an empty battery does, and opens the app again without the server."""
    phone.page.clock.set_fixed_time(datetime.datetime.now(datetime.UTC) + by)
    phone.open(workshop.address)


@pytest.mark.parametrize(("by", "ages"), [(-TEN_YEARS, {"unknown"}), (TEN_YEARS, {"old", "unknown"})], ids=["back", "ahead"])
def test_with_a_clock_ten_years_wrong_the_age_is_never_fresh_and_notes_are_sound_and_arrive(
    phone: Phone, workshop: Workshop, by: datetime.timedelta, ages: set[str]
) -> None:
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    phone.worker_ready()
    enrol(phone, workshop)
    phone.until("bench.outbox.value.notes === 0")
    first = phone.bench(NOTE, [job, "before"])
    phone.until("bench.outbox.value.notes === 0")
    assert phone.bench("bench.library.value.age") == "fresh"
    workshop.kill()
    set_clock(phone, workshop, by)
    assert phone.bench("bench.library.value.age") in ages
    if by < datetime.timedelta(0):
        assert phone.bench("bench.library.value.ageDays ?? null") is None
    wrong = [phone.bench(NOTE, [job, f"wrong {n}"]) for n in range(3)]
    set_clock(phone, workshop, datetime.timedelta(0))
    right = phone.bench(NOTE, [job, "clock right again"])
    events = phone.bench("bench.journalOf(a).value", job)
    assert {event["id"] for event in events} >= {first, *wrong, right}
    assert [problem for event in events for problem in event_problems(event)] == []
    assert [event["seq"] for event in sorted(events, key=lambda event: event["hlc"])] == [1, 2, 3, 4, 5, 6], "own entries keep their order"
    workshop.start()
    phone.bench("bench.syncSoon('button')")
    phone.until("bench.outbox.value.notes === 0", seconds=40)
    received = [json.loads(one.text)["body"].get("text") for one in workshop.events(job)]
    assert received == [None, "before", "wrong 0", "wrong 1", "wrong 2", "clock right again"]
    assert phone.bench("bench.outbox.value.attention") == []


def test_of_a_newer_revision_a_phone_with_a_clock_ten_years_back_still_hears(phone: Phone, workshop: Workshop) -> None:
    with_procedure(phone, workshop)
    phone.page.clock.set_fixed_time(datetime.datetime.now(datetime.UTC) - TEN_YEARS)
    phone.open(workshop.address)
    assert phone.bench("bench.library.value.age") == "unknown"
    second = workshop.publish(2, "12 N·m")
    phone.bench("await bench.refreshLibrary()")
    assert phone.bench("bench.library.value.entries.map((entry) => entry.sha256)") == [second]
    assert phone.bench("[bench.library.value.age, bench.library.value.ageDays]") == ["fresh", 0], "measured by the server's clock"
    phone.page.clock.set_fixed_time(datetime.datetime.now(datetime.UTC) - 2 * TEN_YEARS)
    phone.open(workshop.address)
    assert phone.bench("bench.library.value.age") == "unknown", "set back once more"
