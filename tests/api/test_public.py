"""What everyone may read: health, dealers, manifest, packs, pictures, probe, and the front end's files."""

import gzip
import hashlib
import json

import pytest
from flask import Flask
from tests.api.conftest import Asker
from tests.making import a_pack, a_photo

from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.storage.signing import verifies


@pytest.fixture
def published(app: Flask, ports: Ports) -> str:
    picture = a_photo(kind="PNG")
    sha256 = hashlib.sha256(picture).hexdigest()
    shown = {"face": {"sha256": sha256, "mime": "image/png", "bytes": len(picture), "alt": "The face"}}
    with app.app_context():
        order = Order([a_pack(pictures=shown)], "anna", pictures={sha256: picture})
        (made,) = publish_packs(ports, "withen-bridge", order)
    return made.sha256


def test_health_says_the_version(stranger: Asker) -> None:
    assert stranger.get("/healthz").get_json() == {"status": "ok", "version": "0.1.0"}


def test_the_probe_repeats_the_word_and_says_the_time(stranger: Asker) -> None:
    body = stranger.get("/api/v1/probe?nonce=aBc-123_xyz").get_json()
    assert body == {"benchtrail": "aBc-123_xyz", "now": "2026-11-25T09:00:00.000Z"}


@pytest.mark.parametrize("nonce", ["short", "x" * 65, "<script>alert(1)</script>"])
def test_the_probe_repeats_no_other_words(stranger: Asker, nonce: str) -> None:
    answer = stranger.client.get("/api/v1/probe", query_string={"nonce": nonce})
    assert (answer.status_code, answer.get_json()["code"]) == (400, "nonce_form")


def test_manifest_and_packs_verify_with_the_dealers_key(stranger: Asker, published: str) -> None:
    (dealer,) = stranger.get("/api/v1/dealers").get_json()
    assert (dealer["slug"], dealer["invented"]) == ("withen-bridge", True)
    signed = stranger.get("/api/v1/dealers/withen-bridge/manifest").get_json()
    jwk = dealer["key"]["jwk"]
    assert signed["kid"] == dealer["key"]["kid"]
    assert verifies(jwk, signed["payload"].encode(), signed["signature"])
    (entry,) = json.loads(signed["payload"])["packs"]
    answer = stranger.get(f"/packs/{entry['sha256']}.json")
    assert hashlib.sha256(answer.data).hexdigest() == entry["sha256"] == published
    assert len(answer.data) == entry["bytes"]
    assert verifies(jwk, answer.data, entry["signature"])
    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    (picture,) = entry["pictures"]
    shown = stranger.get(f"/pictures/{picture['sha256']}")
    assert (hashlib.sha256(shown.data).hexdigest(), shown.mimetype) == (picture["sha256"], "image/png")
    assert "sandbox" in shown.headers["Content-Security-Policy"]


@pytest.mark.parametrize(("path", "code"), [
    ("/api/v1/dealers/nowhere/manifest", "no_such_dealer"),
    (f"/packs/{'0' * 64}.json", "no_such_pack"),
    ("/packs/..%2f..%2fsecret.json", "address_unknown"),
    (f"/pictures/{'0' * 64}", "no_such_picture"),
    ("/pictures/..", "no_such_picture"),
])
def test_what_was_never_published_is_not_there(stranger: Asker, path: str, code: str) -> None:
    answer = stranger.get(path)
    assert (answer.status_code, answer.get_json()["code"]) == (404, code)


def test_every_path_of_the_phone_and_the_desk_opens_its_page(stranger: Asker) -> None:
    for path in ("/", "/library", "/job/0198/step/4", "/deskchair"):
        assert stranger.get(path).text == "<title>Benchtrail</title>"
    for path in ("/desk", "/desk/jobs/0198", "/desk/"):
        assert stranger.get(path).text == "<title>Benchtrail desk</title>"


def test_pages_and_worker_are_asked_for_anew_and_assets_are_kept(stranger: Asker) -> None:
    for path in ("/", "/desk", "/sw.js", "/index.html", "/app.webmanifest", "/version.json"):
        assert stranger.get(path).headers["Cache-Control"] == "no-cache", path
    assert stranger.get("/assets/index-abc.js").headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert stranger.get("/sw.js").mimetype == "text/javascript"
    assert stranger.get("/app.webmanifest").mimetype == "application/manifest+json"


@pytest.mark.parametrize("path", ["/nothing.js", "/../test.db", "/..%2ftest.db", "/api/v1/x", "/packs/", "/healthz/x"])
def test_no_other_file_is_served(stranger: Asker, path: str) -> None:
    answer = stranger.get(path)
    assert answer.status_code == 404
    assert answer.get_json()["code"] == "address_unknown"


def test_without_a_built_front_end_a_plain_page_says_so(app: Flask, stranger: Asker) -> None:
    app.config["BENCHTRAIL_WEB"] = app.config["BENCHTRAIL_WEB"] / "not-built"
    answer = stranger.get("/")
    assert answer.status_code == 503
    assert "python3 demo" in answer.text


def test_the_api_describes_itself(stranger: Asker) -> None:
    described = stranger.get("/api/openapi.json").get_json()
    paths = described["paths"]
    for path in ("/api/v1/dealers", "/api/v1/events", "/api/v1/photos", "/api/v1/session", "/healthz"):
        assert path in paths
    assert described["openapi"].startswith("3.")


def test_public_files_come_in_gzip_for_those_who_take_it(app: Flask, stranger: Asker, published: str) -> None:
    (app.config["BENCHTRAIL_WEB"] / "assets" / "index-big.js").write_text("let a = 1;\n" * 500)
    for path in ("/assets/index-big.js", f"/packs/{published}.json"):
        plain = stranger.get(path)
        packed = stranger.get(path, headers={"Accept-Encoding": "gzip, br"})
        assert "Content-Encoding" not in plain.headers
        assert packed.headers["Content-Encoding"] == "gzip"
        assert gzip.decompress(packed.data) == plain.data
        assert len(packed.data) < len(plain.data) / 2
        assert packed.headers["ETag"] != plain.headers["ETag"]
        assert "Accept-Encoding" in packed.headers["Vary"]


def test_what_is_private_or_small_is_never_compressed(stranger: Asker, author: Asker) -> None:
    for asker, path in ((author, "/api/v1/desk/jobs"), (stranger, "/sw.js"), (stranger, "/api/openapi.json")):
        assert "Content-Encoding" not in asker.get(path, headers={"Accept-Encoding": "gzip"}).headers


def test_what_did_not_change_is_not_sent_again(stranger: Asker) -> None:
    tag = stranger.get("/index.html").headers["ETag"]
    answer = stranger.get("/index.html", headers={"If-None-Match": tag})
    assert (answer.status_code, answer.data) == (304, b"")
