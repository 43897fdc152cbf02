"""Dealers on one server are apart, and so are the customers of one dealer: generated from the OpenAPI description.

For every address and method of the description, and for every kind of thing that can stand in it, people who have no
business with this dealer's things ask for them, and get exactly what they get for an id that nothing has.
"""

import re
import uuid
from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from tests.api.conftest import WRITE, Asker, enrolled, sign_in
from tests.api.description import Operation, description_of, example, operations
from tests.making import Journal, a_pack, a_photo, with_dealer

from benchtrail.services.desk_records import CustomerMachine, JobLink, Passkey, Proposal
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.work_pictures import add_work_picture
from benchtrail.services.workfiles import start_workfile

# Open to everyone by their purpose: what is published, the calculations, the ways in.
PUBLIC = re.compile(r"/healthz|/how-to/|/calendar/|/packs/|/pictures/|/api/v1/(dealers|probe|calc|set-up|password|job-links|passkeys)(/|$)"
                    r"|/api/v1/set-up")
WAYS_IN = {("POST", "/api/v1/session"), ("DELETE", "/api/v1/session"), ("POST", "/api/v1/devices/enrol")}
# A name to sign in with is one per server, so whoever makes an account hears that a name is taken: of whose dealership not.
# A workfile that is begun is there the second time, of whatever name.
NAMES_TAKEN = {("POST", "/api/v1/desk/people", "name"), ("POST", "/api/v1/desk/workfiles", "id"),
               ("POST", "/api/v1/desk/workfiles", "model"),
               # A machine written down anew is one's own, whatever it is called: the answer says back what was sent.
               ("POST", "/api/v1/desk/machines", "model"), ("POST", "/api/v1/desk/machines", "name")}
FILLED = {"base64": ""}
# Addresses of a device or a person themselves: with no id in them nothing of others can be named.
NOTHING = {"job": str(uuid.uuid4()), "device": str(uuid.uuid4()), "name": "nobody-of-that-name", "id": str(uuid.uuid4()),
           "upload": str(uuid.uuid4()), "sha256": "f" * 64, "workfile": str(uuid.uuid4()), "version": "7",
           "picture": "none.png", "procedure": "nothing-of-that-name", "proposal": str(uuid.uuid4()), "machine": str(uuid.uuid4()),
           "link": str(uuid.uuid4()), "passkey": "no-passkey-of-that-id", "model": "nothing-of-that-name"}


class Ours:
    """One of everything at this dealer's: kind of thing → ids."""

    def __init__(self, app: Flask, ports: Ports, phone: Asker) -> None:
        journal = Journal(phone.device)
        phone.post("/api/v1/events", {"events": [journal.write()], "waiting": 0})
        photo = phone.send_photo(a_photo(), journal.job)
        begun = phone.create_upload(a_photo(99, 77)).headers["Location"].rpartition("/")[2]
        sign_in(app, "ben")
        with app.app_context():
            publish_packs(ports, "withen-bridge", Order([a_pack("only-here")], "anna"))
            workfile, _ = start_workfile(ports, "withen-bridge", "anna", "map", "only-here/map.yaml", "model: only-here")
            picture = add_work_picture(ports, "withen-bridge", "anna", workfile.id, "face.png", a_photo(kind="PNG"))
            text = b"procedure: x"
            proposal = Proposal("withen-bridge", str(uuid.uuid4()), "x", [{"path": "a/x.yaml", "text": text.decode()}], "x", "",
                                None, None, "anna", ports.clock.now())
            machine = CustomerMachine("withen-bridge", str(uuid.uuid4()), "Fell", "Mrs A", None, None, [], None, None, None, "", "anna",
                                      ports.clock.now())
            now = ports.clock.now()
            link = JobLink("withen-bridge", str(uuid.uuid4()), machine.id, "only-here", "anna", now, now + timedelta(days=7))
            with ports.storage.writing() as unit:
                unit.proposals.put(proposal)
                unit.job_links.put(link)
                unit.passkeys.put(Passkey("withen-bridge", "passkey-of-ben", "ben", "key", "localhost", "", 0, now))
                unit.machines.put(machine)
            with ports.storage.reading() as unit:
                session = unit.accounts.sessions("withen-bridge")[0].id
        self.ids = {"job": [journal.job], "device": [phone.device], "sha256": [photo], "upload": [begun, photo],
                    "workfile": [workfile.id], "version": ["1"], "picture": [picture.name.rpartition("/")[2]],
                    "name": ["ben"], "proposal": [proposal.id], "machine": [machine.id], "link": [link.id],
                    "passkey": ["passkey-of-ben"],
                    "id": [session], "procedure": ["only-here"], "model": ["only-here"]}

    def kinds(self) -> list[tuple[str, str]]:
        """Every thing with its kind: an id is also tried where another kind is meant."""
        return [(kind, id) for kind, ids in self.ids.items() for id in ids]


@pytest.fixture
def ours(app: Flask, ports: Ports, phone: Asker) -> Ours:
    return Ours(app, ports, phone)


def ask(asker: Asker, one: Operation, path: str, body: Any) -> tuple[int, Any]:
    """Status and code; of an answer that was given, its whole body."""
    headers = WRITE | {"Tus-Resumable": "1.0.0", "Upload-Offset": "0"}
    if one.path.startswith("/api/v1/photos"):
        sent: dict[str, Any] = {"data": b"x" if one.method == "PATCH" else b""}
        headers["Content-Type"] = "application/offset+octet-stream"
    else:
        sent = {"json": body} if body is not None else {"content_type": "application/json"}
    answer = asker.client.open(path, method=one.method, headers=headers, buffered=True, **sent)
    found = answer.get_json(silent=True)
    return answer.status_code, found.get("code") if isinstance(found, dict) and answer.status_code >= 400 else found


