"""A new revision is told: what changed, which jobs went by what was replaced, who has answered; in the signed manifest too."""

import copy
import json
from typing import Any

from tests.making import Journal, a_pack, with_device

from benchtrail.services.bulletins import draft_bulletin
from benchtrail.services.desk_bulletins import bulletins_of
from benchtrail.services.desk_jobs import job_whole
from benchtrail.services.job_list import KeptRows, job_list
from benchtrail.services.jobs import job_of
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.receive_events import receive_events

DEALER = "withen-bridge"


def with_figure(revision: int, value: str, **other: Any) -> dict[str, Any]:
    """The small pack with a torque on its plug."""
    pack = copy.deepcopy(a_pack(revision=revision, **other))
    pack["joints"]["plug"] |= {"figure": "plug_torque", "hand": None, "safety": "brakes"}
    pack["figures"]["plug_torque"] = {
        "id": "plug_torque", "kind": "torque", "value": float(value.split()[0]), "low": None, "high": None, "unit": "N·m",
        "as_published": value, "tolerance": None, "condition": "dry", "source": "Sheet 1 (invented)", "revision": None,
        "safety": "brakes", "when": None}
    return pack


def publish(ports: Ports, pack: dict[str, Any], words: str = "") -> str:
    order = Order(packs=[pack], by="anna", bulletins={"procedure test-drain": words} if words else {})
    return publish_packs(ports, DEALER, order)[0].sha256


def manifest(ports: Ports) -> dict[str, Any]:
    with ports.storage.reading() as unit:
        signed = unit.packs.manifest(DEALER)
        owner = unit.dealers.get(DEALER)
    assert signed
    assert owner
    assert ports.signers.verifies(owner.jwk, signed.payload.encode(), signed.signature)
    payload: dict[str, Any] = json.loads(signed.payload)
    return payload


def test_a_first_revision_has_no_bulletin(ports: Ports) -> None:
    publish(ports, with_figure(1, "20 N·m"))
    assert manifest(ports)["bulletins"] == []


def test_the_signed_manifest_tells_old_and_new_of_every_earlier_revision(ports: Ports) -> None:
    first = publish(ports, with_figure(1, "20 N·m"))
    second = publish(ports, with_figure(2, "18 N·m"))
    third = publish(ports, with_figure(3, "16 N·m"))
    found = manifest(ports)["bulletins"]
    assert [(one["from"]["sha256"], one["to"]["sha256"]) for one in found] == [(second, third), (first, third)]
    assert [(one["changes"][0]["old"], one["changes"][0]["new"]) for one in found] == [
        ("18 N·m, dry", "16 N·m, dry"), ("20 N·m, dry", "16 N·m, dry")]
    assert found[0]["changes"][0]["severity"] == "safety"
    assert "was 18 N·m, dry; is now 16 N·m, dry" in found[0]["text"]


def test_the_dealers_own_words_stand_in_place_of_the_draft(ports: Ports) -> None:
    publish(ports, with_figure(1, "20 N·m"))
    draft = draft_bulletin(ports, DEALER, with_figure(2, "18 N·m"))
    assert draft.before
    assert draft.before.revision == 1
    assert draft.changes
    assert "18 N·m" in draft.text
    publish(ports, with_figure(2, "18 N·m"), "The sheet was misprinted.")
    assert manifest(ports)["bulletins"][0]["text"] == "The sheet was misprinted."


def test_of_many_revisions_the_newest_twenty_are_told(ports: Ports) -> None:
    for revision in range(1, 24):
        publish(ports, with_figure(revision, f"{revision + 10} N·m"))
    assert [one["from"]["revision"] for one in manifest(ports)["bulletins"]] == list(range(22, 2, -1))


def send(ports: Ports, pack: str, *events: tuple[str, dict[str, Any]]) -> Journal:
    device = with_device(ports)
    journal = Journal(device.device, pack=pack)
    started = {"machine": None, "procedure": "test-drain", "revision": 1, "title": "Look at the plug"}
    written = [journal.write("JobStarted", started), *(journal.write(kind, body) for kind, body in events)]
    receive_events(ports, device, written, 0)
    return journal


def test_the_desk_sees_open_and_closed_jobs_that_used_the_figure_and_who_answered(ports: Ports) -> None:
    first = publish(ports, with_figure(1, "20 N·m"))
    done = ("StepDone", {"step": "close"})
    open_job = send(ports, first, done)
    closed = send(ports, first, done, ("JobClosed", {"outcome": "finished", "words": ""}))
    untouched = send(ports, first, ("StepDone", {"step": "open"}))
    second = publish(ports, with_figure(2, "18 N·m"))
    kept = KeptRows()

    [bulletin] = bulletins_of(ports, kept, DEALER)
    found = {one["job"]: (one["used"], one["left"], one["closed"] is not None) for one in bulletin["jobs"]}
    assert found == {open_job.job: (1, 1, False), closed.job: (1, 1, True), untouched.job: (0, 0, False)}
    assert {row["job"]: (row["superseded_used"], row["unanswered"]) for row in job_list(ports, kept, DEALER)} == {
        open_job.job: (1, 1), closed.job: (1, 1), untouched.job: (0, 0)}

    change = bulletin["changes"][0]["id"]
    answer = {"to": second, "step": "close", "answer": "redone", "changes": [change], "reason": ""}
    seen = answer | {"step": None, "answer": "seen"}
    with ports.storage.reading() as unit:
        device = unit.devices.get(DEALER, open_job.device)
    assert device
    receive_events(ports, device, [open_job.write("BulletinAnswered", seen), open_job.write("BulletinAnswered", answer)], 0)

    [bulletin] = bulletins_of(ports, kept, DEALER)
    after = next(one for one in bulletin["jobs"] if one["job"] == open_job.job)
    assert (after["used"], after["left"], after["seen"]["device"]) == (1, 0, "Customer")
    told = job_whole(job_of(ports, DEALER, open_job.job))["bulletin"]
    assert [(row["step"], row["answer"]["answer"]) for row in told["steps"]] == [("close", "redone")]

    publish(ports, with_figure(3, "18 N·m", skill="Turns a spanner well."))
    third = bulletins_of(ports, kept, DEALER)[0]
    again = next(one for one in third["jobs"] if one["job"] == open_job.job)
    assert (again["left"], again["seen"]) == (0, None), "the answer to the same figure holds, the new change is unread"


def test_a_revision_published_before_there_were_bulletins_is_told_at_the_next_publishing(ports: Ports) -> None:
    publish(ports, with_figure(1, "20 N·m"))
    publish(ports, with_figure(2, "18 N·m"))
    with ports.storage.writing() as unit:
        unit.bulletins._in.bulletins.clear()  # type: ignore[attr-defined]
    publish_packs(ports, DEALER, Order(packs=[a_pack("other")], by="anna"))
    assert [one["from"]["revision"] for one in manifest(ports)["bulletins"]] == [1]
