"""Photos over HTTP in the wire form of tus 1.0.0, with cuts, doubles and hostile files.

Expectations follow the protocol's text (https://tus.io/protocols/resumable-upload, version 1.0.0).
"""

import base64
import hashlib
import json
import uuid

import pytest
from flask import Flask
from tests.api.conftest import Asker, enrolled
from tests.making import a_photo, with_dealer

from benchtrail.services.ports import Ports

PIECE = 256 * 1024


def checksum(content: bytes) -> str:
    return "sha256 " + base64.b64encode(hashlib.sha256(content).digest()).decode()


def code_of(answer: object) -> tuple[int, str]:
    return answer.status_code, answer.get_json()["code"]  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def picture() -> bytes:
    return a_photo(1200, 900, quality=92)


def test_options_say_what_is_spoken(stranger: Asker) -> None:
    answer = stranger.client.options("/api/v1/photos")
    assert answer.status_code == 204
    assert answer.headers["Tus-Version"] == answer.headers["Tus-Resumable"] == "1.0.0"
    assert set(answer.headers["Tus-Extension"].split(",")) == {"creation", "creation-with-upload", "checksum", "termination"}
    assert answer.headers["Tus-Checksum-Algorithm"] == "sha256"
    assert int(answer.headers["Tus-Max-Size"]) == 20 * 1024 * 1024


def test_a_photo_in_pieces_has_a_receipt_when_it_is_whole_and_not_before(phone: Asker, picture: bytes) -> None:
    assert PIECE < len(picture) <= 2 * PIECE, "the picture must need two pieces"
    created = phone.create_upload(picture)
    place, name = created.headers["Location"], hashlib.sha256(picture).hexdigest()
    assert (created.status_code, created.headers["Upload-Offset"]) == (201, "0")
    first = phone.upload("PATCH", place, picture[:PIECE], Upload_Offset="0", Upload_Checksum=checksum(picture[:PIECE]))
    assert (first.status_code, first.headers["Upload-Offset"]) == (204, str(PIECE))
    assert code_of(phone.get(f"/api/v1/photos/{name}/receipt")) == (404, "no_such_photo")
    head = phone.upload("HEAD", place)
    assert (head.headers["Upload-Offset"], head.headers["Upload-Length"]) == (str(PIECE), str(len(picture)))
    assert head.headers["Cache-Control"] == "no-store"
    last = phone.upload("PATCH", place, picture[PIECE:], Upload_Offset=str(PIECE))
    assert last.headers["Upload-Offset"] == str(len(picture))
    assert phone.get(f"/api/v1/photos/{name}/receipt").get_json() == {
        "sha256": name, "bytes": len(picture), "received_at": "2026-11-25T09:00:00.000Z"}
    assert phone.upload("HEAD", place).headers["Upload-Offset"] == str(len(picture))


def test_the_first_piece_may_come_with_the_announcement_and_the_receipt_comes_with_the_last(phone: Asker, picture: bytes) -> None:
    """The protocol's extension creation-with-upload."""
    name = hashlib.sha256(picture).hexdigest()
    created = phone.create_upload(picture, first=picture[:PIECE], Upload_Checksum=checksum(picture[:PIECE]))
    assert (created.status_code, created.headers["Upload-Offset"]) == (201, str(PIECE))
    assert "Benchtrail-Receipt" not in created.headers
    last = phone.upload("PATCH", created.headers["Location"], picture[PIECE:], Upload_Offset=str(PIECE))
    assert json.loads(last.headers["Benchtrail-Receipt"]) == phone.get(f"/api/v1/photos/{name}/receipt").get_json()
    again = phone.create_upload(picture, first=picture[:PIECE])
    assert (again.headers["Upload-Offset"], again.headers["Location"]) == (str(len(picture)), f"/api/v1/photos/{name}")
    assert json.loads(again.headers["Benchtrail-Receipt"])["sha256"] == name


