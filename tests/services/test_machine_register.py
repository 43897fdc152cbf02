"""The register: hours that never fall, jobs that count as a service done, what is due when, and the calendar of it."""

from datetime import UTC, datetime

import pytest
from tests.making import Journal, SetClock, a_pack, memory_ports, with_dealer, with_device

from benchtrail.domain.refused import Refused
from benchtrail.services.calendar import account_of_calendar, calendar, calendar_token
from benchtrail.services.job_list import KeptRows
from benchtrail.services.machine_register import machine_of, machines_of, save_machine
from benchtrail.services.people import close_account
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.receive_events import receive_events

DEALER, MODEL = "withen-bridge", "fell"
TABLES = ("parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids", "cautions",
          "checks", "follow_ons")
SERVICES = {
    "oil": {"name": "oil change", "goals": [["changed", "oil"]],
            "every": [{"meter": "hours", "every": 20}, {"meter": "months", "every": 12}], "procedure": None, "source": "S", "when": None},
    "late": {"name": "late only", "goals": [["changed", "oil"]], "every": [{"meter": "months", "every": 1}], "procedure": None,
             "source": "S", "when": ["year", ">=", 2024]},
    "never": {"name": "never done here", "goals": [["renewed", "x"]], "every": [{"meter": "months", "every": 12}], "procedure": None,
              "source": "S", "when": None},
}
TOLD = {"name": "Fell of the club", "customer": "Mrs A", "model": MODEL, "year": 2022, "options": [], "serial": None,
        "hours": None, "words": ""}


@pytest.fixture
def ports() -> Ports:
    made = memory_ports(SetClock(datetime(2026, 11, 25, 9, tzinfo=UTC)))
    with_dealer(made)
    model = {"format": "benchtrail.model/1", "dealer": DEALER, "model": MODEL, "name": "Fell", "invented": True, "years": [2020, 2026],
             "options": [], "revision": 1, "issued": "2026-01-01", "services": SERVICES} | {table: {} for table in TABLES}
    change = a_pack("change-oil", goal=[["changed", "oil"]])
    publish_packs(made, DEALER, Order([model, change], "anna"))
    return made


def job(ports: Ports, day: str, hours: float | None, outcome: str | None = "finished", options: tuple[str, ...] = ()) -> None:
    device = with_device(ports)
    with ports.storage.reading() as unit:
        pack = next(one for one in unit.packs.all(DEALER) if one.subject == "change-oil")
    journal = Journal(device.device, pack=pack.sha256, at=datetime.fromisoformat(f"{day}T10:00:00+00:00"))
    machine = {"id": "m1", "name": "Fell", "model": MODEL, "year": 2022, "options": list(options), "hours": hours, "serial": "F-1"}
    events = [journal.write("JobStarted", {"machine": machine, "procedure": "change-oil", "revision": 1, "title": "Change the oil"})]
    if outcome:
        events.append(journal.write("JobClosed", {"outcome": outcome, "words": ""}))
    receive_events(ports, device, events, 0)


def the_machine(ports: Ports) -> dict[str, dict[str, object]]:
    save_machine(ports, KeptRows(), DEALER, "anna", "m1", TOLD)
    return {due["service"]: due for due in machine_of(ports, KeptRows(), DEALER, "m1").due}


def test_a_finished_job_counts_as_done_and_the_nearer_limit_rules(ports: Ports) -> None:
    job(ports, "2026-06-01", 100)
    job(ports, "2026-11-01", 115, outcome=None)
    due = the_machine(ports)
    assert due["oil"]["done"] == {"date": "2026-06-01", "hours": 100}
    # 15 h in 153 days: the last 5 of 20 h take about 51 days, before the 12 months are over (arithmetic, no source)
    assert str(due["oil"]["due_date"]).startswith("2026-12")
    assert due["oil"]["state"] == "ok"


