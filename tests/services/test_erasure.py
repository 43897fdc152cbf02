"""Erasing keeps the envelopes: nothing is sent again, digests agree, and nothing of what was written is left.

In memory, on SQLite and on PostgreSQL.
"""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.making import Journal, SetClock, a_photo, memory_ports, with_dealer, with_device
from tests.postgres import find_binaries, fresh_database, running_cluster
from tests.storage.conftest import open_sql

from benchtrail.config import database_url
from benchtrail.domain.refused import Refused
from benchtrail.services.desk_jobs import job_whole
from benchtrail.services.doctor import examine
from benchtrail.services.erasure import apply_retention, erase_job, erase_own, set_retention
from benchtrail.services.jobs import job_of
from benchtrail.services.photos import clean_photo
from benchtrail.services.ports import Ports
from benchtrail.services.pull_events import digest_of
from benchtrail.services.receive_events import receive_events
from benchtrail.services.records import Device
from benchtrail.services.uploads import add_piece, begin_upload, receipt_of

DEALER = "withen-bridge"
SECRET_WORDS = "My address is 7 Mill Lane."
PHOTO = a_photo()
PHOTO_NAME = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture(params=["memory", "sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def ports(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Ports]:
    made = memory_ports(SetClock())
    if request.param == "memory":
        with_dealer(made)
        yield made
    elif request.param == "sqlite":
        with open_sql(f"sqlite:///{tmp_path}/test.db") as storage:
            yield on(made, storage)
    else:
        binaries = find_binaries()
        if binaries is None:
            pytest.skip("no PostgreSQL server here: install Debian's package postgresql to run these")
        with running_cluster(binaries) as url, fresh_database(url) as one, open_sql(database_url(one)) as storage:
            yield on(made, storage)


def on(ports: Ports, storage: Any) -> Ports:
    found = replace(ports, storage=storage)
    ports.photo_queue.work = lambda dealer, sha256: None  # type: ignore[attr-defined]
    with_dealer(found)
    return found


def clock(ports: Ports) -> SetClock:
    assert isinstance(ports.clock, SetClock)
    return ports.clock


def a_job(ports: Ports, close: bool = True) -> tuple[Device, Journal, list[dict[str, Any]]]:
    """A job with a note and a photo, sent."""
    device = with_device(ports)
    journal = Journal(device.device)
    facts = {"step": None, "sha256": PHOTO_NAME, "mime": "image/jpeg", "bytes": len(PHOTO), "width": 64, "height": 48, "caption": ""}
    events = [journal.write(body={"step": None, "text": SECRET_WORDS}), journal.write("PhotoTaken", facts)]
    events += [journal.write("JobClosed", {"outcome": "finished", "words": SECRET_WORDS})] if close else []
    receive_events(ports, device, [*events, {"job": journal.job, "text": SECRET_WORDS}], 0)
    place = begin_upload(ports, device, PHOTO_NAME, "image/jpeg", journal.job, len(PHOTO))
    add_piece(ports, device, place.id, 0, PHOTO, None)
    return device, journal, events


def everything_kept(ports: Ports) -> str:
    with ports.storage.reading() as unit:
        kept = [*unit.events.all(DEALER), *unit.events.quarantined(DEALER)]
        return json.dumps([vars(one) for one in kept], default=str)


def test_what_a_phone_sent_is_gone_and_its_digest_still_agrees(ports: Ports) -> None:
    device, journal, events = a_job(ports)
    before = digest_of(ports, device, journal.job)
    assert SECRET_WORDS in everything_kept(ports)
    erased = erase_own(ports, device, journal.job)
    assert (erased.events, erased.photos, erased.others) == (3, 1, 0)
    assert SECRET_WORDS not in everything_kept(ports)
    assert digest_of(ports, device, journal.job) == before
    assert list(ports.files.names(DEALER, "photos")) == list(ports.files.names(DEALER, "quarantine")) == []
    results, _ = receive_events(ports, device, events, 0)
    assert {one.status for one in results} == {"duplicate"}, "nothing is taken in a second time"
    assert receipt_of(ports, device, PHOTO_NAME).state == "erased"
    assert begin_upload(ports, device, PHOTO_NAME, "image/jpeg", journal.job, len(PHOTO)).offset == len(PHOTO)
    with pytest.raises(Refused, match="photo_erased"):
        clean_photo(ports, DEALER, PHOTO_NAME)
    assert job_whole(job_of(ports, DEALER, journal.job))["erased_at"] == clock(ports).at
    assert [one for one in examine(ports) if one.grave] == []
    again = erase_own(ports, device, journal.job)
    assert (again.events, again.photos) == (0, 0)


def test_what_another_phone_wrote_into_the_job_stays(ports: Ports) -> None:
    device, journal, _ = a_job(ports)
    other = with_device(ports)
    theirs = Journal(other.device, job=journal.job).write(body={"step": None, "text": "From the other phone."})
    receive_events(ports, other, [theirs], 0)
    erased = erase_own(ports, device, journal.job)
    assert erased.others == 1
    assert "From the other phone." in everything_kept(ports)


def test_a_phone_erases_nothing_of_a_job_it_takes_no_part_in(ports: Ports) -> None:
    _, journal, _ = a_job(ports)
    with pytest.raises(Refused, match="no_such_job"):
        erase_own(ports, with_device(ports), journal.job)
    with pytest.raises(Refused, match="no_such_job"):
        erase_job(ports, DEALER, "0190a000-0000-7000-8000-00000000ffff", "anna")
    assert SECRET_WORDS in everything_kept(ports)


def test_closed_jobs_are_erased_when_their_time_is_over_and_open_ones_are_not(ports: Ports) -> None:
    _, closed, _ = a_job(ports)
    open_device = with_device(ports)
    receive_events(ports, open_device, [Journal(open_device.device).write(body={"step": None, "text": "Still open."})], 0)
    assert apply_retention(ports) == []
    set_retention(ports, DEALER, 30, "anna")
    clock(ports).move(days=29, hours=23)
    assert apply_retention(ports) == []
    clock(ports).move(hours=2)
    assert apply_retention(ports) == [(DEALER, closed.job)]
    assert SECRET_WORDS not in everything_kept(ports)
    assert "Still open." in everything_kept(ports)
    assert apply_retention(ports) == []


@pytest.mark.parametrize("days", [0, -1, 36501])
def test_a_retention_out_of_range_is_refused(days: int) -> None:
    made = memory_ports()
    with_dealer(made)
    with pytest.raises(Refused, match="retention_range"):
        set_retention(made, DEALER, days, "anna")
