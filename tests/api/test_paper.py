"""Bench sheets, service records and plain pages: whole, safe to embed, and with linked data of the published vocabulary."""

import io
import json
import re

import pytest
from flask import Flask
from pypdf import PdfReader
from tests.api.conftest import Asker
from tests.making import Journal, a_photo
from tests.sample_texts import JOB, MAP

# schema.org, release 29.0, schemaorg-current-https-types.csv: properties of these types that are used here, those of their
# supertypes (CreativeWork, ItemList, ListItem, Thing) included; and of the same release the types that a property's value may have.
VOCABULARY = {
    "HowTo": {"name", "description", "url", "inLanguage", "version", "datePublished", "author", "supply", "tool", "step",
              "about", "totalTime"},
    "HowToSection": {"name", "position", "itemListElement"}, "HowToStep": {"position", "url", "itemListElement"},
    "HowToDirection": {"text"}, "HowToTip": {"text"}, "HowToSupply": {"name"}, "HowToTool": {"name"},
    "Organization": {"name"}, "Product": {"name"},
}
VALUES = {"supply": {"HowToSupply"}, "tool": {"HowToTool"}, "step": {"HowToSection", "HowToStep"}, "author": {"Organization"},
          "about": {"Product"}, "itemListElement": {"HowToStep", "HowToDirection", "HowToTip"}}
FILES = [{"path": "test-model/map.yaml", "text": MAP}, {"path": "test-model/renew-cover-gasket.yaml", "text": JOB}]


@pytest.fixture
def published(author: Asker) -> Asker:
    answer = author.post("/api/v1/desk/library/publish", {"files": FILES, "change_note": "First."})
    assert answer.status_code == 200, answer.text
    return author


def text_of(content: bytes) -> tuple[PdfReader, str]:
    reader = PdfReader(io.BytesIO(content))
    return reader, "\n".join(page.extract_text() for page in reader.pages)


