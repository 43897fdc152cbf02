"""A job as a file: out and in with equal digest, the same twice changes nothing, and nothing that disagrees is taken in."""

import base64
import copy
import hashlib
import json
from typing import Any

import pytest
from tests.making import Journal, a_pack, a_photo, memory_ports, with_dealer, with_device

from benchtrail.domain.event_hash import job_digest
from benchtrail.domain.refused import Refused
from benchtrail.services.desk_jobs import job_whole
from benchtrail.services.devices import revoke
from benchtrail.services.job_file import file_bytes, job_as_file, take_in_job
from benchtrail.services.job_report import job_report
from benchtrail.services.jobs import job_of
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs

DEALER = "withen-bridge"
PHONE = "0190a000-0000-4000-8000-000000000001"
PHOTO = a_photo()


def phone_file(ports: Ports, **other: Any) -> dict[str, Any]:
    """What a phone that never joined writes: a job with a note and a photo."""
    pack = a_pack()
    sha256 = publish_packs(ports, DEALER, Order(packs=[pack], by="anna"))[0].sha256
    journal = Journal(PHONE, pack=sha256)
    name = hashlib.sha256(PHOTO).hexdigest()
    started = {"machine": None, "procedure": "test-drain", "revision": 1, "title": "Look at the plug"}
    facts = {"step": "open", "sha256": name, "mime": "image/jpeg", "bytes": len(PHOTO), "width": 64, "height": 48, "caption": "Plug"}
    events = [journal.write("JobStarted", started), journal.write("StepDone", {"step": "close"}), journal.write(),
              journal.write("PhotoTaken", facts)]
    photo = {"sha256": name, "mime": "image/jpeg", "base64": base64.b64encode(PHOTO).decode()}
    return {"format": "benchtrail.job/1", "job": journal.job, "events": events, "photos": [photo], "pack": pack,
            "digest": job_digest(event["id"] for event in events)} | other


def test_a_file_of_a_phone_that_never_joined_is_taken_in_with_equal_digest(ports: Ports) -> None:
    made = phone_file(ports)
    came = take_in_job(ports, DEALER, file_bytes(made), "anna")
    assert (came.stored, came.quarantined, came.photos, came.photos_missing, came.equal) == (4, 0, 1, 0, True)
    whole = job_whole(job_of(ports, DEALER, made["job"]))
    assert [photo["received"] for photo in whole["steps"][0]["photos"]] == [True]
    assert whole["loose_notes"][0]["text"] == "Note 3"


def test_the_same_file_again_changes_nothing(ports: Ports) -> None:
    content = file_bytes(phone_file(ports))
    take_in_job(ports, DEALER, content, "anna")
    again = take_in_job(ports, DEALER, content, "anna")
    assert (again.stored, again.known, again.photos, again.photos_known, again.equal) == (0, 4, 0, 1, True)


def test_out_of_one_server_and_into_another(ports: Ports) -> None:
    made = phone_file(ports)
    take_in_job(ports, DEALER, file_bytes(made), "anna")
    out = job_as_file(ports, DEALER, made["job"])
    assert (out["events"], out["pack"], out["digest"]) == (made["events"], made["pack"], made["digest"])
    other = memory_ports()
    with_dealer(other)
    came = take_in_job(other, DEALER, file_bytes(out), "anna")
    assert (came.stored, came.photos, came.photos_missing, came.equal, came.pack_known) == (4, 1, 0, True, False)


def test_a_phone_that_was_shut_out_can_still_be_read_from_its_file(ports: Ports) -> None:
    device = with_device(ports, id=PHONE)
    revoke(ports, DEALER, device.device)
    assert take_in_job(ports, DEALER, file_bytes(phone_file(ports)), "anna").stored == 4


def other_photo(made: dict[str, Any]) -> None:
    made["photos"][0]["base64"] = base64.b64encode(PHOTO + b"x").decode()


@pytest.mark.parametrize(("spoil", "code"), [
    (lambda made: made.update(format="benchtrail.job/2"), "job_file_unreadable"),
    (lambda made: made.update(events=[]), "job_file_unreadable"),
    (lambda made: made.update(events=["x"]), "job_file_unreadable"),
    (lambda made: made.pop("photos"), "job_file_unreadable"),
    (lambda made: made["events"][1].update(job=PHONE), "job_file_unreadable"),
    (lambda made: made["events"].pop(), "job_file_digest"),
    (lambda made: made.update(digest=None), "job_file_digest"),
    (other_photo, "job_file_photo"),
    (lambda made: made["photos"].append(7), "job_file_photo"),
    (lambda made: made["photos"][0].update(of="../../x"), "job_file_photo"),
    (lambda made: made["pack"].update(title="Other"), "job_file_pack"),
])
def test_what_disagrees_is_refused_and_nothing_is_taken_in(ports: Ports, spoil: Any, code: str) -> None:
    made = copy.deepcopy(phone_file(ports))
    spoil(made)
    with pytest.raises(Refused) as caught:
        take_in_job(ports, DEALER, file_bytes(made), "anna")
    assert caught.value.code == code
    with ports.storage.reading() as unit:
        assert unit.events.all(DEALER) == []
        assert unit.photos.all(DEALER) == []


@pytest.mark.parametrize("content", [b"", b"[]", b"\xff\xfe", b'{"format": "benchtrail.job/1"', b"null", b"[" * 5000])
def test_any_other_file_is_refused(ports: Ports, content: bytes) -> None:
    with pytest.raises(Refused, match="job_file_unreadable"):
        take_in_job(ports, DEALER, content, "anna")


def test_a_malformed_event_in_a_file_is_kept_apart_and_holds_up_no_other(ports: Ports) -> None:
    made = phone_file(ports)
    made["events"][1]["body"] = {}
    came = take_in_job(ports, DEALER, file_bytes(made), "anna")
    assert (came.stored, came.quarantined, came.equal) == (3, 1, True)


def test_the_record_says_what_was_done_and_by_what_it_can_be_checked(ports: Ports) -> None:
    made = phone_file(ports)
    take_in_job(ports, DEALER, file_bytes(made), "anna")
    record = job_report(ports, DEALER, made["job"])
    assert record["digest"] == made["digest"]
    assert record["pack_signed"]
    assert [(row["joint"], row["hand"]) for row in record["torques"]] == [("plug", "to the stop")]
    assert [row["sha256"] for row in record["photos"]] == [made["photos"][0]["sha256"]]
    assert json.dumps(record, default=str)
