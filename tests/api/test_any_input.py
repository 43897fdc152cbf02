"""Whatever is sent, no answer is a fault of the server, and every refusal has the one form."""

from typing import Any
from urllib.parse import quote

import pytest
from flask import Flask
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from tests.api.conftest import WRITE, Asker, sign_in

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4), max_leaves=12)
WORDS = ("name", "password", "code", "device", "label", "events", "waiting", "files", "path", "text", "change_note",
         "procedure", "id", "seq", "job", "kind", "body", "hlc", "wall", "pack", "prev", "schema",
         "model", "published", "title", "goals", "variant", "year", "options")
BODY = JSON | st.dictionaries(st.sampled_from(WORDS), JSON | st.lists(JSON, max_size=3), max_size=6)
PATHS = ("/api/v1/session", "/api/v1/devices/enrol", "/api/v1/events", "/api/v1/desk/enrolment-codes",
         "/api/v1/desk/links", "/api/v1/desk/library/check", "/api/v1/desk/library/publish",
         "/api/v1/desk/plan", "/api/v1/desk/draft", "/api/v1/desk/redraft", "/api/v1/desk/workfiles", "/api/v1/calc/torque_at_wrench")
ODD = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\r\n"), max_size=40)


def check(answer: Any) -> None:
    assert answer.status_code < 500, answer.text
    if answer.status_code >= 400:
        assert set(answer.get_json()["message"]) == {"happened", "means", "do"}


@pytest.fixture
def both(app: Flask, phone: Asker) -> Asker:
    """A browser that is an enrolled phone and signed in at the desk, so that every route looks at what it gets."""
    cookie = phone.client.get_cookie("benchtrail_device")
    assert cookie is not None
    asker = sign_in(app, "anna")
    asker.client.set_cookie("benchtrail_device", cookie.value)
    return asker


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(path=st.sampled_from(PATHS), body=BODY)
def test_any_json_gets_an_answer(both: Asker, path: str, body: Any) -> None:
    check(both.client.post(path, json=body, headers=WRITE))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(path=st.sampled_from(PATHS), body=st.binary(max_size=200))
def test_any_bytes_get_an_answer(both: Asker, path: str, body: bytes) -> None:
    check(both.client.post(path, data=body, headers=WRITE | {"Content-Type": "application/json"}))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(method=st.sampled_from(["POST", "PATCH", "HEAD", "DELETE"]), id=ODD, length=ODD, offset=ODD, metadata=ODD,
       checksum=ODD)
@example(method="DELETE", id="\0", length="", offset="", metadata="", checksum="")
@example(method="PATCH", id="\0", length="", offset="0", metadata="", checksum="")
@example(method="DELETE", id="x" * 300, length="", offset="", metadata="", checksum="")
def test_any_upload_headers_get_an_answer(
    both: Asker, method: str, id: str, length: str, offset: str, metadata: str, checksum: str
) -> None:
    path = "/api/v1/photos" if method == "POST" else "/api/v1/photos/" + (quote(id.strip("/."), safe="") or "x")
    odd = {"Upload-Length": length, "Upload-Offset": offset, "Upload-Metadata": metadata, "Upload-Checksum": checksum}
    sent = {name: value.encode("utf-8").decode("latin-1") for name, value in odd.items()}
    kind = {"Content-Type": "application/offset+octet-stream"} if method == "PATCH" else {}
    answer = both.client.open(path, method=method, headers=WRITE | {"Tus-Resumable": "1.0.0"} | sent | kind)
    assert answer.status_code < 500, answer.text


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(path=ODD, query=ODD)
def test_any_address_gets_an_answer(both: Asker, path: str, query: str) -> None:
    for start in ("/", "/api/v1/", "/packs/", "/desk/", "/api/v1/desk/jobs/"):
        address = start + quote(path.lstrip("/"), safe="/.")
        answer = both.client.get(address, query_string={"after": query, "nonce": query}, buffered=True)
        assert answer.status_code < 500, answer.text
