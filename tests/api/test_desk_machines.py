"""The register over HTTP: written down, read, taken out, and fed to a calendar."""

from flask import Flask
from tests.api.conftest import Asker

TOLD = {"name": "Packer of the farm", "customer": "Mr Tarn", "year": 2022, "hours": 310.5}


def test_a_machine_is_written_down_and_read(author: Asker, reader: Asker) -> None:
    made = author.post("/api/v1/desk/machines", TOLD)
    assert made.status_code == 201, made.text
    at = f"/api/v1/desk/machines/{made.get_json()['id']}"
    assert reader.post(at, TOLD).status_code == 403
    assert author.post(at, TOLD | {"hours": "many"}).status_code == 400
    assert author.post(at, TOLD | {"hours": 311}).get_json()["hours"] == 311
    assert [one["name"] for one in reader.get("/api/v1/desk/machines").get_json()["machines"]] == ["Packer of the farm"]
    assert "Packer of the farm,Mr Tarn" in reader.get("/api/v1/desk/machines/table.csv").text


def test_the_feed_needs_its_whole_address(app: Flask, author: Asker, reader: Asker, stranger: Asker) -> None:
    author.post("/api/v1/desk/machines", TOLD)
    feed = reader.get("/api/v1/desk/machines").get_json()["feed"]
    path = "/" + feed.split("/", 3)[3]
    answer = stranger.get(path)
    assert (answer.status_code, answer.mimetype) == (200, "text/calendar")
    assert answer.data.startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert stranger.get(path.replace(".ics", "0.ics")).status_code == 404
