"""What phones of every released schema wrote can still be delivered, however late: nothing set apart, nothing lost.

tests/released/schema-N.json is a job as an app of that schema wrote it, one event of each kind it knew. Files are added
with each released schema (a letter behind the number: more kinds within it) and never changed.
"""

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
from tests.making import SetClock, memory_ports, with_dealer, with_device

from benchtrail.domain.event_problems import BODIES
from benchtrail.services.desk_writer import OF_THE_DESK
from benchtrail.services.job_file import take_in_job
from benchtrail.services.jobs import job_of
from benchtrail.services.receive_events import receive_events
from benchtrail.services.uploads import add_piece, begin_upload

RELEASED = Path(__file__).resolve().parents[1] / "released"
FILES = sorted(RELEASED.glob("schema-*.json"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_phone_that_was_away_for_a_year_delivers_all_it_has(path: Path) -> None:
    made = json.loads(path.read_text(encoding="utf-8"))
    ports = memory_ports(SetClock())
    with_dealer(ports)
    device = with_device(ports, id=made["events"][0]["device"])
    assert ports.clock.now().timestamp() - int(made["events"][0]["hlc"][:15]) / 1000 > 364 * 86400
    results, high = receive_events(ports, device, made["events"], 0)
    assert {one.status for one in results} == {"stored"}
    assert high == len(made["events"])
    for photo in made["photos"]:
        content = base64.b64decode(photo["base64"])
        place = begin_upload(ports, device, photo["sha256"], photo["mime"], made["job"], len(content))
        assert add_piece(ports, device, place.id, 0, content, None).offset == len(content)
    told = notes(job_of(ports, "withen-bridge", made["job"]).fold)
    assert told == [event["body"]["text"] for event in made["events"] if event["kind"] == "NoteWritten"]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_its_file_is_taken_in_with_equal_digest(path: Path) -> None:
    ports = memory_ports()
    with_dealer(ports)
    came = take_in_job(ports, "withen-bridge", path.read_bytes(), "anna")
    assert (came.quarantined, came.photos_missing, came.equal) == (0, 0, True)


def test_the_newest_file_holds_every_kind_that_a_phone_writes() -> None:
    kinds = {event["kind"] for event in json.loads(FILES[-1].read_text(encoding="utf-8"))["events"]}
    assert set(BODIES) - OF_THE_DESK <= kinds


def test_a_released_file_was_not_changed() -> None:
    sums = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FILES}
    assert sums == {"schema-1.json": "2de127b7d44cac6cf64263f8de18e696329b531ec62e0dfa9105b535dc7f8c5c",
                    "schema-1b.json": "f159e7e9b6f09fb23ce9732ed328358ec4e60effad83c6536112f3a97c01d6c7"}


def notes(fold: Any) -> list[str]:
    return [row["text"] for row in fold["notes"]]
