"""The desk's answers in a job's journal: they sync as every entry does, cannot be forged by a phone, and outlive a restored server."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from tests.making import Journal, SetClock, memory_ports, sha256_of, with_dealer, with_device

from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.refused import Refused
from benchtrail.services.desk_jobs import job_row, job_whole
from benchtrail.services.doctor import examine
from benchtrail.services.jobs import job_of
from benchtrail.services.ports import Ports
from benchtrail.services.pull_events import digest_of, pull_events
from benchtrail.services.receive_events import receive_events
from benchtrail.services.records import Dealer, Device, JsonObject
from benchtrail.services.replies import write_reply

DEALER = "withen-bridge"


@pytest.fixture
def ports() -> Ports:
    made = memory_ports(SetClock())
    with_dealer(made)
    return made


@pytest.fixture
def device(ports: Ports) -> Device:
    return with_device(ports)


def noted(ports: Ports, device: Device, text: str = "Is black oil bad?", step: str | None = "drain") -> tuple[Journal, JsonObject]:
    journal = Journal(device.device)
    note = journal.write(body={"step": step, "text": text})
    receive_events(ports, device, [note], 0)
    return journal, note


def pulled(ports: Ports, device: Device) -> list[JsonObject]:
    with ports.storage.reading() as unit:
        dealer = unit.dealers.get(DEALER)
    assert isinstance(dealer, Dealer)
    return pull_events(ports, device, dealer, None).events


def push(ports: Ports, device: Device, *events: JsonObject) -> list[tuple[str, str | None]]:
    return [(one.status, one.reason) for one in receive_events(ports, device, list(events), 0)[0]]


def reply_to(ports: Ports, job: str, to: str | None, text: str = "No. Fill it as the step says.", step: str | None = None) -> JsonObject:
    return dict(json.loads(write_reply(ports, DEALER, job, to, step, text, "ben").text))


def test_an_answer_is_a_sound_entry_of_the_job_that_its_phone_reads_back(ports: Ports, device: Device) -> None:
    journal, note = noted(ports, device)
    made = reply_to(ports, journal.job, note["id"])
    assert event_problems(made) == []
    assert {name: made["body"][name] for name in ("to", "step", "text", "by")} == {
        "to": note["id"], "step": "drain", "text": "No. Fill it as the step says.", "by": "ben"}
    assert made["hlc"] > note["hlc"]
    assert [event["id"] for event in pulled(ports, device)] == [note["id"], made["id"]]
    assert digest_of(ports, device, journal.job)[0] == 2
    assert [one for one in examine(ports) if one.grave] == []


def test_answers_follow_each_other_in_number_clock_and_hash(ports: Ports, device: Device) -> None:
    journal, note = noted(ports, device)
    first, second = reply_to(ports, journal.job, note["id"]), reply_to(ports, journal.job, None, "Call us.", "fill")
    assert (first["seq"], second["seq"], second["prev"]) == (1, 2, sha256_of(first))
    assert second["hlc"] > first["hlc"]
    assert second["body"]["step"] == "fill"


def test_an_answer_stands_after_an_entry_whose_clock_is_ahead_but_not_after_one_of_another_year(ports: Ports, device: Device) -> None:
    journal = Journal(device.device)
    ahead, far = journal.write(), journal.write()
    now_ms = int(ports.clock.now().timestamp() * 1000)
    ahead["hlc"] = f"{now_ms + 3_600_000:015d}-0000-{device.device[:8]}"
    far["hlc"] = f"{now_ms + 9 * 86_400_000:015d}-0000-{device.device[:8]}"
    push(ports, device, ahead, far)
    made = reply_to(ports, journal.job, None)
    assert ahead["hlc"] < made["hlc"] < far["hlc"]


def test_the_phone_says_that_it_was_read(ports: Ports, device: Device) -> None:
    journal, note = noted(ports, device)
    made = reply_to(ports, journal.job, note["id"])
    assert job_row(job_of(ports, DEALER, journal.job))["replies_unread"] == 1
    seen = journal.write("ReplySeen", {"reply": made["id"]})
    assert push(ports, device, seen) == [("stored", None)]
    job = job_of(ports, DEALER, journal.job)
    assert job_row(job)["replies_unread"] == 0
    [row] = job_whole(job)["loose_replies"]  # the pack is not published here
    assert (row["to"], row["by"], row["seen"]) == (note["id"], "ben", {"device": "Customer", "wall": seen["wall"]})


QUESTIONS: list[tuple[str, Callable[[Journal], list[Any]], int]] = [
    ("a note that asks nothing waits for nobody", lambda j: [("The nipple was stiff.", None)], 0),
    ("a question waits", lambda j: [("Is it stiff?", None)], 1),
    ("an answered question does not", lambda j: [("Is it stiff?", "Yes.")], 0),
    ("what is said after an answer waits, question or not", lambda j: [("Is it stiff?", "Yes."), ("It broke.", None)], 1),
]


@pytest.mark.parametrize(("says", "talk", "asked"), QUESTIONS, ids=[one[0] for one in QUESTIONS])
def test_which_notes_wait_for_an_answer(ports: Ports, device: Device, says: str, talk: Any, asked: int) -> None:
    journal = Journal(device.device)
    for note, answer in talk(journal):
        journal.at = ports.clock.now()
        event = journal.write(body={"step": "drain", "text": note})
        push(ports, device, event)
        ports.clock.move(minutes=5)  # type: ignore[attr-defined]
        if answer:
            reply_to(ports, journal.job, event["id"], answer)
            ports.clock.move(minutes=5)  # type: ignore[attr-defined]
    assert job_row(job_of(ports, DEALER, journal.job))["asked"] == asked


def test_a_phone_cannot_speak_as_the_dealer(ports: Ports, device: Device) -> None:
    journal, note = noted(ports, device)
    forged = journal.write("ReplyWritten", {"to": note["id"], "step": None, "text": "Ride it.", "by": "anna", "proof": "0" * 64})
    assert push(ports, device, forged) == [("quarantined", "event_of_the_desk")]
    assert job_of(ports, DEALER, journal.job).fold["replies"] == []


def lost(ports: Ports, device: Device) -> tuple[Journal, JsonObject, Ports, Device]:
    """The phone holds an answer; the server is put back to before it was written."""
    journal, note = noted(ports, device)
    made = reply_to(ports, journal.job, note["id"])
    restored = memory_ports(SetClock())
    with_dealer(restored)
    there = with_device(restored, id=device.device)
    push(restored, there, note)
    return journal, made, restored, there


def test_an_answer_that_a_restored_server_lost_comes_back_from_the_phone(ports: Ports, device: Device) -> None:
    journal, made, restored, there = lost(ports, device)
    assert push(restored, there, made) == [("stored", None)]
    assert push(restored, there, made) == [("duplicate", None)]
    assert [row["text"] for row in job_of(restored, DEALER, journal.job).fold["replies"]] == ["No. Fill it as the step says."]
    assert digest_of(restored, there, journal.job)[0] == 2
    after = reply_to(restored, journal.job, None, "And again.")
    assert (after["device"], after["seq"]) != (made["device"], made["seq"])


def test_an_answer_with_other_words_does_not_come_back(ports: Ports, device: Device) -> None:
    journal, made, restored, there = lost(ports, device)
    changed = made | {"body": made["body"] | {"text": "Ride it."}}
    assert push(restored, there, changed) == [("quarantined", "event_of_another_device")]
    assert job_of(restored, DEALER, journal.job).fold["replies"] == []


def test_nothing_is_answered_where_there_is_nothing(ports: Ports, device: Device) -> None:
    journal, _ = noted(ports, device)
    refusals: list[tuple[str, tuple[Any, ...]]] = [
        ("no_such_job", ("0190a000-0000-4000-8000-00000000abcd", None, None, "Yes.", "ben")),
        ("no_such_entry_of_job", (journal.job, "0190a000-0000-4000-8000-00000000abcd", None, "Yes.", "ben")),
        ("reply_without_words", (journal.job, None, None, "  \n", "ben")),
        ("reply_too_long", (journal.job, None, None, "x" * 2001, "ben")),
    ]
    for code, values in refusals:
        with pytest.raises(Refused, match=code):
            write_reply(ports, DEALER, *values)
    assert len(pulled(ports, device)) == 1
