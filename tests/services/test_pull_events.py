"""Reading back: only own jobs, nothing skipped, and what a restored server says."""

import hashlib

import pytest
from tests.making import Journal, with_device

from benchtrail.domain.refused import Refused
from benchtrail.services.dealers import dealer_named
from benchtrail.services.ports import Ports
from benchtrail.services.pull_events import Pulled, digest_of, pull_events
from benchtrail.services.receive_events import receive_events
from benchtrail.services.records import Device


def pull(ports: Ports, device: Device, after: str | None = None) -> Pulled:
    return pull_events(ports, device, dealer_named(ports, device.dealer), after)


def test_a_phone_reads_its_own_jobs_and_no_other_customers(ports: Ports) -> None:
    one, two = with_device(ports), with_device(ports)
    mine, others = Journal(one.device).write(), Journal(two.device).write()
    receive_events(ports, one, [mine], 0)
    receive_events(ports, two, [others], 0)
    assert pull(ports, one).events == [mine]
    assert pull(ports, two).events == [others]


def test_two_phones_on_one_job_see_each_others_events_also_the_earlier_ones(ports: Ports) -> None:
    one, two = with_device(ports), with_device(ports)
    first = Journal(one.device)
    second = Journal(two.device, job=first.job)
    early = [first.write() for _ in range(2)]
    receive_events(ports, one, early, 0)
    cursor = pull(ports, two).cursor
    joined = second.write()
    receive_events(ports, two, [joined], 0)
    assert pull(ports, two, cursor).events == [*early, joined]
    assert pull(ports, one, pull(ports, one).cursor).events == []
    assert pull(ports, one).events == [*early, joined]


def test_pages_together_hold_every_event_once(ports: Ports) -> None:
    device = with_device(ports)
    journal = Journal(device.device)
    events = [journal.write() for _ in range(450)]
    for start in range(0, 450, 90):
        receive_events(ports, device, events[start : start + 90], 0)
    seen, cursor, more = [], None, True
    while more:
        page = pull(ports, device, cursor)
        seen += page.events
        cursor, more = page.cursor, page.more
    assert seen == events


def test_pages_are_cut_by_size_but_never_empty(ports: Ports) -> None:
    device = with_device(ports)
    journal = Journal(device.device)
    events = [journal.write(body={"step": None, "text": "x" * 200_000}) for _ in range(3)]
    receive_events(ports, device, events, 0)
    page = pull(ports, device)
    assert page.events == events[:1]
    assert page.more


@pytest.mark.parametrize("cursor", ["", "x", "0.0.0", "0123456789abcdef.0.0", "0123456789abcdef.-1.0"])
def test_a_cursor_that_is_not_this_servers_is_refused(ports: Ports, cursor: str) -> None:
    with pytest.raises(Refused, match="cursor_out_of_date"):
        pull(ports, with_device(ports), cursor)


def test_after_a_restore_the_old_cursor_is_out_of_date(ports: Ports) -> None:
    device = with_device(ports)
    cursor = pull(ports, device).cursor
    with ports.storage.writing() as unit:
        unit.dealers.renew_epoch("withen-bridge", "f" * 16)
    with pytest.raises(Refused, match="cursor_out_of_date"):
        pull(ports, device, cursor)
    assert pull(ports, device).epoch == "f" * 16


def test_a_digest_is_the_hash_of_the_sorted_ids(ports: Ports) -> None:
    device = with_device(ports)
    journal = Journal(device.device)
    events = [journal.write() for _ in range(3)]
    receive_events(ports, device, events[::-1], 0)
    ids = sorted(event["id"] for event in events)
    assert digest_of(ports, device, journal.job) == (3, hashlib.sha256("\n".join(ids).encode()).hexdigest())


def test_what_lies_in_quarantine_counts_only_for_the_phone_that_sent_it(ports: Ports) -> None:
    one, two = with_device(ports), with_device(ports)
    first = Journal(one.device)
    second = Journal(two.device, job=first.job)
    good, bad = first.write(), first.write() | {"schema": 0}
    receive_events(ports, one, [good, bad], 0)
    receive_events(ports, two, [second.write()], 0)
    assert digest_of(ports, one, first.job)[0] == 3
    assert digest_of(ports, two, first.job)[0] == 2


def test_a_job_of_others_has_no_digest(ports: Ports) -> None:
    one, two = with_device(ports), with_device(ports)
    event = Journal(one.device).write()
    receive_events(ports, one, [event], 0)
    with pytest.raises(Refused, match="no_such_job"):
        digest_of(ports, two, event["job"])
