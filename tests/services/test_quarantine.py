"""Entries kept apart are taken up or dismissed by a person; nothing is dropped, and the journal stays whole."""

import json
from typing import Any

import pytest
from tests.making import Journal, with_dealer, with_device

from benchtrail.domain.refused import Refused
from benchtrail.services.desk_jobs import attention_of, job_row
from benchtrail.services.doctor import examine
from benchtrail.services.jobs import job_of
from benchtrail.services.ports import Ports
from benchtrail.services.quarantine import quarantined_of, settle
from benchtrail.services.receive_events import receive_events
from benchtrail.services.records import Device

DEALER = "withen-bridge"


def notes(ports: Ports, job: str) -> list[str]:
    return [row["text"] for row in job_of(ports, DEALER, job).fold["notes"]]


def one_apart(ports: Ports, device: Device) -> str:
    [(item, label)] = quarantined_of(ports, DEALER)
    assert (item.device, label) == (device.device, "Customer")
    return item.sha256


def two_under_one_number(ports: Ports) -> tuple[Device, Journal]:
    """A restored phone: number 2 stands for two different notes."""
    device = with_device(ports)
    journal = Journal(device.device)
    first, second = journal.write(), journal.write()
    other = second | {"id": "0190a000-0000-4000-8000-00000000abcd", "body": {"step": None, "text": "The other number two"}}
    results, _ = receive_events(ports, device, [first, second, other], 0)
    assert [one.status for one in results] == ["stored", "stored", "quarantined"]
    return device, journal


def test_taken_up_an_entry_with_a_used_number_stands_as_one_of_the_desk(ports: Ports) -> None:
    device, journal = two_under_one_number(ports)
    sha256 = one_apart(ports, device)
    before = job_row(job_of(ports, DEALER, journal.job))["attention"]
    settle(ports, DEALER, device.device, sha256, "taken_up", "", "anna")
    assert job_row(job_of(ports, DEALER, journal.job))["attention"] == before - 1
    assert sorted(notes(ports, journal.job)) == ["Note 1", "Note 2", "The other number two"]
    [(item, _)] = quarantined_of(ports, DEALER)
    assert (item.settled, item.settled_by) == ("taken_up", "anna")
    assert [one for one in examine(ports) if one.grave] == []
    with pytest.raises(Refused, match="entry_settled"):
        settle(ports, DEALER, device.device, sha256, "dismissed", "No.", "anna")


def test_two_entries_taken_up_follow_each_other(ports: Ports) -> None:
    for _ in range(2):
        device, _ = two_under_one_number(ports)
        [item] = [one for one, _ in quarantined_of(ports, DEALER) if one.settled is None]
        settle(ports, DEALER, device.device, item.sha256, "taken_up", "", "anna")
    with ports.storage.reading() as unit:
        desk = [event for event in unit.events.all(DEALER) if event.remark == "event_taken_up"]
    assert [event.seq for event in desk] == [1, 2]
    assert json.loads(desk[1].text)["prev"] == desk[0].sha256


def test_an_entry_of_the_phones_old_id_stands_as_it_came_when_that_place_is_free(ports: Ports) -> None:
    old, new = with_device(ports), with_device(ports)
    event = Journal(old.device).write(body={"step": None, "text": "From before"})
    results, _ = receive_events(ports, new, [event], 0)
    assert results[0].reason == "event_of_another_device"
    settle(ports, DEALER, new.device, one_apart(ports, new), "taken_up", "", "anna")
    with ports.storage.reading() as unit:
        [stored] = unit.events.of_job(DEALER, event["job"])
    assert (stored.id, stored.device, stored.seq) == (event["id"], old.device, 1)


def test_dismissing_needs_a_reason_and_keeps_the_entry(ports: Ports) -> None:
    device, journal = two_under_one_number(ports)
    sha256 = one_apart(ports, device)
    with pytest.raises(Refused, match="entry_reason_missing"):
        settle(ports, DEALER, device.device, sha256, "dismissed", "  ", "anna")
    settle(ports, DEALER, device.device, sha256, "dismissed", "Written twice.", "anna")
    [(item, _)] = quarantined_of(ports, DEALER)
    assert (item.settled, item.settled_reason) == ("dismissed", "Written twice.")
    assert "The other number two" in item.text
    assert not any(one["reason"] == "event_number_reused" for one in attention_of(job_of(ports, DEALER, journal.job)))


def test_what_cannot_be_read_is_not_taken_up(ports: Ports) -> None:
    device = with_device(ports)
    bad: Any = {"job": Journal(device.device).job, "kind": "NoteWritten"}
    receive_events(ports, device, [bad], 0)
    with pytest.raises(Refused, match="entry_not_readable"):
        settle(ports, DEALER, device.device, one_apart(ports, device), "taken_up", "", "anna")
    assert quarantined_of(ports, DEALER)[0][0].settled is None


def test_another_dealers_entry_is_not_there(ports: Ports) -> None:
    device, _ = two_under_one_number(ports)
    with_dealer(ports, "other")
    with pytest.raises(Refused, match="no_such_entry"):
        settle(ports, "other", device.device, one_apart(ports, device), "taken_up", "", "x")
