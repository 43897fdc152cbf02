"""A dealership's file over HTTP: out of the desk for an owner, into a new server with the code that it printed."""

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from tests.api.conftest import Asker, sign_in
from tests.making import SetClock
from tests.storage.test_archive import config_of
from werkzeug.test import TestResponse

from benchtrail.app import create_app
from benchtrail.services.set_up import set_up_code

INTO = "/api/v1/set-up/dealer-file"


@pytest.fixture
def file(app: Flask) -> bytes:
    answer = sign_in(app, "olive").get("/api/v1/desk/dealer-file")
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"] == "attachment; filename=withen-bridge-2026-11-25.zip"
    return answer.data


@pytest.fixture
def new(tmp_path: Path) -> Iterator[tuple[FlaskClient, str]]:
    app = create_app(config_of(tmp_path / "new"), SetClock())
    with app.app_context():
        code = set_up_code(app.extensions["benchtrail"])
    yield app.test_client(), code
    with app.app_context():
        app.extensions["benchtrail"].storage.close()


def sent(client: FlaskClient, content: bytes, code: str, query: str = "", kind: str = "application/zip") -> TestResponse:
    headers = {"X-Benchtrail": "1", "X-Benchtrail-Code": code, "Content-Type": kind}
    return client.post(f"{INTO}{query}", data=content, headers=headers)


def test_only_an_owner_takes_everything_out_and_no_other_site_can_start_it(app: Flask, file: bytes) -> None:
    assert zipfile.ZipFile(io.BytesIO(file)).testzip() is None
    for name in ("anna", "rob", "ben"):
        assert sign_in(app, name).get("/api/v1/desk/dealer-file").get_json()["code"] == "owner_only"
    assert Asker(app.test_client()).get("/api/v1/desk/dealer-file").status_code == 401
    foreign = sign_in(app, "olive").get("/api/v1/desk/dealer-file", headers={"Sec-Fetch-Site": "cross-site"})
    assert foreign.get_json()["code"] == "foreign_site"
    lines = sign_in(app, "olive").get("/api/v1/desk/audit").get_json()["lines"]
    assert [line["by"] for line in lines if line["act"] == "exported"] == ["olive"]


def test_a_new_server_looks_first_then_takes_it_in_once(new: tuple[FlaskClient, str], file: bytes) -> None:
    client, code = new
    looked = sent(client, file, code)
    assert looked.status_code == 200, looked.text
    assert (looked.get_json()["done"], looked.get_json()["key"]) == (False, "missing")
    assert client.get("/api/v1/dealers").get_json() == []
    refused = sent(client, file, code, "?dry_run=false")
    assert (refused.status_code, refused.get_json()["code"]) == (422, "dealer_key_missing")
    done = sent(client, file, code, "?dry_run=false&new_key=true").get_json()
    assert (done["done"], done["key"], [one["name"] for one in done["codes"]]) == (True, "new", ["olive"])
    assert [one["slug"] for one in client.get("/api/v1/dealers").get_json()] == ["withen-bridge"]
    again = sent(client, file, code, "?dry_run=false&new_key=true")
    assert (again.status_code, again.get_json()["code"]) == (409, "set_up_done")


def test_without_the_code_or_with_something_else_nothing_is_read(new: tuple[FlaskClient, str], file: bytes) -> None:
    client, code = new
    assert sent(client, file, "AAAAAAAA").get_json()["code"] == "set_up_code_wrong"
    assert sent(client, file, code, kind="application/json").get_json()["code"] == "not_a_zip"
    for content in (b"", b"PK", file[:-30]):
        answer = sent(client, content, code)
        assert (answer.status_code, answer.get_json()["code"]) == (422, "dealer_file_unreadable")
    assert client.get("/api/v1/dealers").get_json() == []
