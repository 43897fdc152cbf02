"""Workfiles at the desk: begun, saved, merged, checked and taken out, over HTTP on a real database."""

import base64
import io
from typing import Any

import pytest
from flask import Flask
from PIL import Image
from tests.api.conftest import Asker
from tests.api.test_desk_library import SEAL, published, text_of
from tests.making import a_photo

from benchtrail.services.read_yaml import MOST_BYTES

__all__ = ["published"]
ALL = "/api/v1/desk/workfiles"
SEAL_FILE = {"kind": "procedure", "id": SEAL, "model": "hobmoor-fell-250", "published": True}


@pytest.fixture
def seal(author: Asker, published: None) -> dict[str, Any]:
    """A workfile with the published text of a procedure."""
    answer = author.post(ALL, SEAL_FILE)
    assert answer.status_code == 201, answer.text
    return dict(answer.get_json())


def save(author: Asker, workfile: dict[str, Any], text: str, base: int | None = None) -> Any:
    return author.post(f"{ALL}/{workfile['id']}/save", {"base": base or workfile["version"], "text": text})


def check(author: Asker, workfile: dict[str, Any], text: str, pack: bool = False) -> dict[str, Any]:
    answer = author.post(f"{ALL}/{workfile['id']}/check", {"text": text, "pack": pack})
    assert answer.status_code == 200, answer.text
    return dict(answer.get_json())


def test_a_published_text_is_opened_and_taken_out_byte_for_byte(author: Asker, seal: dict[str, Any]) -> None:
    assert seal["text"] == text_of(SEAL)
    assert (seal["path"], seal["title"]) == (f"hobmoor-fell-250/{SEAL}.yaml", "Renew the water pump seal")
    answer = author.get(f"{ALL}/{seal['id']}/yaml")
    assert answer.data.decode() == text_of(SEAL)
    assert f"{SEAL}.yaml" in answer.headers["Content-Disposition"]


def test_every_version_saved_can_be_read_again(author: Asker, seal: dict[str, Any]) -> None:
    texts = [seal["text"], seal["text"] + "# one\n", seal["text"] + "# two\n"]
    for number, text in enumerate(texts[1:], 1):
        assert save(author, seal, text, number).get_json()["version"] == number + 1
    assert save(author, seal, texts[2], 1).get_json()["version"] == 3, "the newest text again makes no version"
    shown = author.get(f"{ALL}/{seal['id']}/versions").get_json()["versions"]
    assert [one["version"] for one in shown] == [3, 2, 1]
    for number, text in enumerate(texts, 1):
        assert author.get(f"{ALL}/{seal['id']}/versions/{number}").get_json()["text"] == text
    assert author.get(f"{ALL}/{seal['id']}/versions/9").get_json()["code"] == "no_such_version"
    assert author.get(f"{ALL}/{seal['id']}/versions/x").status_code == 404


def test_two_people_on_different_steps_get_a_merge_and_lose_nothing(author: Asker, seal: dict[str, Any]) -> None:
    mine = seal["text"].replace("Push the machine sideways", "Push the whole machine sideways")
    theirs = seal["text"].replace("Lower the skid plate.", "Lower the plate.")
    assert save(author, seal, theirs).status_code == 200
    answer = save(author, seal, mine)
    body = answer.get_json()
    assert (answer.status_code, body["code"]) == (409, "workfile_moved_on")
    assert (body["values"]["mine"], body["values"]["theirs"]) == (mine, theirs)
    assert body["values"]["merged"] == theirs.replace("Push the machine sideways", "Push the whole machine sideways")
    assert save(author, seal, body["values"]["merged"], body["values"]["version"]).get_json()["version"] == 3


def test_two_people_on_one_step_get_both_texts_to_choose(author: Asker, seal: dict[str, Any]) -> None:
    save(author, seal, seal["text"].replace("Push the machine", "Press the machine"))
    values = save(author, seal, seal["text"].replace("Push the machine", "Rock the machine")).get_json()["values"]
    assert values["merged"] is None
    (choice,) = [part for part in values["parts"] if "mine" in part]
    assert choice["name"] == "steps/stand-firm"
    assert "Rock the machine" in choice["mine"]
    assert "Press the machine" in choice["theirs"]


def test_a_text_that_cannot_be_read_is_saved_and_never_merged(author: Asker, seal: dict[str, Any]) -> None:
    assert save(author, seal, "steps: [").status_code == 200
    values = save(author, seal, seal["text"] + "#").get_json()["values"]
    assert (values["merged"], values["parts"], values["theirs"]) == (None, None, "steps: [")


def test_findings_name_line_step_and_values_and_the_pack_comes_when_asked(author: Asker, seal: dict[str, Any]) -> None:
    clean = check(author, seal, seal["text"], pack=True)
    assert clean["findings"] == []
    assert (clean["pack"]["procedure"], clean["map_used"]["from"]) == (SEAL, "published")
    assert clean["pack"]["pictures"], "pictures of the published revision are found"
    broken = seal["text"].replace("caution: hot_coolant", "caution: hot_colant")
    first = next(one for one in check(author, seal, broken)["findings"] if one["code"] == "reference_unknown")
    assert "hot_colant" in broken.splitlines()[first["line"] - 1]
    assert set(first["message"]) == {"happened", "means", "do"}
    assert "hot_colant" in str(first["values"])


