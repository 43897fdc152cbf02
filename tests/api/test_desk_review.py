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


def published_map_in_writing(author: Asker) -> tuple[str, str]:
    """The sample library published, its map opened for the next revision: the workfile and its text with another figure."""
    author.post("/api/v1/desk/library/publish", {"files": files(), "change_note": "First."})
    body = {"kind": "map", "id": "test-model", "model": None, "published": True}
    made = author.post("/api/v1/desk/workfiles", body).get_json()
    return made["id"], made["text"].replace('"10 N·m"', '"11 N·m"').replace("revision: 1", "revision: 2")


def test_a_changed_figure_of_the_map_names_the_procedures_that_use_it(author: Asker, reader: Asker) -> None:
    workfile, text = published_map_in_writing(author)
    assert text.count("11 N·m") == 1
    at = f"/api/v1/desk/workfiles/{workfile}"
    same = author.post(f"{at}/before-review", {"text": author.get(at).get_json()["text"]}).get_json()
    assert same == {"revision": 1, "in_force": 1, "same": True, "changes": [], "touched": []}
    met = author.post(f"{at}/before-review", {"text": text}).get_json()
    assert (met["revision"], met["in_force"], met["same"]) == (2, 1, False)
    (touched,) = met["touched"]
    assert (touched["procedure"], touched["revision"], touched["findings"], touched["workfile"]) == ("renew-cover-gasket", 1, [], None)
    assert any("11 N·m" in change["words"] and change["redo"] for change in touched["changes"])
    assert reader.post(f"{at}/before-review", {"text": text}).status_code == 403


def test_touched_procedures_get_their_next_revision_with_the_map(app: Flask, author: Asker) -> None:
    workfile, text = published_map_in_writing(author)
    at = f"/api/v1/desk/workfiles/{workfile}"
    assert author.post(f"{at}/save", {"base": 1, "text": text}).status_code == 200
    body = {"workfile": workfile, "version": 2, "change_note": "The cover takes 11 N·m.", "touched": ["renew-cover-gasket"]}
    made = author.post("/api/v1/desk/proposals", body)
    assert made.status_code == 201, made.text
    whole = author.get(f"/api/v1/desk/proposals/{made.get_json()['id']}").get_json()
    job = next(file["text"] for file in whole["files"] if file["path"] == PATHS["job"])
    changed = [(old, new) for old, new in zip(JOB.splitlines(), job.splitlines(), strict=True) if old != new]
    assert [new.partition(":")[0] for _, new in changed] == ["revision", "issued", "change_note"]
    assert "revision: 2" in job
    assert [(one["id"], one["before"], one["revision"]) for one in whole["impact"]] == [("test-model", 1, 2), ("renew-cover-gasket", 1, 2)]
    assert whole["left_out"] == []
    alone = author.post("/api/v1/desk/proposals", body | {"touched": []}).get_json()["id"]
    (left,) = author.get(f"/api/v1/desk/proposals/{alone}").get_json()["left_out"]
    assert (left["procedure"], left["changes"][0]["redo"]) == ("renew-cover-gasket", True)
    assert author.post("/api/v1/desk/proposals", body | {"touched": ["no-such"]}).get_json()["code"] == "touched_not_published"


def test_a_revision_that_was_not_counted_up_is_told_before_anyone_reviews_it(author: Asker) -> None:
    workfile, text = published_map_in_writing(author)
    kept = {"base": 1, "text": text.replace("revision: 2", "revision: 1")}
    assert author.post(f"/api/v1/desk/workfiles/{workfile}/save", kept).status_code == 200
    refused = author.post("/api/v1/desk/proposals", {"workfile": workfile, "version": 2, "change_note": "Another figure."})
    assert (refused.status_code, refused.get_json()["code"]) == (409, "revision_unchanged")
    (only,) = author.get("/api/v1/desk/proposals").get_json()["proposals"]
    assert only["change_note"] == "First."


def test_the_text_being_written_of_a_touched_procedure_goes_on_from_what_was_published(app: Flask, author: Asker) -> None:
    workfile, text = published_map_in_writing(author)
    opened = {"kind": "procedure", "id": "renew-cover-gasket", "model": "test-model", "published": True}
    job = author.post("/api/v1/desk/workfiles", opened).get_json()["id"]
    author.post(f"/api/v1/desk/workfiles/{workfile}/save", {"base": 1, "text": text})

    def publish(version: int, note: str) -> str:
        body = {"workfile": workfile, "version": version, "change_note": note, "touched": ["renew-cover-gasket"]}
        at = f"/api/v1/desk/proposals/{author.post('/api/v1/desk/proposals', body).get_json()['id']}"
        sign_in(app, "rob").post(f"{at}/reviews", {"verdict": "accepted", "words": ""})
        assert author.post(f"{at}/publish", {"bulletin": note}).status_code == 200
        return str(author.get(f"/api/v1/desk/workfiles/{job}").get_json()["text"])

    now = publish(2, "The cover takes 11 N·m.")
    assert "revision: 2" in now
    assert "The cover takes 11 N·m." in now
    # what a person wrote there meanwhile is theirs, and stays
    mine = now.replace("Pull the cover off.", "Pull the cover off level.")
    author.post(f"/api/v1/desk/workfiles/{job}/save", {"base": 2, "text": mine})
    third = text.replace("11 N·m", "12 N·m").replace("revision: 2", "revision: 3")
    author.post(f"/api/v1/desk/workfiles/{workfile}/save", {"base": 2, "text": third})
    assert publish(3, "The cover takes 12 N·m.") == mine
