"""Dealers on one server are apart: made from the list of routes, so that a new one cannot be forgotten.

For every route and method that takes an id, another dealer's people ask for this dealer's ids, and must get exactly
what a random id gets.
"""

import re
import uuid

import pytest
from flask import Flask
from tests.api.conftest import WRITE, Asker, enrolled, sign_in
from tests.making import Journal, a_pack, a_photo, with_dealer

from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.work_pictures import add_work_picture
from benchtrail.services.workfiles import start_workfile

PUBLIC = ("/healthz", "/api/v1/dealers", "/packs/", "/pictures/", "/<path:path>", "/api/openapi.json", "/api/v1/probe",
          "/api/v1/calc", "/api/v1/calc/", "/")
BODIES = {
    "/api/v1/session": {"name": "x", "password": "x"},
    "/api/v1/devices/enrol": {"code": "x", "device": str(uuid.uuid4()), "label": "x"},
    "/api/v1/events": {"events": [], "waiting": 0},
    "/api/v1/desk/enrolment-codes": {"label": "x"},
    "/api/v1/desk/links": {"procedure": "only-here"},
    "/api/v1/desk/plan": {"model": "only-here", "goals": ["out x"], "variant": None},
    "/api/v1/desk/workfiles": {"kind": "map", "id": "only-here"},
    "/api/v1/desk/workfiles/<workfile>/save": {"base": 1, "text": "x: 2"},
    "/api/v1/desk/workfiles/<workfile>/put-away": {"away": True},
    "/api/v1/desk/workfiles/<workfile>/check": {"text": "x: 2"},
    "/api/v1/desk/workfiles/<workfile>/pictures": {"name": "x.png", "base64": ""},
    "/api/v1/desk/library/check": {"files": [{"path": "a.yaml", "text": "x: 1"}]},
    "/api/v1/desk/library/publish": {"files": [{"path": "a.yaml", "text": "x: 1"}], "change_note": "x"},
}


class Ours:
    """One of everything at this dealer's."""

    def __init__(self, app: Flask, ports: Ports, phone: Asker) -> None:
        journal = Journal(phone.device)
        phone.post("/api/v1/events", {"events": [journal.write()], "waiting": 0})
        photo = phone.send_photo(a_photo(), journal.job)
        begun = phone.create_upload(a_photo(99, 77)).headers["Location"].rpartition("/")[2]
        with app.app_context():
            publish_packs(ports, "withen-bridge", Order([a_pack("only-here")], "anna"))
            workfile, _ = start_workfile(ports, "withen-bridge", "anna", "map", "only-here/map.yaml", "model: only-here")
            picture = add_work_picture(ports, "withen-bridge", "anna", workfile.id, "face.png", a_photo(kind="PNG"))
        self.ids = {"job": [journal.job], "device": [phone.device], "sha256": [photo], "upload": [begun, photo],
                    "workfile": [workfile.id], "version": ["1"], "picture": [picture.name.rpartition("/")[2]]}


@pytest.fixture
def ours(app: Flask, ports: Ports, phone: Asker) -> Ours:
    return Ours(app, ports, phone)


def routes(app: Flask) -> list[tuple[str, str]]:
    found = []
    for rule in app.url_map.iter_rules():
        if not any(rule.rule == one or (one.endswith("/") and one != "/" and rule.rule.startswith(one))
                   or (one == "/api/v1/dealers" and rule.rule.startswith(one)) for one in PUBLIC):
            found += [(method, rule.rule) for method in sorted(rule.methods or ()) if method != "OPTIONS"]
    return found


def ask(asker: Asker, method: str, path: str, rule: str) -> tuple[int, str | None]:
    headers = WRITE | {"Tus-Resumable": "1.0.0", "Upload-Offset": "0"}
    if method == "PATCH":
        answer = asker.client.patch(path, data=b"x", headers=headers | {"Content-Type": "application/offset+octet-stream"})
    else:
        answer = asker.client.open(path, method=method, json=BODIES.get(rule), headers=headers, buffered=True)
    body = answer.get_json(silent=True)
    return answer.status_code, body.get("code") if isinstance(body, dict) else None


def test_another_dealers_people_get_what_a_random_id_gets(app: Flask, ports: Ports, ours: Ours) -> None:
    with app.app_context():
        with_dealer(ports, "other")
    theirs = [sign_in(app, "anna-other"), enrolled(app, "other")]
    asked = 0
    for method, rule in routes(app):
        for name in re.findall(r"<(\w+)>", rule):
            for id in ours.ids[name]:
                random_id = "f" * 64 if re.fullmatch(r"[0-9a-f]{64}", id) else str(uuid.uuid4())
                for asker in theirs:
                    got = ask(asker, method, rule.replace(f"<{name}>", id), rule)
                    expected = ask(asker, method, rule.replace(f"<{name}>", random_id), rule)
                    assert got == expected, f"{method} {rule} tells {got} instead of {expected}"
                    assert got[0] in (401, 404), f"{method} {rule}: {got}"
                    asked += 1
    assert asked >= 20, "the list of routes was not read"


def test_ids_in_bodies_and_cursors_open_nothing_either(app: Flask, ports: Ports, ours: Ours, phone: Asker) -> None:
    with app.app_context():
        with_dealer(ports, "other")
    author, other = sign_in(app, "anna-other"), enrolled(app, "other")
    cursor = phone.get("/api/v1/events").get_json()["cursor"]
    assert other.get(f"/api/v1/events?after={cursor}").get_json()["code"] == "cursor_out_of_date"
    assert author.post("/api/v1/desk/links", {"procedure": "only-here"}).get_json()["code"] == "no_such_procedure"
    (job,) = ours.ids["job"]
    stolen = Journal(other.device, job=job).write()
    assert other.post("/api/v1/events", {"events": [stolen], "waiting": 0}).get_json()["results"][0]["status"] == "stored"
    assert [event["id"] for event in other.get("/api/v1/events").get_json()["events"]] == [stolen["id"]]
    assert sign_in(app, "ben").get(f"/api/v1/desk/jobs/{job}").get_json()["notes"] == 1


def test_every_route_but_the_public_ones_asks_who_it_is(app: Flask, stranger: Asker) -> None:
    for method, rule in routes(app):
        path = re.sub(r"<\w+>", "0" * 64, rule)
        status, code = ask(stranger, method, path, rule)
        if rule in ("/api/v1/session", "/api/v1/devices/enrol") and method in ("POST", "DELETE"):
            continue
        assert status == 401, f"{method} {rule} answers {status} {code} to a stranger"