def test_a_whole_photo_may_come_with_its_announcement(phone: Asker) -> None:
    small = a_photo(60, 40)
    answer = phone.create_upload(small, first=small)
    assert json.loads(answer.headers["Benchtrail-Receipt"])["bytes"] == int(answer.headers["Upload-Offset"]) == len(small)


def test_an_announcement_repeated_with_its_piece_takes_the_piece_once(phone: Asker, picture: bytes) -> None:
    job = str(uuid.uuid4())
    first, again = (phone.create_upload(picture, job, first=picture[:1000]) for _ in range(2))
    assert first.headers["Location"] == again.headers["Location"]
    assert first.headers["Upload-Offset"] == again.headers["Upload-Offset"] == "1000"


def test_what_comes_with_an_announcement_must_be_a_piece_and_have_its_hash(phone: Asker, picture: bytes) -> None:
    job = str(uuid.uuid4())
    answer = phone.create_upload(picture, job, first=picture[:1000], Content_Type="text/plain")
    assert code_of(answer) == (422, "upload_body_unexpected")
    answer = phone.create_upload(picture, job, first=picture[:1000], Upload_Checksum=checksum(b"other"))
    assert code_of(answer) == (460, "piece_hash_differs")
    assert phone.create_upload(picture, job).headers["Upload-Offset"] == "0"


def test_a_piece_at_another_offset_changes_nothing(phone: Asker, picture: bytes) -> None:
    place = phone.create_upload(picture).headers["Location"]
    phone.upload("PATCH", place, picture[:1000], Upload_Offset="0")
    for offset in ("0", "999", "1001"):
        answer = phone.upload("PATCH", place, b"x", Upload_Offset=offset)
        assert code_of(answer) == (409, "upload_offset_differs")
        assert answer.headers["Upload-Offset"] == "1000"


def test_a_piece_with_another_hash_is_thrown_away(phone: Asker, picture: bytes) -> None:
    place = phone.create_upload(picture).headers["Location"]
    answer = phone.upload("PATCH", place, picture[:1000], Upload_Offset="0", Upload_Checksum=checksum(b"other"))
    assert code_of(answer) == (460, "piece_hash_differs")
    assert phone.upload("HEAD", place).headers["Upload-Offset"] == "0"


def test_a_whole_photo_with_another_hash_begins_anew_and_leaves_nothing_behind(
    app: Flask, ports: Ports, phone: Asker, picture: bytes
) -> None:
    place = phone.create_upload(picture).headers["Location"]
    changed = bytes([picture[0] ^ 1]) + picture[1:]
    for start in range(0, len(changed), PIECE):
        answer = phone.upload("PATCH", place, changed[start : start + PIECE], Upload_Offset=str(start))
    assert code_of(answer) == (460, "photo_hash_differs")
    assert answer.headers["Upload-Offset"] == phone.upload("HEAD", place).headers["Upload-Offset"] == "0"
    assert list(ports.files.names("withen-bridge", "quarantine")) == []
    assert phone.send_photo(picture)


def test_a_photo_that_is_here_already_is_answered_with_its_whole_length(phone: Asker, picture: bytes) -> None:
    name = phone.send_photo(picture)
    again = phone.create_upload(picture)
    assert (again.status_code, again.headers["Upload-Offset"]) == (201, str(len(picture)))
    assert again.headers["Location"].endswith(name)
    assert phone.upload("HEAD", again.headers["Location"]).headers["Upload-Offset"] == str(len(picture))
    piece = phone.upload("PATCH", again.headers["Location"], b"x", Upload_Offset="0")
    assert code_of(piece) == (409, "upload_offset_differs")


def test_an_upload_whose_address_was_lost_goes_on_where_it_was(phone: Asker, picture: bytes) -> None:
    job = str(uuid.uuid4())
    first = phone.create_upload(picture, job)
    phone.upload("PATCH", first.headers["Location"], picture[:1000], Upload_Offset="0")
    again = phone.create_upload(picture, job)
    assert again.headers["Location"] == first.headers["Location"]
    assert again.headers["Upload-Offset"] == "1000"


