"""A real server process and its installation, for tests that drive a browser against it."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import rfc8785

from benchtrail.app import create_app
from benchtrail.config import load_config
from benchtrail.services.dealers import add_dealer
from benchtrail.services.devices import devices_of, make_code, revoke
from benchtrail.services.manifests import issue_manifest
from benchtrail.services.ports import Ports
from benchtrail.services.records import Picture, PublishedPack, StoredEvent

HERE = Path(__file__).resolve().parent
DEALER = "withen-bridge"
PICTURE = b"<svg xmlns='http://www.w3.org/2000/svg' width='40' height='40'><circle cx='20' cy='20' r='9'/></svg>"


class Workshop:
    """One installation and the server on it. The port stays the same over restarts: to a phone it is one site."""

    def __init__(self, home: Path, web: Path, later: bool = False) -> None:
        self.home, self.web, self.port, self._later = home, web, 0, later
        self._process: subprocess.Popen[str] | None = None
        self._app = create_app(replace(load_config(environment={}, home=home), lighter_passwords=True))
        with self._app.app_context():
            add_dealer(self.ports, DEALER, "Withen Bridge Offroad", invented=True)

    @property
    def ports(self) -> Ports:
        ports: Ports = self._app.extensions["benchtrail"]
        return ports

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Starts the server process; returns when it listens."""
        arguments = [str(self.home), str(self.web), str(self.port), *(["later"] if self._later else [])]
        environment = {**os.environ, "PYTHONPATH": str(HERE.parents[1] / "backend")}
        self._process = subprocess.Popen(
            [sys.executable, str(HERE / "serve_pages.py"), *arguments],
            env=environment,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self._process.stdout
        self.port = int(self._process.stdout.readline())

    def kill(self) -> None:
        """As a power cut would: no goodbye."""
        if self._process:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            assert self._process.stdout
            self._process.stdout.close()
            self._process = None

    def code(self) -> str:
        """A one-time code for a phone."""
        with self._app.app_context():
            return make_code(self.ports, DEALER, "test phone", "tests")[0]

    def revoke_all(self) -> None:
        """Shuts every phone out."""
        with self._app.app_context():
            for device in devices_of(self.ports, DEALER):
                revoke(self.ports, DEALER, device.device)

    def events(self, job: str) -> list[StoredEvent]:
        with self._app.app_context(), self.ports.storage.reading() as unit:
            return unit.events.of_job(DEALER, job)

    def held_packs(self) -> list[str]:
        """What the phones said they keep, by hash."""
        with self._app.app_context(), self.ports.storage.reading() as unit:
            return sorted(sha256 for one in unit.held_packs.all(DEALER) for sha256 in one.packs)

    def photo_bytes(self, sha256: str) -> bytes | None:
        """The photo as kept, whether looked into already or not."""
        with self._app.app_context():
            with self.ports.storage.reading() as unit:
                photo = unit.photos.get(DEALER, sha256)
            if photo is None:
                return None
            room, name = ("photos", photo.clean_sha256) if photo.clean_sha256 else ("quarantine", sha256)
            return self.ports.files.get(DEALER, room, name)  # type: ignore[arg-type]

    def publish(self, revision: int = 1, torque: str = "10 N·m") -> str:
        """Publishes a small procedure for anywhere, with one picture; its SHA-256."""
        content = rfc8785.dumps(procedure(revision, torque))
        sha256, picture_sha256 = (hashlib.sha256(data).hexdigest() for data in (content, PICTURE))
        with self._app.app_context():
            signer = self.ports.signers.get(DEALER)
            picture = {"sha256": picture_sha256, "bytes": len(PICTURE), "mime": "image/svg+xml"}
            entry = {
                "sha256": sha256,
                "bytes": len(content),
                "kind": "procedure",
                "id": "mend-a-puncture",
                "title": "Mend a puncture",
                "summary": "A tyre, at the trail-side.",
                "revision": revision,
                "issued": "2026-11-02",
                "model": None,
                "applies": None,
                "safety": ["wheels"],
                "signature": signer.sign(content),
                "pictures": [picture],
            }
            now = self.ports.clock.now()
            pack = PublishedPack(
                DEALER,
                sha256,
                "procedure",
                "mend-a-puncture",
                revision,
                "Mend a puncture",
                "2026-11-02",
                "Test issue.",
                now,
                "tests",
                entry,
            )
            self.ports.files.put(DEALER, "packs", sha256, content)
            self.ports.files.put(DEALER, "pictures", picture_sha256, PICTURE)
            with self.ports.storage.writing() as unit:
                dealer = unit.dealers.get(DEALER)
                assert dealer
                unit.packs.add_picture(Picture(DEALER, picture_sha256, "image/svg+xml", len(PICTURE)))
                unit.packs.add(pack)
                issue_manifest(unit, self.ports, dealer, signer)
        return sha256

    def overwrite_pack(self, sha256: str, content: bytes) -> None:
        """Changes a published pack on the server's disk, as a fault or an intruder would."""
        with self._app.app_context():
            self.ports.files.put(DEALER, "packs", sha256, content)

    def pack(self, sha256: str) -> bytes:
        with self._app.app_context():
            content = self.ports.files.get(DEALER, "packs", sha256)
        assert content is not None
        return content


def procedure(revision: int, torque: str) -> dict[str, Any]:
    """A procedure of two steps. Invented; not for use on a real machine."""
    step = {
        "section": "All",
        "do": [{"verb": "note", "object": ""}],
        "detail": None,
        "when": None,
        "figure": None,
        "cautions": [],
        "limits": None,
        "look_for": None,
        "picture": None,
        "minutes": None,
        "tools": [],
    }
    tables = (
        "parts",
        "units",
        "joints",
        "fluids",
        "tools",
        "supplies",
        "poses",
        "settings",
        "aids",
        "cautions",
        "checks",
        "follow_ons",
        "pictures",
    )
    figure = {
        "id": "nut",
        "kind": "torque",
        "value": 10.0,
        "low": None,
        "high": None,
        "unit": "N·m",
        "as_published": torque,
        "tolerance": None,
        "condition": "dry",
        "source": "Invented sheet",
        "revision": None,
        "safety": "normal",
        "when": None,
    }
    return {
        "format": "benchtrail.procedure/1",
        "dealer": DEALER,
        "procedure": "mend-a-puncture",
        "title": "Mend a puncture",
        "summary": "A tyre, at the trail-side.",
        "invented": True,
        "revision": revision,
        "issued": "2026-11-02",
        "author": "Tests",
        "change_note": "Test issue.",
        "model": None,
        "applies": None,
        "goal": [],
        "safety": ["wheels"],
        "people": 1,
        "skill": "None.",
        "start": [],
        "ends": [],
        "prepare": {"tools": [], "supplies": []},
        "stop_and_ask": "When in doubt.",
        "disposal": None,
        **{name: {} for name in tables},
        "figures": {"nut": figure},
        "steps": [
            {**step, "id": "first", "say": "Look."},
            {**step, "id": "second", "say": "Look again.", "figure": "nut"},
        ],
    }
