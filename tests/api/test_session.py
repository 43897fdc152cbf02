"""Signing in and out over HTTP."""

from flask import Flask
from tests.api.conftest import Asker
from tests.making import PASSWORD


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(stranger: Asker) -> None:
    answer = stranger.post("/api/v1/session", {"name": "anna", "password": PASSWORD})
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("benchtrail_desk=")
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Secure" not in cookie


def test_over_https_the_cookie_is_bound_to_this_host(stranger: Asker) -> None:
    answer = stranger.client.post("/api/v1/session", json={"name": "anna", "password": PASSWORD},
                                  headers={"X-Benchtrail": "1"}, base_url="https://localhost")
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-benchtrail_desk=")
    assert "Secure" in cookie
    assert "Path=/" in cookie
    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000"
    assert stranger.client.get("/api/v1/session", base_url="https://localhost").status_code == 200


def test_who_is_signed_in(author: Asker, stranger: Asker) -> None:
    assert author.get("/api/v1/session").get_json() == {
        "user": {"name": "anna", "role": "author"},
        "dealer": {"slug": "withen-bridge", "name": "Withen Bridge Offroad", "invented": True},
    }
    answer = stranger.get("/api/v1/session")
    assert (answer.status_code, answer.get_json()["code"]) == (401, "not_signed_in")


def test_a_wrong_password_is_refused_and_soon_slowed_down(stranger: Asker) -> None:
    for _ in range(8):
        answer = stranger.post("/api/v1/session", {"name": "anna", "password": "wrong"})
        assert (answer.status_code, answer.get_json()["code"]) == (401, "sign_in_refused")
    answer = stranger.post("/api/v1/session", {"name": "anna", "password": PASSWORD})
    assert (answer.status_code, answer.get_json()["code"]) == (429, "too_many_attempts")
    assert answer.headers["Retry-After"] == "600"


def test_signing_out_ends_the_session_on_the_server_too(app: Flask, author: Asker) -> None:
    cookie = author.client.get_cookie("benchtrail_desk")
    assert cookie is not None
    assert author.delete("/api/v1/session").status_code == 204
    author.client.set_cookie("benchtrail_desk", cookie.value)
    assert author.get("/api/v1/session").status_code == 401
