"""Codes, links, phones and shutting out, from the desk to the phone and back."""

import uuid

import pytest
from flask import Flask
from tests.api.conftest import Asker
from tests.making import SetClock, a_pack

from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs


def make_code(author: Asker) -> dict[str, str]:
    answer = author.post("/api/v1/desk/enrolment-codes", {"label": "Mr Tarn"})
    assert answer.status_code == 201
    return dict(answer.get_json())


def test_a_code_made_at_the_desk_enrols_a_phone_that_then_stands_in_the_list(author: Asker, stranger: Asker) -> None:
    made = make_code(author)
    assert made["link"] == f"http://localhost/enrol#code={made['code']}"
    assert made["expires_at"] == "2026-11-25T09:10:00.000Z"
    assert made["qr_svg"].startswith("<svg ")
    device = str(uuid.uuid4())
    answer = stranger.post("/api/v1/devices/enrol", {"code": made["code"], "device": device, "label": "Tarn's phone"})
    assert answer.get_json() == {"device": device, "dealer": "withen-bridge", "label": "Tarn's phone",
                                 "enrolled_at": "2026-11-25T09:00:00.000Z"}
    assert "HttpOnly" in answer.headers["Set-Cookie"]
    assert stranger.get("/api/v1/devices/me").get_json()["device"] == device
    (shown,) = author.get("/api/v1/desk/devices").get_json()["devices"]
    assert shown == {"device": device, "label": "Tarn's phone", "enrolled_at": "2026-11-25T09:00:00.000Z",
                     "last_seen_at": None, "waiting": None, "revoked_at": None}


def test_the_second_to_use_a_code_is_told_plainly(app: Flask, author: Asker, stranger: Asker) -> None:
    code = make_code(author)["code"]
    for status, expected in ((201, None), (409, "code_used")):
        answer = Asker(app.test_client()).post("/api/v1/devices/enrol", {"code": code, "device": str(uuid.uuid4())})
        assert (answer.status_code, answer.get_json().get("code")) == (status, expected)


def test_a_late_and_an_unknown_code_are_refused(author: Asker, stranger: Asker, clock: SetClock) -> None:
    code = make_code(author)["code"]
    clock.move(minutes=10)
    for typed, expected in ((code, (410, "code_expired")), ("ZZZZZZZZ", (404, "code_unknown"))):
        answer = stranger.post("/api/v1/devices/enrol", {"code": typed, "device": str(uuid.uuid4())})
        assert (answer.status_code, answer.get_json()["code"]) == expected


def test_the_public_address_stands_in_links(app: Flask, author: Asker) -> None:
    app.config["BENCHTRAIL_PUBLIC_URL"] = "https://bench.example"
    assert make_code(author)["link"].startswith("https://bench.example/enrol#code=")


def test_a_link_leads_to_a_procedure_that_is_published(app: Flask, ports: Ports, author: Asker) -> None:
    answer = author.post("/api/v1/desk/links", {"procedure": "test-drain"})
    assert (answer.status_code, answer.get_json()["code"]) == (404, "no_such_procedure")
    with app.app_context():
        publish_packs(ports, "withen-bridge", Order([a_pack()], "anna"))
    made = author.post("/api/v1/desk/links", {"procedure": "test-drain"}).get_json()
    assert made["link"] == "http://localhost/procedure/test-drain"


def test_readers_read_and_do_not_write(reader: Asker, phone: Asker) -> None:
    assert reader.get("/api/v1/desk/devices").status_code == 200
    for answer in (reader.post("/api/v1/desk/enrolment-codes", {"label": "x"}),
                   reader.post("/api/v1/desk/links", {"procedure": "x"}),
                   reader.delete(f"/api/v1/desk/devices/{phone.device}")):
        assert (answer.status_code, answer.get_json()["code"]) == (403, "author_only")


def test_an_unknown_phone_cannot_be_shut_out(author: Asker) -> None:
    answer = author.delete(f"/api/v1/desk/devices/{uuid.uuid4()}")
    assert (answer.status_code, answer.get_json()["code"]) == (404, "no_such_device")


@pytest.mark.parametrize("label", ["", "x" * 150])
def test_a_code_says_whose_phone_it_is(author: Asker, label: str) -> None:
    answer = author.post("/api/v1/desk/enrolment-codes", {"label": label})
    assert (answer.status_code, answer.get_json()["code"]) == (400, "label_length")
