"""One error body for everything that is refused, with its status and its three sentences."""

import json
import logging

import pytest
from flask import Flask
from tests.api.conftest import WRITE, Asker
from werkzeug.test import TestResponse

from benchtrail.api.guard import BODY_BYTES

JSON = WRITE | {"Content-Type": "application/json"}


def check(answer: TestResponse, status: int, code: str) -> dict[str, object]:
    assert answer.status_code == status, answer.text
    body = answer.get_json()
    assert body["code"] == code
    assert set(body) <= {"code", "values", "message", "fields"}
    assert set(body["message"]) == {"happened", "means", "do"}
    assert "{" not in "".join(body["message"].values()), "a placeholder was not filled"
    assert answer.headers["Cache-Control"] == "no-store"
    return dict(body)


def test_an_unknown_address_is_not_there(stranger: Asker) -> None:
    check(stranger.get("/api/v1/nothing"), 404, "address_unknown")


def test_a_wrong_method_names_the_right_ones(stranger: Asker) -> None:
    answer = stranger.client.put("/api/v1/session", headers=JSON, data="{}")
    check(answer, 405, "method_not_here")
    assert {"GET", "POST", "DELETE"} <= set(answer.headers["Allow"].split(", "))


def test_a_write_without_our_header_is_refused(stranger: Asker) -> None:
    answer = stranger.client.post("/api/v1/session", json={"name": "anna", "password": "x"})
    check(answer, 403, "write_header_missing")


@pytest.mark.parametrize("site", ["cross-site", "same-site", "none"])
def test_a_write_from_another_site_is_refused(stranger: Asker, site: str) -> None:
    answer = stranger.post("/api/v1/session", {"name": "anna", "password": "x"}, headers={"Sec-Fetch-Site": site})
    check(answer, 403, "foreign_site")


def test_a_form_is_not_json(stranger: Asker) -> None:
    answer = stranger.client.post("/api/v1/session", data={"name": "anna"}, headers=WRITE)
    check(answer, 415, "not_json")


@pytest.mark.parametrize("text", ["", "{", "[1,", '{"name": NaN}', "\xff\xfe"])
def test_a_body_that_is_not_json_is_refused(stranger: Asker, text: str) -> None:
    answer = stranger.client.post("/api/v1/session", data=text.encode("latin-1"), headers=JSON)
    assert answer.status_code == 400
    assert answer.get_json()["code"] in ("json_unreadable", "input_not_as_described")


def test_fields_that_are_missing_unknown_or_of_another_kind_are_named(stranger: Asker) -> None:
    body = check(stranger.post("/api/v1/session", {"name": 5, "surprise": 1}), 400, "input_not_as_described")
    assert set(body["fields"]["json"]) == {"name", "password", "surprise"}  # type: ignore[index]


def test_a_body_beyond_the_limit_is_too_large(phone: Asker) -> None:
    text = json.dumps({"events": [], "pad": "x" * BODY_BYTES})
    answer = phone.client.post("/api/v1/events", data=text, headers=JSON)
    check(answer, 413, "body_too_large")


def test_a_fault_of_ours_is_logged_whole_and_told_by_reference_only(
    app: Flask, stranger: Asker, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr("benchtrail.api.public.manifest_of", fail)
    with caplog.at_level(logging.ERROR):
        answer = stranger.get("/api/v1/dealers/withen-bridge/manifest")
    body = check(answer, 500, "server_fault")
    reference = body["values"]["reference"]  # type: ignore[index]
    assert "secret detail" not in answer.text
    assert any(reference in record.message and record.exc_info for record in caplog.records)


def test_busy_writers_are_told_when_to_come_back(app: Flask, phone: Asker, monkeypatch: pytest.MonkeyPatch) -> None:
    with app.app_context():
        engine = app.extensions["benchtrail"].storage.engine
        engine.dispose()
        monkeypatch.setattr("benchtrail.storage.database.BUSY_MS", 50)
        with engine.connect().execution_options(benchtrail_writes=True) as other, other.begin():
            answer = phone.post("/api/v1/events", {"events": [], "waiting": 0})
    check(answer, 503, "server_busy")
    assert answer.headers["Retry-After"] == "2"


def test_every_answer_carries_the_strict_headers(stranger: Asker) -> None:
    for path in ("/", "/desk", "/sw.js", "/api/v1/dealers", "/api/v1/nothing", "/healthz", "/nothing.png"):
        headers = stranger.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
        assert "require-trusted-types-for 'script'; trusted-types benchtrail" in policy
        assert "unsafe" not in policy
        assert "data:" not in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
