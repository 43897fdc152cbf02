"""The real application on a real SQLite file, asked through Flask's client; and people who ask it."""

import base64
import hashlib
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from tests.making import PASSWORD, SetClock, with_dealer
from werkzeug.test import TestResponse

from benchtrail.app import create_app
from benchtrail.config import Config
from benchtrail.services.devices import make_code
from benchtrail.services.ports import Ports

WRITE = {"X-Benchtrail": "1"}


@pytest.fixture
def clock() -> SetClock:
    return SetClock()


@pytest.fixture
def app(tmp_path: Path, clock: SetClock) -> Iterator[Flask]:
    web = tmp_path / "web"
    (web / "assets").mkdir(parents=True)
    for name, text in {
        "index.html": "<title>Benchtrail</title>", "desk.html": "<title>Benchtrail desk</title>", "sw.js": "//",
        "app.webmanifest": "{}", "version.json": "{}", "assets/index-abc.js": "//", "icon.svg": "<svg/>",
    }.items():
        (web / name).write_text(text)
    config = Config(
        home=tmp_path, database_url=f"sqlite:///{tmp_path}/test.db", secret=b"x" * 32,
        signing_key=str(tmp_path / "keys" / "{dealer}.pem"), web=web, lighter_passwords=True, photos_at_once=True,
    )
    made = create_app(config, clock)
    made.config["TESTING"] = False  # faults must be answered as they are for people
    with made.app_context():
        with_dealer(made.extensions["benchtrail"])
    yield made
    with made.app_context():
        made.extensions["benchtrail"].storage.close()


@pytest.fixture
def ports(app: Flask) -> Ports:
    made: Ports = app.extensions["benchtrail"]
    return made


@dataclass
class Asker:
    """A browser that keeps its cookies and sends what Benchtrail's own pages send."""

    client: FlaskClient
    device: str = ""

    def get(self, path: str, **options: Any) -> TestResponse:
        return self.client.get(path, buffered=True, **options)

    def post(self, path: str, body: object, **options: Any) -> TestResponse:
        return self.client.post(path, json=body, headers=WRITE | options.pop("headers", {}), **options)

    def delete(self, path: str) -> TestResponse:
        return self.client.delete(path, headers=WRITE)

    def upload(self, method: str, path: str, content: bytes = b"", **headers: str) -> TestResponse:
        """A request of the upload protocol; header names with _ for -."""
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if method == "PATCH" or content:
            sent.setdefault("Content-Type", "application/offset+octet-stream")
        return self.client.open(path, method=method, data=content, headers=WRITE | {"Tus-Resumable": "1.0.0"} | sent)

    def create_upload(self, content: bytes, job: str | None = None, mime: str = "image/jpeg", first: bytes = b"",
                      **headers: str) -> TestResponse:
        facts = {"sha256": hashlib.sha256(content).hexdigest(), "mime": mime, "job": job or str(uuid.uuid4())}
        pairs = ",".join(f"{name} {base64.b64encode(value.encode()).decode()}" for name, value in facts.items())
        return self.upload("POST", "/api/v1/photos", first, Upload_Length=str(len(content)), Upload_Metadata=pairs, **headers)

    def send_photo(self, content: bytes, job: str | None = None, piece: int = 256 * 1024) -> str:
        place = self.create_upload(content, job).headers["Location"]
        for start in range(0, len(content), piece):
            answer = self.upload("PATCH", place, content[start : start + piece], Upload_Offset=str(start))
            assert answer.status_code == 204, answer.text
        return hashlib.sha256(content).hexdigest()


@pytest.fixture
def stranger(app: Flask) -> Asker:
    return Asker(app.test_client())


@pytest.fixture
def author(app: Flask) -> Asker:
    return sign_in(app, "anna")


@pytest.fixture
def reader(app: Flask) -> Asker:
    return sign_in(app, "ben")


@pytest.fixture
def phone(app: Flask) -> Asker:
    return enrolled(app)


def sign_in(app: Flask, name: str) -> Asker:
    asker = Asker(app.test_client())
    assert asker.post("/api/v1/session", {"name": name, "password": PASSWORD}).status_code == 200
    return asker


def enrolled(app: Flask, dealer: str = "withen-bridge") -> Asker:
    with app.app_context():
        code, _ = make_code(app.extensions["benchtrail"], dealer, "Mrs Ashdown", "anna")
    asker = Asker(app.test_client(), str(uuid.uuid4()))
    answer = asker.post("/api/v1/devices/enrol", {"code": code, "device": asker.device, "label": ""})
    assert answer.status_code == 201, answer.text
    return asker