def test_another_dealer_is_not_told_that_a_picture_is_here(
    app: Flask, ports: Ports, phone: Asker, picture: bytes
) -> None:
    with app.app_context():
        with_dealer(ports, "other")
    name, theirs = phone.send_photo(picture), enrolled(app, "other")
    assert theirs.create_upload(picture).headers["Upload-Offset"] == "0"
    assert code_of(theirs.get(f"/api/v1/photos/{name}/receipt")) == (404, "no_such_photo")
    assert theirs.upload("HEAD", f"/api/v1/photos/{name}").status_code == 404


def test_an_upload_is_its_phones_own(app: Flask, phone: Asker, picture: bytes) -> None:
    place, other = phone.create_upload(picture).headers["Location"], enrolled(app)
    assert code_of(other.upload("PATCH", place, b"x", Upload_Offset="0")) == (404, "no_such_upload")
    assert other.upload("HEAD", place).status_code == 404
    assert code_of(other.upload("DELETE", place)) == (404, "no_such_upload")


def test_an_upload_that_is_given_up_is_gone(phone: Asker, picture: bytes) -> None:
    place = phone.create_upload(picture).headers["Location"]
    phone.upload("PATCH", place, picture[:1000], Upload_Offset="0")
    assert phone.upload("DELETE", place).status_code == 204
    assert phone.upload("HEAD", place).status_code == 404


def test_another_version_of_the_protocol_is_told_ours(phone: Asker) -> None:
    answer = phone.upload("POST", "/api/v1/photos", Tus_Resumable="0.2.2")
    assert code_of(answer) == (412, "tus_version")
    assert answer.headers["Tus-Version"] == "1.0.0"


@pytest.mark.parametrize("headers", [
    {}, {"Upload_Length": "-5"}, {"Upload_Length": "0"}, {"Upload_Length": "1e3"}, {"Upload_Length": "9" * 30},
    {"Upload_Length": "100", "Upload_Metadata": "sha256 !!!,mime,job"},
])
def test_an_upload_without_its_facts_is_refused(phone: Asker, headers: dict[str, str]) -> None:
    assert code_of(phone.upload("POST", "/api/v1/photos", **headers)) == (400, "upload_header_missing")


def test_a_photo_beyond_20_mb_is_refused_at_once(phone: Asker) -> None:
    facts = {"sha256": "0" * 64, "mime": "image/jpeg", "job": str(uuid.uuid4())}
    pairs = ",".join(f"{name} {base64.b64encode(value.encode()).decode()}" for name, value in facts.items())
    answer = phone.upload("POST", "/api/v1/photos", Upload_Length=str(20 * 1024 * 1024 + 1), Upload_Metadata=pairs)
    assert code_of(answer) == (413, "upload_too_large")


def test_a_piece_beyond_256_kib_or_beyond_the_end_is_refused(phone: Asker, picture: bytes) -> None:
    place = phone.create_upload(picture).headers["Location"]
    assert code_of(phone.upload("PATCH", place, b"x" * (PIECE + 1), Upload_Offset="0")) == (413, "body_too_large")
    small = phone.create_upload(b"abc").headers["Location"]
    assert code_of(phone.upload("PATCH", small, b"abcd", Upload_Offset="0")) == (413, "piece_beyond_end")


def test_a_piece_must_say_what_it_is(phone: Asker, picture: bytes) -> None:
    place = phone.create_upload(picture).headers["Location"]
    answer = phone.upload("PATCH", place, b"x", Upload_Offset="0", Content_Type="text/plain")
    assert code_of(answer) == (415, "not_a_piece")
    assert code_of(phone.upload("PATCH", place, b"x")) == (400, "upload_header_missing")
    answer = phone.upload("PATCH", place, b"x", Upload_Offset="0", Upload_Checksum="md5 AAAA")
    assert code_of(answer) == (400, "upload_header_missing")


def test_strangers_send_no_photos(stranger: Asker, picture: bytes) -> None:
    assert code_of(stranger.create_upload(picture)) == (401, "not_enrolled")