@pytest.mark.parametrize("outcome", ["given_up", "handed_over", None])
def test_a_job_that_was_not_finished_does_not_count(ports: Ports, outcome: str | None) -> None:
    job(ports, "2026-06-01", 100, outcome)
    assert the_machine(ports)["oil"]["done"] is None


def test_what_is_not_known_is_never_shown_as_in_order(ports: Ports) -> None:
    job(ports, "2026-06-01", 100)
    due = the_machine(ports)
    assert due["never"]["state"] == "unknown"
    assert "late" not in due, "a service of other years concerns this machine"


def test_hours_never_fall(ports: Ports) -> None:
    job(ports, "2026-06-01", 100)
    job(ports, "2026-07-01", 9)
    found = machine_of(ports, KeptRows(), DEALER, "m1")
    assert (found.hours, found.hours_on) == (100, "2026-06-01")
    save_machine(ports, KeptRows(), DEALER, "anna", "m1", TOLD | {"hours": 130.0})
    found = machine_of(ports, KeptRows(), DEALER, "m1")
    assert (found.hours, found.hours_on, found.customer, len(found.jobs)) == (130.0, "2026-11-25", "Mrs A", 2)


def test_a_machine_of_another_dealer_is_none(ports: Ports) -> None:
    with_dealer(ports, "other")
    id = save_machine(ports, KeptRows(), DEALER, "anna", None, TOLD)
    for call in (lambda: machine_of(ports, KeptRows(), "other", id), lambda: save_machine(ports, KeptRows(), "other", "x", id, TOLD)):
        with pytest.raises(Refused, match="no_such_machine"):
            call()


def test_the_calendar_has_the_form_of_rfc_5545(ports: Ports) -> None:
    job(ports, "2025-06-01", 100)
    save_machine(ports, KeptRows(), DEALER, "anna", "m1", TOLD | {"name": "Fell; of the club, with a very long name " + "ü" * 60})
    content = calendar(machines_of(ports, KeptRows(), DEALER), ports.clock.now(), "Withen Bridge Offroad")
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    assert b"\n" not in content.replace(b"\r\n", b"")
    whole = content.decode().replace("\r\n ", "")
    assert "SUMMARY:Fell\\; of the club\\, with" in whole
    assert whole.count("BEGIN:VEVENT") == whole.count("END:VEVENT") == 1
    assert "DTSTART;VALUE=DATE:2026" in whole


def test_a_feed_ends_with_the_account(ports: Ports) -> None:
    with ports.storage.reading() as unit:
        ben = unit.accounts.get("ben")
    assert ben is not None
    token = calendar_token(ports, ben)
    assert account_of_calendar(ports, "ben", token).dealer == DEALER
    for name, wrong in (("ben", "x"), ("anna", token), ("nobody", token)):
        with pytest.raises(Refused, match="no_such_calendar"):
            account_of_calendar(ports, name, wrong)
    close_account(ports, DEALER, "ben", "olive")
    with pytest.raises(Refused, match="no_such_calendar"):
        account_of_calendar(ports, "ben", token)


def test_hours_told_at_the_desk_stay_when_something_else_is_changed(ports: Ports) -> None:
    id = save_machine(ports, KeptRows(), DEALER, "anna", None, TOLD | {"hours": 120.5})
    save_machine(ports, KeptRows(), DEALER, "anna", id, TOLD | {"customer": "Mr B"})
    found = machine_of(ports, KeptRows(), DEALER, id)
    assert (found.customer, found.hours, found.hours_on) == ("Mr B", 120.5, "2026-11-25")


def test_an_option_that_the_desk_takes_off_is_off_whatever_a_job_said(ports: Ports) -> None:
    job(ports, "2026-11-01", 10.0, options=("skid_plate",))
    assert machine_of(ports, KeptRows(), DEALER, "m1").options == ["skid_plate"]
    save_machine(ports, KeptRows(), DEALER, "anna", "m1", TOLD)
    assert machine_of(ports, KeptRows(), DEALER, "m1").options == []
