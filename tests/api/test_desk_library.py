"""The desk's library with the real texts of this project: checked, refused with findings, published."""

import json
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from tests.api.conftest import Asker

from benchtrail.resources import resource_dir
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import publish_files
from benchtrail.wiring import read_library

SEAL = "renew-water-pump-seal"


def text_of(name: str) -> str:
    return (resource_dir("procedures") / "hobmoor-fell-250" / f"{name}.yaml").read_text(encoding="utf-8")


def posted(text: str, path: str = f"{SEAL}.yaml") -> dict[str, Any]:
    return {"files": [{"path": path, "text": text}]}


@pytest.fixture
def published(app: Flask, ports: Ports) -> None:
    """The whole library, published from its folder as on the command line."""
    with app.app_context():
        files, read_picture = read_library([resource_dir("procedures")])
        assert not publish_files(ports, "withen-bridge", files, read_picture, "anna").refused


def test_the_library_shows_every_subject_with_its_revisions(reader: Asker, published: None) -> None:
    shown = reader.get("/api/v1/desk/library").get_json()["procedures"]
    assert "hobmoor-fell-250" in {one["id"] for one in shown if one["kind"] == "model"}
    (seal,) = [one for one in shown if one["id"] == SEAL]
    assert (seal["model"], [one["revision"] for one in seal["revisions"]]) == ("hobmoor-fell-250", [1])
    assert seal["revisions"][0]["current"]


def test_a_text_alone_is_checked_with_the_published_map_and_pictures(author: Asker, published: None) -> None:
    answer = author.post("/api/v1/desk/library/check", posted(text_of(SEAL)))
    assert answer.status_code == 200
    assert answer.get_json() == {"findings": [], "published": [], "language": {f"{SEAL}.yaml": True}}


def test_a_new_revision_is_published_and_phones_see_it_at_once(author: Asker, published: None) -> None:
    text = text_of(SEAL).replace("revision: 1\n", "revision: 2\n", 1)
    answer = author.post("/api/v1/desk/library/publish", posted(text) | {"change_note": "Second look."})
    assert answer.status_code == 200, answer.text
    (made,) = answer.get_json()["published"]
    assert (made["id"], made["revision"], made["new"]) == (SEAL, 2, True)
    payload = json.loads(author.get("/api/v1/dealers/withen-bridge/manifest").get_json()["payload"])
    (entry,) = [pack for pack in payload["packs"] if pack["id"] == SEAL]
    assert (entry["sha256"], entry["revision"]) == (made["sha256"], 2)
    pack = author.get(f"/packs/{made['sha256']}.json").get_json()
    assert pack["pictures"], "its pictures were taken from the revision before"
    (seal,) = [one for one in author.get("/api/v1/desk/library").get_json()["procedures"] if one["id"] == SEAL]
    assert (seal["revisions"][0]["revision"], seal["revisions"][0]["change_note"]) == (2, "Second look.")


def test_what_has_errors_is_refused_with_file_line_and_three_sentences(author: Asker, published: None) -> None:
    text = text_of(SEAL).replace("revision: 1\n", "revision: 2\n", 1).replace("undo radiator_cap", "undo radiator_lid")
    before = author.get("/api/v1/dealers/withen-bridge/manifest").get_json()
    answer = author.post("/api/v1/desk/library/publish", posted(text) | {"change_note": "x"})
    assert (answer.status_code, answer.get_json()["code"]) == (422, "library_not_publishable")
    findings = answer.get_json()["values"]["findings"]
    first = findings[0]
    assert first["file"] == f"{SEAL}.yaml"
    assert "radiator_lid" in text.splitlines()[first["line"] - 1]
    assert first["severity"] in ("block", "error")
    assert all(set(one["message"]) == {"happened", "means", "do"} for one in findings)
    assert author.get("/api/v1/dealers/withen-bridge/manifest").get_json() == before


def test_the_same_revision_with_another_text_is_a_conflict(author: Asker, published: None) -> None:
    text = text_of(SEAL).replace("title: ", "title: Again ", 1)
    answer = author.post("/api/v1/desk/library/publish", posted(text) | {"change_note": "x"})
    assert (answer.status_code, answer.get_json()["code"]) == (409, "revision_unchanged")
    assert SEAL in answer.get_json()["message"]["happened"]