def strangers(app: Flask, ports: Ports) -> dict[str, Asker]:
    """Those who have no business with this dealer's customers: all but the first two of no dealer or another one."""
    shut_out = enrolled(app)
    assert sign_in(app, "anna").delete(f"/api/v1/desk/devices/{shut_out.device}").status_code == 200
    return {
        "other dealer's owner": sign_in(app, "olive-other"), "other dealer's author": sign_in(app, "anna-other"),
        "other dealer's reviewer": sign_in(app, "rob-other"), "other dealer's reader": sign_in(app, "ben-other"),
        "other dealer's phone": enrolled(app, "other"), "other customer's phone": enrolled(app),
        "shut out phone": shut_out, "nobody": Asker(app.test_client()),
    }


def test_nobody_else_gets_more_than_for_an_id_that_nothing_has(
    app: Flask, ports: Ports, ours: Ours, capsys: pytest.CaptureFixture[str]
) -> None:
    with app.app_context():
        with_dealer(ports, "other")
    description = description_of(app)
    people, asked, leaks = strangers(app, ports), Counter[str](), []
    for one in operations(description):
        if PUBLIC.match(one.path):
            continue
        for name in one.parameters:
            for kind, id in ours.kinds():
                values = {other: ours.ids[other][0] for other in one.parameters} | {name: id}
                none = {other: NOTHING[other] for other in one.parameters}
                for who, asker in people.items():
                    body = one.body and example(one.body, description, FILLED)
                    got = ask(asker, one, one.address(values), body)
                    expected = ask(asker, one, one.address(none), body)
                    asked[who] += 1
                    if got != expected or got[0] not in (401, 403, 404, 412):
                        leaks.append(f"{who}: {one.method} {one.path} with {kind}: {got}, for nothing: {expected}")
    for one in operations(description):
        for field in _named_in(one.body, description) & ours.ids.keys():
            if (one.method, one.path, field) in NAMES_TAKEN:
                continue
            for who, asker in people.items():
                bodies = [example(one.body or {}, description, FILLED | {field: ids[0]})
                          for ids in (ours.ids[field], [NOTHING[field]])]
                got, expected = (ask(asker, one, one.path, body) for body in bodies)
                asked[who] += 1
                if got != expected and not PUBLIC.match(one.path) and (one.method, one.path) not in WAYS_IN:
                    leaks.append(f"{who}: {one.method} {one.path} with {field} in its body: {got}, for nothing: {expected}")
    with capsys.disabled():
        print(f"\napart: {asked.total()} requests by {len(asked)} kinds of strangers, {len(leaks)} leaks")
    assert leaks == [], "\n".join(leaks)
    assert asked.total() >= 1500, "the description was not read"


def _named_in(schema: Any, description: Any) -> set[str]:
    found: set[str] = set()
    if isinstance(schema, dict):
        if "$ref" in schema:
            return _named_in(description["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]], description)
        found |= set(schema.get("properties", {}))
    return found


def test_those_in_the_right_do_get_what_is_theirs(app: Flask, ours: Ours, phone: Asker) -> None:
    """The other side of the test above: the ids are real, so the refusals there mean something."""
    owner = sign_in(app, "olive")
    assert owner.get(f"/api/v1/desk/jobs/{ours.ids['job'][0]}").status_code == 200
    assert owner.get(f"/api/v1/desk/workfiles/{ours.ids['workfile'][0]}").status_code == 200
    assert owner.get(f"/api/v1/desk/photos/{ours.ids['sha256'][0]}").status_code == 200
    assert phone.get(f"/api/v1/jobs/{ours.ids['job'][0]}/digest").status_code == 200
    assert phone.get(f"/api/v1/photos/{ours.ids['sha256'][0]}/receipt").status_code == 200
    (machine,), (link,) = ours.ids["machine"], ours.ids["link"]
    assert owner.get(f"/api/v1/desk/machines/{machine}/links").get_json()["links"][0]["id"] == link
    assert owner.get(f"/api/v1/desk/paper/links/{link}/sheet").status_code == 200
    assert owner.delete(f"/api/v1/desk/browsers/{ours.ids['id'][0]}").status_code == 204


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


def test_every_address_but_the_public_ones_asks_who_it_is(app: Flask, stranger: Asker) -> None:
    description = description_of(app)
    for one in operations(description):
        if PUBLIC.match(one.path) or (one.method, one.path) in WAYS_IN:
            continue
        body = one.body and example(one.body, description, FILLED)
        status, code = ask(stranger, one, one.address(NOTHING), body)
        assert status == 401, f"{one.method} {one.path} answers {status} {code} to a stranger"


def test_the_description_names_every_route(app: Flask) -> None:
    """What is generated from the description covers the server only if nothing is left out of it."""
    described = {(one.method, one.path) for one in operations(description_of(app))}
    for rule in app.url_map.iter_rules():
        if rule.endpoint.startswith(("api-docs", "web.", "static")) or rule.rule == "/api/openapi.json":
            continue
        path = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
        for method in (rule.methods or set()) - {"OPTIONS", "HEAD"}:
            assert (method, path) in described, f"{method} {path} is not described"


def test_every_answer_carries_the_policies(app: Flask, stranger: Asker) -> None:
    """Content-Security-Policy with Trusted Types on every page, and on everything else."""
    pages = ["/", "/desk", "/desk/people", "/desk/password", "/no/such/page", "/api/openapi.json", "/healthz", "/api/v1/nothing"]
    for path in pages:
        policy = stranger.get(path).headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy, path
        assert "require-trusted-types-for 'script'" in policy, path
        assert "frame-ancestors 'none'" in policy, path