@pytest.mark.parametrize(("size", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_a_bench_sheet_holds_the_whole_job(published: Asker, size: str, points: tuple[int, int]) -> None:
    answer = published.get(f"/api/v1/desk/paper/procedures/renew-cover-gasket?size={size}&year=2022&options=chain_drive,guard_bar")
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf"), answer.text
    reader, words = text_of(answer.data)
    box = reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == points
    for wanted in ("Undo both bar bolts", "Torque sheet", "Ledger", "Tray", "Hole patterns at true size", "T-1", "Before you begin"):
        assert wanted in words, wanted
    assert "Invented machine and figures" in words


def test_a_sheet_for_a_machine_leaves_out_what_it_does_not_have(published: Asker) -> None:
    answer = published.get("/api/v1/desk/paper/procedures/renew-cover-gasket?year=2022&options=chain_drive")
    assert "Undo both bar bolts" not in text_of(answer.data)[1]
    wrong = published.get("/api/v1/desk/paper/procedures/renew-cover-gasket?year=1999")
    assert (wrong.status_code, wrong.get_json()["code"]) == (422, "paper_variant_unknown")


def test_a_pattern_is_drawn_at_true_size(published: Asker) -> None:
    """Distances of the circles on the page, in points, against those of the map in millimetres (1 pt = 1/72 in, ISO 32000)."""
    content = published.get("/api/v1/desk/paper/procedures/renew-cover-gasket?year=2022&options=chain_drive").data
    reader, _ = text_of(content)
    page = next(page for page in reader.pages if "true size" in page.extract_text())
    commands = page.get_contents().get_data().decode("latin-1")  # type: ignore[union-attr]
    lines = [tuple(map(float, found)) for found in re.findall(r"([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l", commands)]
    assert any(abs(abs(x2 - x1) / 72 * 25.4 - 50) < 0.05 and y1 == y2 for x1, y1, x2, y2 in lines), "no bar of 50 mm"


def test_a_service_record_holds_notes_readings_and_photos(published: Asker, phone: Asker) -> None:
    entry = published.get("/api/v1/desk/library").get_json()["procedures"][0]["revisions"][0]
    journal = Journal(phone.device, pack=entry["sha256"])
    content = a_photo()
    machine = {"id": "m", "name": "Fell of the club", "model": "test-model", "year": 2022, "options": ["chain_drive"], "hours": 120.5,
               "serial": "F-1"}
    sha256 = phone.send_photo(content, journal.job)
    phone.post("/api/v1/events", {"waiting": 0, "events": [
        journal.write("JobStarted", {"machine": machine, "procedure": "renew-cover-gasket", "revision": 1,
                                     "title": "Renew the cover gasket"}),
        journal.write("StepDone", {"step": "tray-on"}), journal.write("NoteWritten", {"step": "tray-on", "text": "Ёлка, 12 µm, naïve"}),
        journal.write("PhotoTaken", {"step": "tray-on", "sha256": sha256, "mime": "image/jpeg", "bytes": len(content), "width": 64,
                                     "height": 48, "caption": "The tray"})]})
    answer = published.get(f"/api/v1/desk/paper/jobs/{journal.job}/record")
    assert answer.status_code == 200, answer.text
    reader, words = text_of(answer.data)
    for wanted in ("Fell of the club", "120.5 h", "F-1", "Ёлка, 12 µm, naïve", "The tray", entry["sha256"][:12]):
        assert wanted in words, wanted
    assert sum(len(page.images) for page in reader.pages) == 1
    sheet = published.get(f"/api/v1/desk/paper/jobs/{journal.job}/sheet?size=Letter")
    assert "Fell of the club" in text_of(sheet.data)[1]


def types_and_fields(node: object) -> list[tuple[str, set[str]]]:
    if isinstance(node, list):
        return [pair for one in node for pair in types_and_fields(one)]
    if not isinstance(node, dict):
        return []
    own = [(node["@type"], set(node) - {"@type", "@context"})]
    return own + [pair for one in node.values() for pair in types_and_fields(one)]


def values_of(node: object) -> list[tuple[str, object]]:
    if isinstance(node, list):
        return [pair for one in node for pair in values_of(one)]
    if not isinstance(node, dict):
        return []
    own = [(name, one) for name, value in node.items() for one in (value if isinstance(value, list) else [value])]
    return own + [pair for one in node.values() for pair in values_of(one)]


def test_values_of_the_linked_data_are_of_the_types_that_the_vocabulary_names(published: Asker, stranger: Asker) -> None:
    page = stranger.get("/how-to/withen-bridge/renew-cover-gasket").text
    made = json.loads(re.findall(r'<script type="application/ld\+json">(.*?)</script>', page, re.DOTALL)[0])
    for name, value in values_of(made):
        if isinstance(value, dict):
            assert value["@type"] in VALUES[name], (name, value["@type"])
        elif name == "position":
            assert isinstance(value, int)
        elif name == "totalTime":
            assert re.fullmatch(r"PT\d+M", str(value)), "a Duration in ISO 8601"
        elif name == "datePublished":
            assert re.fullmatch(r"\d{4}-\d\d-\d\d", str(value)), "a Date in ISO 8601"
        elif name == "url":
            assert str(value).startswith(f"{made['url']}")
            _, _, place = str(value).partition("#")
            assert not place or f'id="{place}"' in page, "a step's address leads to it"
        else:
            assert isinstance(value, str), name
    assert made["url"].startswith("http")
    assert f'<link rel="canonical" href="{made["url"]}">' in page


def test_the_plain_page_has_linked_data_of_the_published_vocabulary(published: Asker, stranger: Asker) -> None:
    answer = stranger.get("/how-to/withen-bridge/renew-cover-gasket")
    assert answer.status_code == 200
    (data,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', answer.text, re.DOTALL)
    made = json.loads(data)
    assert (made["@type"], made["name"], made["version"]) == ("HowTo", "Renew the cover gasket", "1")
    found = types_and_fields(made)
    assert {name for name, _ in found} >= {"HowTo", "HowToSection", "HowToStep", "HowToDirection", "HowToTip", "HowToTool"}
    for name, fields in found:
        assert fields <= VOCABULARY[name], f"{name}: {fields - VOCABULARY[name]}"
    steps = [step for section in made["step"] for step in section["itemListElement"]]
    assert [step["position"] for step in steps] == list(range(1, len(steps) + 1))


def test_the_plain_page_may_be_embedded_and_runs_no_script(published: Asker, stranger: Asker, app: Flask) -> None:
    answer = stranger.get("/how-to/withen-bridge/renew-cover-gasket")
    policy = answer.headers["Content-Security-Policy"]
    assert "frame-ancestors *" in policy
    assert "script-src" not in policy
    assert "default-src 'none'" in policy
    assert "require-trusted-types-for 'script'" in policy
    assert stranger.get("/how-to/withen-bridge/nothing").status_code == 404
    assert stranger.get("/how-to/nobody/renew-cover-gasket").status_code == 404


def test_words_of_a_text_stay_words_on_the_page(author: Asker, stranger: Asker) -> None:
    job = JOB.replace("summary: Drain the oil, renew the gasket, fill and test.", "summary: '</script><script>alert(1)</script><b>x'")
    answer = author.post("/api/v1/desk/library/publish", {"files": [FILES[0], {"path": FILES[1]["path"], "text": job}], "change_note": "x"})
    assert answer.status_code == 200, answer.text
    page = stranger.get("/how-to/withen-bridge/renew-cover-gasket").text
    assert "<script>alert" not in page
    assert "<b>x" not in page
