"""Review over HTTP: an author proposes, a reviewer accepts, it is published; a saved workfile goes the same way."""

from flask import Flask
from tests.api.conftest import Asker, sign_in
from tests.sample_texts import JOB, MAP, without_step

PATHS = {"map": "test-model/map.yaml", "job": "test-model/renew-cover-gasket.yaml"}


def files(job: str = JOB) -> list[dict[str, str]]:
    return [{"path": PATHS["map"], "text": MAP}, {"path": PATHS["job"], "text": job}]


def test_from_a_proposal_to_a_published_revision(app: Flask, author: Asker, reader: Asker) -> None:
    reviewer = sign_in(app, "rob")
    made = author.post("/api/v1/desk/proposals", {"files": files(), "change_note": "First issue."})
    assert made.status_code == 201, made.text
    at = f"/api/v1/desk/proposals/{made.get_json()['id']}"
    assert author.post(f"{at}/publish", {}).get_json()["code"] == "proposal_not_accepted"
    assert reader.post(f"{at}/reviews", {"verdict": "accepted", "words": ""}).status_code == 403
    assert reviewer.post(f"{at}/publish", {}).status_code == 403
    assert reviewer.post(f"{at}/reviews", {"verdict": "accepted", "words": "Read it."}).get_json()["state"] == "accepted"
    whole = reader.get(at).get_json()
    assert [one["id"] for one in whole["impact"]] == ["test-model", "renew-cover-gasket"]
    assert len(author.post(f"{at}/publish", {}).get_json()["published"]) == 2
    revision = reader.get("/api/v1/desk/library").get_json()["procedures"][0]["revisions"][0]
    assert (revision["reviewed_by"], revision["own_review"]) == ("rob", None)


def test_errors_are_told_with_their_findings_and_nothing_is_proposed(author: Asker) -> None:
    refused = author.post("/api/v1/desk/proposals", {"files": files(without_step(JOB, "stage-2")), "change_note": "A step less."})
    assert (refused.status_code, refused.get_json()["code"]) == (422, "library_not_publishable")
    assert refused.get_json()["values"]["findings"]
    assert author.get("/api/v1/desk/proposals").get_json()["proposals"] == []


def test_publishing_in_one_step_is_recorded_as_ones_own_review(author: Asker) -> None:
    assert author.post("/api/v1/desk/library/publish", {"files": files(), "change_note": "First."}).status_code == 200
    revision = author.get("/api/v1/desk/library").get_json()["procedures"][0]["revisions"][0]
    assert revision["reviewed_by"] == "anna"
    assert "nobody else" in revision["own_review"]


def test_a_saved_version_of_a_workfile_is_reviewed_as_it_was_saved(app: Flask, author: Asker) -> None:
    kept = {}
    for kind, id, text in (("map", "test-model", MAP), ("procedure", "renew-cover-gasket", JOB)):
        body = {"kind": kind, "id": id, "model": "test-model", "text": text}
        kept[kind] = author.post("/api/v1/desk/workfiles", body).get_json()["id"]
    body = {"workfile": kept["procedure"], "version": 1, "change_note": "First issue."}
    made = author.post("/api/v1/desk/proposals", body)
    assert made.status_code == 201, made.text
    later = {"base": 1, "text": JOB.replace("Pull the cover off.", "Pull the cover off at once.")}
    assert author.post(f"/api/v1/desk/workfiles/{kept['procedure']}/save", later).status_code == 200
    at = f"/api/v1/desk/proposals/{made.get_json()['id']}"
    sign_in(app, "rob").post(f"{at}/reviews", {"verdict": "accepted", "words": ""})
    assert author.post(f"{at}/publish", {"bulletin": "Use this one."}).status_code == 200
    texts = [file["text"] for file in author.get(at).get_json()["files"]]
    assert any("Pull the cover off. " in text for text in texts)
    assert not any("at once" in text for text in texts)


def test_withdrawing_takes_a_procedure_out_of_what_is_current(author: Asker, reader: Asker) -> None:
    author.post("/api/v1/desk/library/publish", {"files": files(), "change_note": "First."})
    body = {"procedure": "renew-cover-gasket", "reason": "The figure is in doubt."}
    assert reader.post("/api/v1/desk/library/withdraw", body).status_code == 403
    assert author.post("/api/v1/desk/library/withdraw", body).status_code == 200
    assert author.post("/api/v1/desk/links", {"procedure": "renew-cover-gasket"}).status_code == 404
    assert author.post("/api/v1/desk/library/withdraw", body).get_json()["code"] == "no_such_procedure"
