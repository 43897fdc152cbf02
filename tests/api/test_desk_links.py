"""Links to a job on one machine: what they open, when they end, what they do not tell; and who may frame the plain pages."""

import io
import json
from datetime import timedelta

import pytest
from flask import Flask
from pypdf import PdfReader
from tests.api.conftest import Asker, sign_in
from tests.api.test_paper import FILES
from tests.making import SetClock

MACHINE = {"name": "Green Fell", "customer": "Mrs Ashdown", "model": "test-model", "year": 2022, "options": ["chain_drive", "guard_bar"],
           "serial": "F-77", "hours": 41.5, "words": "Her husband collects it."}
PROCEDURE = "renew-cover-gasket"


@pytest.fixture
def machine(author: Asker) -> str:
    assert author.post("/api/v1/desk/library/publish", {"files": FILES, "change_note": "First."}).status_code == 200
    made = author.post("/api/v1/desk/machines", MACHINE)
    assert made.status_code == 201, made.text
    return str(made.get_json()["id"])


def make(author: Asker, machine: str, days: int = 14) -> dict[str, str]:
    made = author.post(f"/api/v1/desk/machines/{machine}/links", {"procedure": PROCEDURE, "days": days})
    assert made.status_code == 201, made.text
    return dict(made.get_json())


def opened(asker: Asker, link: str) -> tuple[int, dict[str, object]]:
    answer = asker.post("/api/v1/job-links", {"token": link.partition("#")[2]})
    return answer.status_code, answer.get_json()


def test_a_link_opens_the_procedure_with_the_machine_filled_in(author: Asker, stranger: Asker, machine: str) -> None:
    made = make(author, machine)
    assert made["link"].startswith("http://localhost/job-link#withen-bridge/")
    status, found = opened(stranger, made["link"])
    assert status == 200
    assert found == {
        "dealer": "withen-bridge", "dealer_name": "Withen Bridge Offroad", "procedure": PROCEDURE, "title": "Renew the cover gasket",
        "machine": {"id": machine, "name": "Green Fell", "model": "test-model", "model_name": "Test model", "year": 2022,
                    "options": ["chain_drive", "guard_bar"], "hours": 41.5}}


def test_neither_the_link_nor_what_it_opens_tells_of_the_customer(author: Asker, stranger: Asker, machine: str) -> None:
    made = make(author, machine)
    told = json.dumps(opened(stranger, made["link"])[1]) + made["link"] + made["qr_svg"]
    for private in ("Ashdown", "F-77", "husband"):
        assert private not in told
    assert machine not in made["link"]


def test_it_runs_out_and_can_be_withdrawn_and_says_which(app: Flask, stranger: Asker, machine: str, clock: SetClock) -> None:
    before = sign_in(app, "anna")
    short, long = make(before, machine, 1), make(before, machine, 30)
    clock.move(days=1)
    author = sign_in(app, "anna")  # a desk's session ends before the link does
    status, found = opened(stranger, short["link"])
    assert (status, found["code"]) == (410, "job_link_expired")
    assert "Withen Bridge Offroad" in str(found["message"])
    assert opened(stranger, long["link"])[0] == 200
    gone = author.delete(f"/api/v1/desk/machines/{machine}/links/{long['id']}").get_json()
    assert (gone["state"], gone["opened_at"] is not None) == ("withdrawn", True)
    status, found = opened(stranger, long["link"])
    assert (status, found["code"]) == (410, "job_link_withdrawn")
    listed = author.get(f"/api/v1/desk/machines/{machine}/links").get_json()["links"]
    assert {one["id"]: one["state"] for one in listed} == {short["id"]: "expired", long["id"]: "withdrawn"}


def test_a_withdrawn_procedure_ends_its_links(author: Asker, stranger: Asker, machine: str) -> None:
    made = make(author, machine)
    assert author.post("/api/v1/desk/library/withdraw", {"procedure": PROCEDURE, "reason": "A wrong figure."}).status_code == 200
    assert opened(stranger, made["link"])[1]["code"] == "job_link_withdrawn"