def test_publishing_what_is_in_force_changes_nothing(author: Asker, published: None) -> None:
    answer = author.post("/api/v1/desk/library/publish", posted(text_of(SEAL)) | {"change_note": "x"})
    assert (answer.status_code, answer.get_json()["published"]) == (200, [])


def test_a_changed_map_comes_with_the_procedures_on_it(author: Asker, published: None) -> None:
    changed = text_of("map").replace("revision: 1\n", "revision: 2\n", 1)
    body = posted(changed, "map.yaml") | {"change_note": "Map read again."}
    answer = author.post("/api/v1/desk/library/publish", body)
    assert answer.status_code == 200, answer.text
    assert [(one["kind"], one["revision"]) for one in answer.get_json()["published"]] == [("model", 2)]


ELSEWHERE = ["../map.yaml", "/etc/passwd", "a\\b.yaml", "notes.txt", "c:map.yaml", "a/../../b.yaml"]


@pytest.mark.parametrize("path", ELSEWHERE)
def test_a_path_that_leads_elsewhere_is_refused(author: Asker, path: str) -> None:
    answer = author.post("/api/v1/desk/library/check", posted("x: 1", path))
    assert (answer.status_code, answer.get_json()["code"]) == (400, "library_files_form")


@pytest.mark.parametrize("text", ["", "\u0000", "- [", "a: &x [*x]", "x: " + "[" * 5000, "\ud800", "procedure: 5"])
def test_any_text_gets_findings_and_no_fault(author: Asker, text: str) -> None:
    answer = author.post("/api/v1/desk/library/check", posted(text))
    assert answer.status_code == 200, answer.text
    assert answer.get_json()["findings"]


def test_readers_and_strangers_publish_nothing(reader: Asker, stranger: Asker) -> None:
    body = posted("x: 1") | {"change_note": "x"}
    assert reader.post("/api/v1/desk/library/publish", body).get_json()["code"] == "author_only"
    assert reader.post("/api/v1/desk/library/check", posted("x: 1")).status_code == 403
    assert stranger.post("/api/v1/desk/library/publish", body).get_json()["code"] == "not_signed_in"


def test_without_the_key_on_the_server_the_desk_says_where_to_publish(
    author: Asker, published: None, tmp_path: Path
) -> None:
    (tmp_path / "keys" / "withen-bridge.pem").unlink()
    text = text_of(SEAL).replace("revision: 1\n", "revision: 2\n", 1)
    answer = author.post("/api/v1/desk/library/publish", posted(text) | {"change_note": "x"})
    assert (answer.status_code, answer.get_json()["code"]) == (503, "signing_key_missing")


def test_a_warning_is_published_only_with_its_reason(author: Asker, published: None) -> None:
    look = "    look_for: The flat in the impeller meets the flat on the shaft. The vanes face you.\n"
    assert look in text_of(SEAL)
    text = text_of(SEAL).replace("revision: 1\n", "revision: 2\n", 1).replace(look, "")
    refused = author.post("/api/v1/desk/library/publish", posted(text) | {"change_note": "x"})
    assert (refused.status_code, refused.get_json()["code"]) == (422, "library_not_publishable")
    findings = refused.get_json()["values"]["findings"]
    steps = {one["step"] for one in findings}
    assert {(one["code"], one["check"], one["severity"]) for one in findings} == {
        ("warning_without_reason", "D9", "error"), ("look_for_missing", "D9", "warning")}
    accepted = "accepted:\n" + "".join(f"  - {{check: D9, step: {step}, reason: It fits one way only.}}\n" for step in sorted(steps))
    answer = author.post("/api/v1/desk/library/publish", posted(text + accepted) | {"change_note": "x"})
    assert answer.status_code == 200, answer.text
    assert {one["reason"] for one in answer.get_json()["findings"]} == {"It fits one way only."}
    (made,) = answer.get_json()["published"]
    assert {one["step"] for one in author.get(f"/packs/{made['sha256']}.json").get_json()["accepted"]} == steps
