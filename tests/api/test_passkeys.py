"""Passkeys over HTTP, with a real authenticator in software: added, used, named, removed; and all that must not open the desk."""

from dataclasses import dataclass, replace
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from tests.api.conftest import WRITE
from tests.authenticator import PRESENT, Authenticator
from tests.making import PASSWORD, SetClock
from werkzeug.test import TestResponse

HOST = "https://desk.example.org"


@dataclass
class Browser:
    """A browser at one address, with its cookies."""

    client: FlaskClient
    host: str = HOST

    def ask(self, method: str, path: str, body: object = None) -> TestResponse:
        return self.client.open(f"/api/v1{path}", method=method, json=body, headers=WRITE, base_url=self.host)

    def sign_in(self, name: str) -> "Browser":
        assert self.ask("POST", "/session", {"name": name, "password": PASSWORD}).status_code == 200
        return self

    def add(self, held: Authenticator, label: str = "workshop tablet") -> TestResponse:
        begun = self.ask("POST", "/desk/passkeys/begin", {"password": PASSWORD})
        assert begun.status_code == 200, begun.text
        return self.ask("POST", "/desk/passkeys", {"label": label, "credential": held.make(begun.get_json()["options"])})

    def enter(self, held: Authenticator, **change: Any) -> TestResponse:
        begun = self.ask("POST", "/passkeys/begin", {})
        assert begun.status_code == 200, begun.text
        return self.ask("POST", "/passkeys/session", {"credential": held.sign(begun.get_json()["options"]) | change})


@pytest.fixture
def anna(app: Flask) -> Browser:
    return Browser(app.test_client()).sign_in("anna")


@pytest.fixture
def held(anna: Browser) -> Authenticator:
    made = Authenticator()
    assert anna.add(made).status_code == 201
    return made


def anew(app: Flask, host: str = HOST) -> Browser:
    return Browser(app.test_client(), host)


def code_of(answer: TestResponse) -> tuple[int, str]:
    return answer.status_code, answer.get_json()["code"]


def test_a_passkey_signs_in_beside_the_password_and_says_when_it_was_used(app: Flask, anna: Browser, held: Authenticator) -> None:
    browser = anew(app)
    entered = browser.enter(held)
    assert (entered.status_code, entered.get_json()["user"]) == (200, {"name": "anna", "role": "author"})
    assert browser.ask("GET", "/desk/jobs").status_code == 200
    anew(app).sign_in("anna")
    (listed,) = anna.ask("GET", "/desk/passkeys").get_json()["passkeys"]
    assert (listed["label"], listed["site"], listed["used_at"] is not None) == ("workshop tablet", "desk.example.org", True)
    assert "public_key" not in listed


def test_it_is_named_anew_and_removed(app: Flask, anna: Browser, held: Authenticator) -> None:
    id = anna.ask("GET", "/desk/passkeys").get_json()["passkeys"][0]["id"]
    assert anna.ask("PATCH", f"/desk/passkeys/{id}", {"label": " blue  key "}).get_json()["label"] == "blue key"
    assert code_of(anna.ask("PATCH", f"/desk/passkeys/{id}", {"label": " "})) == (400, "passkey_label")
    for other in ("ben", "rob"):
        assert code_of(anew(app).sign_in(other).ask("DELETE", f"/desk/passkeys/{id}")) == (404, "no_such_passkey")
    assert anna.ask("DELETE", f"/desk/passkeys/{id}").status_code == 204
    assert code_of(anew(app).enter(held)) == (401, "passkey_refused")
    assert anna.ask("GET", "/desk/passkeys").get_json()["passkeys"] == []


def test_an_owner_sees_and_removes_everyones_and_others_see_their_own(app: Flask, anna: Browser, held: Authenticator) -> None:
    owner, ben = anew(app).sign_in("olive"), anew(app).sign_in("ben")
    assert ben.ask("GET", "/desk/passkeys").get_json()["passkeys"] == []
    (listed,) = owner.ask("GET", "/desk/passkeys").get_json()["passkeys"]
    assert code_of(owner.ask("PATCH", f"/desk/passkeys/{listed['id']}", {"label": "mine"})) == (404, "no_such_passkey")
    assert owner.ask("DELETE", f"/desk/passkeys/{listed['id']}").status_code == 204
    acts = [line["act"] for line in owner.ask("GET", "/desk/audit").get_json()["lines"]]
    assert [act for act in acts if act.startswith("passkey")] == ["passkey_removed", "passkey_added"]


