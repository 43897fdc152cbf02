"""Drafts over HTTP: the text of a procedure from goals, what the map leaves open, and every refusal."""

from typing import Any

import pytest
from flask import Flask
from tests.api.conftest import Asker

from benchtrail.resources import resource_dir
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import publish_files
from benchtrail.services.workfiles import start_workfile
from benchtrail.wiring import read_library

PACKER = "hobmoor-packer-400"
MAP = resource_dir("procedures") / PACKER / "map.yaml"


@pytest.fixture(autouse=True)
def published(app: Flask, ports: Ports) -> None:
    with app.app_context():
        files, read_picture = read_library([MAP])
        assert not publish_files(ports, "withen-bridge", files, read_picture, "anna").refused


def drafted(asker: Asker, *goals: str, **more: Any) -> Any:
    return asker.post("/api/v1/desk/draft", {"model": PACKER, "goals": list(goals), "variant": None} | more)


def test_a_draft_is_a_procedure_and_says_what_the_desk_finds_in_it(author: Asker) -> None:
    answer = drafted(author, "changed engine_oil").get_json()
    assert (answer["procedure"], answer["path"]) == ("change-engine-oil", f"{PACKER}/change-engine-oil.yaml")
    assert "do: [undo oil_drain_plug, drain engine_oil]" in answer["text"]
    assert "fill engine_oil 2100 ml" in answer["text"]
    checked = author.post("/api/v1/desk/library/check", {"files": [{"path": answer["path"], "text": answer["text"]}]})
    assert checked.get_json()["findings"] == answer["findings"]


def test_a_draft_for_one_variant_applies_to_no_other(author: Asker) -> None:
    answer = drafted(author, "changed final_oil", variant={"year": 2024, "options": ["shaft_drive"]}).get_json()
    assert "shaft_drive" in next(line for line in answer["text"].splitlines() if line.startswith("applies:"))


def test_the_map_being_written_counts_before_the_published_one(app: Flask, ports: Ports, author: Asker) -> None:
    with app.app_context():
        text = MAP.read_text(encoding="utf-8").replace("refill_ml: 2100", "refill_ml: 1900")
        start_workfile(ports, "withen-bridge", "anna", "map", f"{PACKER}/map.yaml", text)
    assert "fill engine_oil 1900 ml" in drafted(author, "changed engine_oil").get_json()["text"]


def test_what_the_map_leaves_open_is_said_in_three_parts(app: Flask, ports: Ports, author: Asker) -> None:
    with app.app_context():
        text = MAP.read_text(encoding="utf-8").replace("capacity_ml: 2300, refill_ml: 2100, ", "")
        assert "capacity_ml: 2300" not in text
        start_workfile(ports, "withen-bridge", "anna", "map", f"{PACKER}/map.yaml", text)
    answer = drafted(author, "changed engine_oil").get_json()
    (found,) = [one for one in answer["findings"] if one["code"] == "draft_amount_missing"]
    assert (found["step"], found["severity"]) == ("fill-engine-oil", "warning")
    assert set(found["message"]) == {"happened", "means", "do"}
    assert "2100" not in answer["text"]


@pytest.mark.parametrize(("goals", "more", "status", "code"), [
    (["renewed nothing_here"], {}, 422, "goal_unknown"),
    (["make it so"], {}, 422, "goal_unreadable"),
    (["changed engine_oil"], {"model": "no-such-model"}, 404, "desk_plan_model_unknown"),
    (["changed engine_oil"], {"variant": {"year": 1900, "options": []}}, 422, "plan_variant_invalid"),
])
def test_what_cannot_be_drafted_is_refused_with_a_reason(author: Asker, goals: list[str], more: Any, status: int,
                                                         code: str) -> None:
    answer = drafted(author, *goals, **more)
    assert (answer.status_code, answer.get_json()["code"]) == (status, code)


def test_a_reader_may_not_draft(reader: Asker) -> None:
    assert drafted(reader, "changed engine_oil").status_code == 403