def test_a_procedure_is_checked_against_the_map_being_written(author: Asker, seal: dict[str, Any]) -> None:
    answer = author.post(ALL, {"kind": "map", "id": "hobmoor-fell-250", "published": True})
    machine = answer.get_json()
    assert machine["text"] == text_of("map")
    save(author, machine, machine["text"].replace("name: radiator cap,", "name: pressure cap,"))
    used = check(author, seal, seal["text"])["map_used"]
    assert used == {"from": "workfile", "id": machine["id"], "version": 2}
    pack = author.get(f"{ALL}/{seal['id']}/map").get_json()["map"]
    assert pack["joints"]["radiator_cap"]["name"] == "pressure cap"
    assert author.get(f"{ALL}/{machine['id']}/map").get_json()["map"] == pack


@pytest.mark.parametrize(("kind", "model"), [("map", None), ("procedure", None), ("procedure", "hobmoor-fell-250")])
def test_a_new_form_can_be_read_and_only_lacks_its_content(
    author: Asker, published: None, kind: str, model: str | None
) -> None:
    begun = author.post(ALL, {"kind": kind, "id": "new-one", "title": "Odd: “#1” {x} \\", "model": model}).get_json()
    assert begun["title"] == "Odd: “#1” {x} \\"
    codes = {one["code"] for one in check(author, begun, begun["text"])["findings"]}
    assert codes <= {"list_too_short"}, codes


def test_one_place_of_the_library_is_written_once(author: Asker, seal: dict[str, Any]) -> None:
    assert author.post(ALL, SEAL_FILE).get_json()["code"] == "workfile_there_already"
    assert author.post(f"{ALL}/{seal['id']}/put-away", {"away": True}).get_json()["put_away"] is True
    assert save(author, seal, "x: 1").get_json()["code"] == "workfile_put_away"
    assert author.post(ALL, SEAL_FILE).status_code == 201
    assert author.post(f"{ALL}/{seal['id']}/put-away", {"away": False}).status_code == 409


@pytest.mark.parametrize("text", ["", "\u0000", "- [", "a: &x [*x]", "x: " + "[" * 5000, "\ud800", "procedure: 5"])
def test_any_text_is_checked_without_a_fault(author: Asker, seal: dict[str, Any], text: str) -> None:
    assert check(author, seal, text, pack=True)["findings"]
    assert save(author, seal, text).status_code in (200, 422)


def test_what_is_too_large_or_badly_named_is_refused(author: Asker, seal: dict[str, Any]) -> None:
    assert save(author, seal, "x" * (MOST_BYTES + 1)).get_json()["code"] == "workfile_too_large"
    assert author.post(ALL, {"kind": "map", "id": "../x"}).get_json()["code"] == "workfile_id_form"
    assert author.post(ALL, {"kind": "map", "id": "not-there", "published": True}).status_code == 404
    assert author.get(f"{ALL}/not-there").get_json()["code"] == "no_such_workfile"


def test_readers_write_nothing(app: Flask, reader: Asker, seal: dict[str, Any]) -> None:
    assert reader.get(f"{ALL}/{seal['id']}").status_code == 200
    assert reader.post(ALL, {"kind": "map", "id": "x"}).get_json()["code"] == "author_only"
    for what, body in (("save", {"base": 1, "text": "x"}), ("put-away", {"away": True}), ("check", {"text": "x"}),
                       ("pictures", {"name": "x", "base64": ""})):
        assert reader.post(f"{ALL}/{seal['id']}/{what}", body).status_code == 403, what


def add(author: Asker, workfile: dict[str, Any], content: bytes, name: str = "Pump face.JPG") -> Any:
    body = {"name": name, "base64": base64.b64encode(content).decode()}
    return author.post(f"{ALL}/{workfile['id']}/pictures", body)


def test_a_photo_comes_in_without_its_place_and_is_shown_in_the_pack(author: Asker, seal: dict[str, Any]) -> None:
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (54.0, 1.0, 2.0)}
    added = add(author, seal, a_photo(exif=exif))
    assert added.status_code == 201, added.text
    assert added.get_json()["name"] == "pictures/pump-face.jpg"
    shown = author.get(f"{ALL}/{seal['id']}/pictures/pump-face.jpg")
    assert shown.mimetype == "image/jpeg"
    assert not Image.open(io.BytesIO(shown.data)).getexif()
    line = "    look_for: The machine stays"
    text = seal["text"].replace(line, f"    picture: pictures/pump-face.jpg\n{line}", 1)
    pack = check(author, seal, text, pack=True)["pack"]
    assert pack["pictures"]["pictures/pump-face.jpg"]["sha256"] == added.get_json()["sha256"]
    other = add(author, seal, a_photo(80, 60))
    assert other.get_json()["name"] == "pictures/pump-face-2.jpg", "a name is never given twice"
    assert add(author, seal, a_photo(80, 60)).get_json()["name"] == "pictures/pump-face-2.jpg"
    assert len(author.get(f"{ALL}/{seal['id']}/pictures").get_json()["pictures"]) == 2


@pytest.mark.parametrize("content", [b"", b"GIF89a", b"\xff\xd8\xff not a photo \xff\xd9", b"<svg><script/></svg>", a_photo()[:400]])
def test_a_file_that_lies_about_its_type_is_refused(author: Asker, seal: dict[str, Any], content: bytes) -> None:
    answer = add(author, seal, content, "x.png")
    assert answer.status_code == 422, answer.text
    assert set(answer.get_json()["message"]) == {"happened", "means", "do"}
    assert "{" not in " ".join(answer.get_json()["message"].values())


def test_a_picture_that_did_not_arrive_whole_is_refused(author: Asker, seal: dict[str, Any]) -> None:
    body = {"name": "x.png", "base64": "a*b"}
    assert author.post(f"{ALL}/{seal['id']}/pictures", body).get_json()["code"] == "work_picture_unreadable"
    assert author.get(f"{ALL}/{seal['id']}/pictures/none.png").get_json()["code"] == "no_such_picture"