@pytest.mark.parametrize("change", ["", "x", "withen-bridge/", "other", "..", "withen-bridge/" + "0" * 64])
def test_a_link_that_was_not_made_opens_nothing(author: Asker, stranger: Asker, machine: str, change: str) -> None:
    make(author, machine)
    assert opened(stranger, f"x#{change}")[1]["code"] == "job_link_unknown"


def test_every_letter_of_a_link_counts_and_guessing_is_slowed_down(author: Asker, stranger: Asker, machine: str) -> None:
    at = make(author, machine)["link"]
    for place in range(len(at) - 25, len(at)):
        wrong = at[:place] + ("0" if at[place] != "0" else "1") + at[place + 1 :]
        assert opened(stranger, wrong)[1]["code"] == "job_link_unknown"
    codes = [opened(stranger, "x#none")[1]["code"] for _ in range(8)]
    assert codes[-1] == "too_many_attempts"


def test_it_is_only_made_for_a_machine_that_the_procedure_is_for(author: Asker, reader: Asker, machine: str) -> None:
    other = author.post("/api/v1/desk/machines", MACHINE | {"model": None, "year": None}).get_json()["id"]
    path = f"/api/v1/desk/machines/{other}/links"
    refused = author.post(path, {"procedure": PROCEDURE, "days": 3})
    assert (refused.status_code, refused.get_json()["code"]) == (422, "job_link_not_for")
    assert author.post(path, {"procedure": "nothing", "days": 3}).status_code == 404
    assert author.post(path, {"procedure": PROCEDURE, "days": 0}).status_code == 400
    assert reader.post(path, {"procedure": PROCEDURE, "days": 3}).get_json()["code"] == "author_only"


def test_the_bench_sheet_carries_the_code_and_only_the_steps_of_the_machine(author: Asker, machine: str) -> None:
    made = make(author, machine)
    answer = author.get(f"/api/v1/desk/paper/links/{made['id']}/sheet?size=Letter")
    assert answer.status_code == 200, answer.text
    words = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.data)).pages)
    assert "Green Fell" in words
    assert "Undo both bar bolts" in words
    assert "Ashdown" not in words


def test_the_owner_says_which_sites_may_frame_the_plain_page(app: Flask, author: Asker, stranger: Asker, machine: str) -> None:
    owner, page = sign_in(app, "olive"), f"/how-to/withen-bridge/{PROCEDURE}"

    def policy() -> str:
        return str(stranger.get(page).headers["Content-Security-Policy"])

    assert "frame-ancestors *;" in policy()
    for sites, shown in (([" https://Shop.example.org/ ", "https://*.example.com:8443"], "https://*.example.com:8443 https://shop.example.org"),
                         ([], "'none'"), (None, "*")):
        assert owner.post("/api/v1/desk/frame-sites", {"sites": sites}).status_code == 200
        assert f"frame-ancestors {shown};" in policy()
    for wrong in ("example.org", "http://example.org", "https://x.org; script-src *", "https://a b", "*", "'self'", "https://x.org/path",
                  "javascript:alert(1)", "https://x.org\nfoo"):
        refused = owner.post("/api/v1/desk/frame-sites", {"sites": [wrong]})
        assert (refused.status_code, refused.get_json()["code"]) == (400, "frame_site_form"), wrong
    assert author.post("/api/v1/desk/frame-sites", {"sites": []}).get_json()["code"] == "owner_only"
    assert "frame-ancestors *;" in policy()


def test_days_run_from_the_making(author: Asker, machine: str, clock: SetClock) -> None:
    assert make(author, machine, 30)["expires_at"].startswith((clock.at + timedelta(days=30)).strftime("%Y-%m-%dT%H:%M"))