def test_adding_needs_the_password_and_a_signed_in_browser(app: Flask, anna: Browser) -> None:
    assert code_of(anna.ask("POST", "/desk/passkeys/begin", {"password": "not this one"})) == (403, "old_password_wrong")
    assert anew(app).ask("POST", "/desk/passkeys/begin", {"password": PASSWORD}).status_code == 401
    assert code_of(anna.ask("POST", "/desk/passkeys", {"label": "x", "credential": {}})) == (410, "passkey_too_late")


def test_an_answer_is_good_once_and_for_five_minutes_and_for_its_own_question(app: Flask, held: Authenticator, clock: SetClock) -> None:
    browser = anew(app)
    options = browser.ask("POST", "/passkeys/begin", {}).get_json()["options"]
    cookie = browser.client.get_cookie("__Host-benchtrail_passkey", domain="desk.example.org")
    assert cookie is not None
    answer = held.sign(options)
    assert browser.ask("POST", "/passkeys/session", {"credential": answer}).status_code == 200
    browser.client.set_cookie("__Host-benchtrail_passkey", cookie.value, domain="desk.example.org", secure=True)
    assert code_of(browser.ask("POST", "/passkeys/session", {"credential": answer})) == (410, "passkey_too_late")

    late = anew(app)
    options = late.ask("POST", "/passkeys/begin", {}).get_json()["options"]
    clock.move(minutes=5)
    assert code_of(late.ask("POST", "/passkeys/session", {"credential": held.sign(options)})) == (410, "passkey_too_late")

    other = anew(app)
    other.ask("POST", "/passkeys/begin", {})
    assert code_of(other.ask("POST", "/passkeys/session", {"credential": held.sign(options)})) == (401, "passkey_refused")
    assert code_of(anew(app).ask("POST", "/passkeys/session", {"credential": answer})) == (410, "passkey_too_late")


def test_what_someone_else_could_make_opens_nothing(app: Flask, held: Authenticator) -> None:
    stranger = Authenticator()
    for wrong in (stranger, replace(stranger, id=held.id), replace(held, origin="https://evil.example"),
                  replace(held, site="evil.example"), replace(held, flags=PRESENT)):
        assert code_of(anew(app).enter(wrong)) == (401, "passkey_refused"), wrong
    for change in ({"response": {}}, {"id": 7}, {"id": None}, {"rawId": "AA"}, {"type": "password"}, {"response": {"signature": "AA"}}):
        assert code_of(anew(app).enter(held, **change)) == (401, "passkey_refused"), change
    assert anew(app).enter(held).status_code == 200


def test_a_copied_key_shows_by_its_counter(app: Flask, held: Authenticator) -> None:
    copy = replace(held)
    assert anew(app).enter(held).status_code == 200
    assert anew(app).enter(held).status_code == 200
    assert code_of(anew(app).enter(copy)) == (401, "passkey_refused")


def test_it_works_only_where_it_was_made(app: Flask, held: Authenticator) -> None:
    elsewhere = replace(held, site="other.example.org", origin="https://other.example.org")
    assert code_of(anew(app, "https://other.example.org").enter(elsewhere)) == (401, "passkey_refused")
    refused = anew(app, "https://192.0.2.7").ask("POST", "/passkeys/begin", {})
    assert code_of(refused) == (422, "passkey_needs_name")


def test_a_closed_account_is_closed_for_its_passkey_too_and_a_role_is_that_of_today(app: Flask, held: Authenticator) -> None:
    owner, browser = anew(app).sign_in("olive"), anew(app)
    assert browser.enter(held).status_code == 200
    owner.ask("PATCH", "/desk/people/anna", {"role": "reader"})
    assert code_of(browser.ask("POST", "/desk/enrolment-codes", {"label": "x"})) == (403, "author_only")
    owner.ask("PATCH", "/desk/people/anna", {"closed": True})
    assert browser.ask("GET", "/desk/jobs").status_code == 401
    assert code_of(anew(app).enter(held)) == (401, "passkey_refused")


def test_one_authenticator_is_added_once(app: Flask, anna: Browser, held: Authenticator) -> None:
    assert code_of(anna.add(held)) == (401, "passkey_refused")
    assert code_of(anew(app).sign_in("ben").add(held)) == (401, "passkey_refused")
