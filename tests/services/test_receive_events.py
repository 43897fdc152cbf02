"""Taking in events: each once, nothing bounced, nothing dropped, nothing chosen silently."""

import copy
import json
import uuid
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.making import Journal, SetClock, memory_ports, sha256_of, with_dealer, with_device

from benchtrail.domain.refused import Refused
from benchtrail.services.devices import revoke
from benchtrail.services.ports import Ports
from benchtrail.services.pull_events import digest_of
from benchtrail.services.receive_events import Result, receive_events
from benchtrail.services.records import Device


@pytest.fixture
def device(ports: Ports) -> Device:
    return with_device(ports)


def send(ports: Ports, device: Device, *items: Any) -> list[Result]:
    return receive_events(ports, device, list(items), 0)[0]


def stored_ids(ports: Ports, job: str) -> list[str]:
    with ports.storage.reading() as unit:
        return [one.id for one in unit.events.of_job("withen-bridge", job)]


def test_a_stored_event_has_a_receipt_naming_the_hash_of_its_canonical_form(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    (result,) = send(ports, device, event)
    assert (result.id, result.status, result.sha256, result.reason) == (event["id"], "stored", sha256_of(event), None)
    assert stored_ids(ports, event["job"]) == [event["id"]]


def test_what_is_kept_is_the_whole_envelope_as_it_came(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write(body={"step": "a", "text": "Ölfleck 🔧 \u0000", "more": [1.5, True, None]})
    send(ports, device, event)
    with ports.storage.reading() as unit:
        (kept,) = unit.events.of_job("withen-bridge", event["job"])
    assert json.loads(kept.text) == event
    assert kept.text.isascii()


def test_the_same_event_again_is_a_duplicate_with_the_first_receipt(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    (first,) = send(ports, device, event)
    ports.clock.move(minutes=5)  # type: ignore[attr-defined]
    (again,) = send(ports, device, copy.deepcopy(event))
    assert again == replace(first, status="duplicate")
    assert stored_ids(ports, event["job"]) == [event["id"]]


def test_the_same_event_twice_in_one_batch_counts_once(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    assert [one.status for one in send(ports, device, event, event)] == ["stored", "duplicate"]


def test_another_event_under_a_used_number_is_kept_apart_and_the_first_is_marked(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    other = event | {"id": str(uuid.uuid4()), "body": {"step": None, "text": "another"}}
    send(ports, device, event)
    (result,) = send(ports, device, other)
    assert (result.status, result.reason) == ("quarantined", "event_number_reused")
    with ports.storage.reading() as unit:
        (kept,) = unit.events.of_job("withen-bridge", event["job"])
        (apart,) = unit.events.quarantined("withen-bridge", event["job"])
    assert (kept.id, kept.remark) == (event["id"], "event_contested")
    assert json.loads(apart.text) == other


def test_another_event_under_a_used_id_is_kept_apart(ports: Ports, device: Device) -> None:
    journal = Journal(device.device)
    event = journal.write()
    send(ports, device, event)
    (result,) = send(ports, device, journal.write(id=event["id"]))
    assert (result.status, result.reason) == ("quarantined", "event_id_reused")


def test_a_malformed_event_in_the_middle_blocks_nobody(ports: Ports, device: Device) -> None:
    journal = Journal(device.device)
    good = [journal.write() for _ in range(3)]
    results = send(ports, device, good[0], {"no": "envelope"}, good[1], None, "text", ["list"], 5, good[2])
    assert [one.status for one in results] == ["stored", "quarantined", "stored", *["quarantined"] * 4, "stored"]
    with ports.storage.reading() as unit:
        assert len(unit.events.quarantined("withen-bridge")) == 5


BREAKAGES: dict[str, Any] = {
    "id": [None, "", "not-a-uuid", 5, "{0190a000-0000-7000-8000-00000000000b}", "0190A000-0000-7000-8000-00000000000B"],
    "device": [None, "x", 7],
    "seq": [0, -1, 1.5, "1", True, 2**53, None],
    "job": [None, "../../etc", 1],
    "kind": [None, "", "x" * 65, "Note\u0000", "9lives", 3],
    "body": [None, [], "text"],
    "hlc": ["", None, "1-2-3", "x" * 29],
    "wall": ["yesterday", "2026-11-25T09:00:00", None, "2026-11-25T09:00:00+00:00" + "0" * 30],
    "pack": [None, "abc", "AB" * 32],
    "prev": ["abc", 5],
    "schema": [0, None, "1"],
    "surprise": ["a field that the envelope does not have"],
}


@pytest.mark.parametrize(("field", "value"), [(name, value) for name, values in BREAKAGES.items() for value in values])
def test_each_way_to_break_an_envelope_is_kept_apart_and_named(
    ports: Ports, device: Device, field: str, value: object
) -> None:
    event = Journal(device.device).write() | {field: value}
    (result,) = send(ports, device, event)
    assert (result.status, result.reason) == ("quarantined", "event_malformed")
    with ports.storage.reading() as unit:
        (apart,) = unit.events.quarantined("withen-bridge")
    assert field in apart.values["fields"]
    assert json.loads(apart.text) == event


def test_a_number_without_one_canonical_form_is_kept_apart(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    event["body"]["big"] = 2**60 + 1
    (result,) = send(ports, device, event)
    assert (result.status, result.reason) == ("quarantined", "event_not_canonical")


def test_half_a_character_is_kept_apart(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    event["body"]["text"] = "\ud83d"
    (result,) = send(ports, device, event)
    assert (result.status, result.reason) == ("quarantined", "event_not_canonical")


def test_a_body_nested_too_deep_is_kept_apart(ports: Ports, device: Device) -> None:
    nested: Any = "end"
    for _ in range(40):
        nested = [nested]
    (result,) = send(ports, device, Journal(device.device).write() | {"body": {"x": nested}})
    assert (result.status, result.reason) == ("quarantined", "event_malformed")


def test_an_event_that_names_another_phone_is_kept_apart(ports: Ports, device: Device) -> None:
    other = with_device(ports)
    (result,) = send(ports, device, Journal(other.device).write())
    assert (result.status, result.reason) == ("quarantined", "event_of_another_device")


def test_the_very_event_of_another_phone_is_a_duplicate_and_its_bearer_takes_part_in_the_job(ports: Ports, device: Device) -> None:
    event = Journal(device.device).write()
    send(ports, device, event)
    same_phone_again = with_device(ports)
    with pytest.raises(Refused, match="no_such_job"):
        digest_of(ports, same_phone_again, event["job"])
    (result,) = send(ports, same_phone_again, event)
    assert (result.status, result.reason) == ("duplicate", None)
    assert digest_of(ports, same_phone_again, event["job"]) == digest_of(ports, device, event["job"])
    (changed,) = send(ports, same_phone_again, event | {"body": {"step": None, "text": "changed"}})
    assert changed.status == "quarantined"


def test_unknown_kinds_are_stored_like_any_other(ports: Ports, device: Device) -> None:
    (result,) = send(ports, device, Journal(device.device).write("SomethingOfTheFuture", {"x": 1}))
    assert result.status == "stored"


def test_a_broken_chain_counts_and_is_remarked(ports: Ports, device: Device) -> None:
    journal = Journal(device.device)
    first = journal.write()
    second = journal.write(prev="0" * 64)
    assert [one.status for one in send(ports, device, first, second)] == ["stored", "stored"]
    with ports.storage.reading() as unit:
        assert [one.remark for one in unit.events.of_job("withen-bridge", first["job"])] == [None, "event_chain_broken"]


def test_a_clock_far_ahead_counts_and_is_remarked(ports: Ports, device: Device) -> None:
    journal = Journal(device.device)
    ahead = journal.write(hlc=f"{int(journal.at.timestamp() * 1000) + 2 * 86_400_000:015d}-0000-{device.device[:8]}")
    send(ports, device, ahead)
    with ports.storage.reading() as unit:
        assert [one.remark for one in unit.events.of_job("withen-bridge", ahead["job"])] == ["event_clock_ahead"]


def test_the_high_mark_waits_for_the_gap_and_counts_quarantine(ports: Ports, device: Device) -> None:
    journal = Journal(device.device)
    one, two, three, four = (journal.write() for _ in range(4))
    assert receive_events(ports, device, [one, three], 0)[1] == 1
    assert receive_events(ports, device, [four], 0)[1] == 1
    assert receive_events(ports, device, [two | {"kind": ""}], 0)[1] == 4


def test_what_waits_on_the_phone_is_remembered(ports: Ports, device: Device) -> None:
    receive_events(ports, device, [], 14)
    with ports.storage.reading() as unit:
        found = unit.devices.get("withen-bridge", device.device)
    assert found is not None
    assert (found.waiting, found.last_seen_at) == (14, ports.clock.now())


def test_a_phone_that_was_shut_out_meanwhile_sends_nothing(ports: Ports, device: Device) -> None:
    revoke(ports, "withen-bridge", device.device)
    event = Journal(device.device).write()
    with pytest.raises(Refused, match="device_shut_out"):
        send(ports, device, event)
    assert stored_ids(ports, event["job"]) == []


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_any_split_repetition_and_order_of_sending_stores_every_event_once(data: st.DataObject) -> None:
    ports = memory_ports(SetClock())
    with_dealer(ports)
    device = with_device(ports)
    journal = Journal(device.device)
    events = [journal.write() for _ in range(6)]
    sent = data.draw(st.lists(st.sampled_from(events), max_size=12))
    order = data.draw(st.permutations([*sent, *events]))
    cuts = sorted(data.draw(st.lists(st.integers(0, len(order)), max_size=4)))
    for start, end in zip([0, *cuts], [*cuts, len(order)], strict=True):
        for result in send(ports, device, *order[start:end]):
            assert result.status in ("stored", "duplicate")
    assert sorted(stored_ids(ports, journal.job)) == sorted(event["id"] for event in events)
    with ports.storage.reading() as unit:
        found = unit.devices.get("withen-bridge", device.device)
        assert found is not None
        assert found.high == 6
        assert unit.events.quarantined("withen-bridge") == []
