"""People and rights over HTTP: each role gets what it may, an owner lets people in and out, a new server is set up."""

from pathlib import Path

import pytest
from flask import Flask
from tests.api.conftest import Asker, sign_in
from tests.making import PASSWORD

from benchtrail.app import create_app
from benchtrail.config import Config
from benchtrail.services.set_up import set_up_code

NEW = "another long password"


@pytest.fixture
def owner(app: Flask) -> Asker:
    return sign_in(app, "olive")


def code_of(answer: object) -> tuple[int, str]:
    return answer.status_code, answer.get_json()["code"]  # type: ignore[attr-defined]


@pytest.mark.parametrize(("name", "people", "write"), [("olive", 200, 201), ("anna", 403, 201), ("rob", 403, 403), ("ben", 403, 403)])
def test_each_role_may_do_what_it_may(app: Flask, name: str, people: int, write: int) -> None:
    asker = sign_in(app, name)
    assert asker.get("/api/v1/desk/jobs").status_code == 200
    for path in ("people", "audit", "audit.csv"):
        assert asker.get(f"/api/v1/desk/{path}").status_code == people
    assert asker.post("/api/v1/desk/enrolment-codes", {"label": "x"}).status_code == write
    assert asker.post("/api/v1/desk/people", {"name": "zoe", "role": "reader"}).status_code == (201 if people == 200 else 403)


def test_an_owner_lets_someone_in_changes_the_role_and_closes_the_account(app: Flask, owner: Asker, stranger: Asker) -> None:
    made = owner.post("/api/v1/desk/people", {"name": "Dora", "role": "author"}).get_json()
    assert made["link"].endswith(f"/desk/password#code={made['code']}")
    assert stranger.post("/api/v1/password", {"code": made["code"], "password": NEW}).get_json() == {"name": "dora"}
    assert stranger.post("/api/v1/session", {"name": "dora", "password": NEW}).status_code == 200
    assert stranger.post("/api/v1/desk/enrolment-codes", {"label": "x"}).status_code == 201
    changed = owner.client.patch("/api/v1/desk/people/dora", json={"role": "reader"}, headers={"X-Benchtrail": "1"})
    assert changed.get_json()["role"] == "reader"
    assert code_of(stranger.post("/api/v1/desk/enrolment-codes", {"label": "x"})) == (403, "author_only")
    assert stranger.get("/api/v1/desk/jobs").status_code == 200
    owner.client.patch("/api/v1/desk/people/dora", json={"closed": True}, headers={"X-Benchtrail": "1"})
    assert code_of(stranger.get("/api/v1/desk/jobs")) == (401, "not_signed_in")
    people = {one["name"]: one["state"] for one in owner.get("/api/v1/desk/people").get_json()["people"]}
    assert people["dora"] == "closed"
    acts = [line["act"] for line in owner.get("/api/v1/desk/audit").get_json()["lines"]]
    assert acts[:2] == ["account_closed", "role_changed"]


def test_an_expired_or_used_code_says_so(app: Flask, owner: Asker, stranger: Asker, clock: object) -> None:
    code = owner.post("/api/v1/desk/people/ben/password-code", {}).get_json()["code"]
    clock.move(hours=25)  # type: ignore[attr-defined]
    assert code_of(stranger.post("/api/v1/password", {"code": code, "password": NEW})) == (410, "password_code_expired")
    assert stranger.post("/api/v1/session", {"name": "ben", "password": PASSWORD}).status_code == 200


def test_one_signs_another_browser_of_ones_own_out(app: Flask) -> None:
    here, there = sign_in(app, "ben"), sign_in(app, "ben")
    browsers = here.get("/api/v1/desk/browsers").get_json()["browsers"]
    (other,) = [one["id"] for one in browsers if not one["this"]]
    assert here.delete(f"/api/v1/desk/browsers/{other}").status_code == 204
    assert there.get("/api/v1/desk/jobs").status_code == 401
    assert here.get("/api/v1/desk/jobs").status_code == 200


def test_ones_own_password_is_changed_and_one_signs_in_anew(app: Flask) -> None:
    asker = sign_in(app, "ben")
    wrong = asker.post("/api/v1/desk/own-password", {"old": "not this one", "new": NEW})
    assert code_of(wrong) == (403, "old_password_wrong")
    assert asker.post("/api/v1/desk/own-password", {"old": PASSWORD, "new": NEW}).status_code == 204
    assert asker.get("/api/v1/desk/jobs").status_code == 401
    assert asker.post("/api/v1/session", {"name": "ben", "password": NEW}).status_code == 200


def test_the_audit_log_leaves_as_a_table(owner: Asker) -> None:
    answer = owner.get("/api/v1/desk/audit.csv")
    assert answer.mimetype == "text/csv"
    lines = answer.text.splitlines()
    assert lines[0] == "number,at,by,act,subject,values,prev,sha256"
    assert lines[1].startswith("1,2026-11-25T09:00:00.000Z,command line,account_made,anna,")


def test_a_new_server_is_set_up_in_the_browser(tmp_path: Path) -> None:
    config = Config(home=tmp_path, database_url=f"sqlite:///{tmp_path}/new.db", secret=b"y" * 32,
                    signing_key=str(tmp_path / "{dealer}.pem"), lighter_passwords=True)
    app = create_app(config)
    with app.app_context():
        ports = app.extensions["benchtrail"]
        code = set_up_code(ports)
    asker = Asker(app.test_client())
    assert asker.get("/api/v1/set-up").get_json() == {"needed": True}
    body = {"code": code, "dealer_name": "New Dealer", "name": "olive", "password": NEW}
    assert code_of(asker.post("/api/v1/set-up", body | {"code": "WRONG"})) == (403, "set_up_code_wrong")
    made = asker.post("/api/v1/set-up", body)
    assert made.status_code == 201
    assert made.get_json()["user"] == {"name": "olive", "role": "owner"}
    assert asker.get("/api/v1/desk/people").status_code == 200
    assert asker.get("/api/v1/set-up").get_json() == {"needed": False}
    assert code_of(asker.post("/api/v1/set-up", body)) == (409, "set_up_done")
    with app.app_context():
        ports.storage.close()
