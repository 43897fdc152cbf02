"""Phones say over HTTP which packs they keep; the desk counts them before something is published."""

from typing import Any

from flask import Flask
from tests.api.conftest import Asker
from tests.making import a_pack

from benchtrail.services.impact import impact_of
from benchtrail.services.job_list import KeptRows
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs

DEALER = "withen-bridge"


def tell(phone: Asker, packs: list[Any]) -> Any:
    return phone.post("/api/v1/devices/me/packs", {"packs": packs})


def test_what_a_phone_keeps_is_counted_by_revision_and_replaced_by_what_it_says_next(app: Flask, ports: Ports, phone: Asker) -> None:
    with app.app_context():
        first = publish_packs(ports, DEALER, Order([a_pack()], "anna"))[0].sha256
        second = publish_packs(ports, DEALER, Order([a_pack(revision=2, summary="Again.")], "anna"))[0].sha256
    assert tell(phone, [first, second, "f" * 64]).get_json() == {"known": 2}
    assert held(app, ports) == (1, [(2, 1)], 0)
    assert tell(phone, [first]).get_json() == {"known": 1}
    assert held(app, ports) == (1, [(1, 1)], 0)
    assert tell(phone, []).get_json() == {"known": 0}
    assert held(app, ports) == (0, [], 0)


def held(app: Flask, ports: Ports) -> tuple[int, list[tuple[int, int]], int]:
    with app.app_context():
        holders = impact_of(ports, KeptRows(), DEALER, a_pack(revision=3)).holders
    return holders.phones, holders.revisions, holders.untold


def test_only_an_enrolled_phone_says_it_and_only_as_hashes(phone: Asker, stranger: Asker, reader: Asker) -> None:
    assert tell(stranger, []).status_code == 401
    assert tell(reader, []).status_code == 401
    for bad in (["pump"], ["F" * 64], [5], ["f" * 64] * 2001):
        assert tell(phone, bad).status_code == 400, bad
