"""Many writers at once: positions become visible in order, so that a cursor never skips an event."""

import threading
import uuid
from pathlib import Path

import pytest
from tests.making import Journal, SetClock, with_dealer
from tests.postgres import fresh_database
from tests.storage.test_archive import config_of

from benchtrail.app import create_app
from benchtrail.services.dealers import dealer_named
from benchtrail.services.devices import enrol, make_code
from benchtrail.services.ports import Ports
from benchtrail.services.pull_events import pull_events
from benchtrail.services.receive_events import receive_events

WRITERS, BATCHES = 4, 12


@pytest.mark.parametrize("kind", ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def test_a_reader_that_follows_the_cursor_sees_every_event_of_all_writers(
    kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    if kind == "sqlite":
        follow(tmp_path, None)
    else:
        with fresh_database(request.getfixturevalue("cluster")) as url:
            follow(tmp_path, url)


def follow(tmp_path: Path, url: str | None) -> None:
    """All writers share one job; one phone of it reads on while they write."""
    app = create_app(config_of(tmp_path / "home", url), SetClock())
    ports: Ports = app.extensions["benchtrail"]
    job, done, faults = str(uuid.uuid4()), threading.Event(), []
    with app.app_context():
        with_dealer(ports)
        devices = [enrolled(ports) for _ in range(WRITERS)]

    def write(number: int) -> None:
        try:
            with app.app_context():
                journal = Journal(devices[number].device, job=job)
                for _ in range(BATCHES):
                    receive_events(ports, devices[number], [journal.write() for _ in range(3)], 0)
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    with app.app_context():
        dealer, seen, cursor = dealer_named(ports, "withen-bridge"), [], None
        while len(seen) < WRITERS * BATCHES * 3:
            if not any(thread.is_alive() for thread in threads):
                if done.is_set():
                    break
                done.set()  # one more page after the last writer ended
            page = pull_events(ports, devices[0], dealer, cursor)
            seen += [event["id"] for event in page.events]
            cursor = page.cursor
        for thread in threads:
            thread.join()
        ports.storage.close()
    assert faults == []
    assert len(seen) == len(set(seen)) == WRITERS * BATCHES * 3


def enrolled(ports: Ports):  # type: ignore[no-untyped-def]
    code, _ = make_code(ports, "withen-bridge", "x", "anna")
    return enrol(ports, code, str(uuid.uuid4()), "", "192.0.2.1")[1]
