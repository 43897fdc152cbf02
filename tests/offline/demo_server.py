"""The demo dealership as a process of its own, for tests that walk through the whole job."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from benchtrail.services.seed_demo import DEMO_ACCOUNTS

ROOT = Path(__file__).resolve().parents[2]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class DemoServer:
    """`benchtrail demo` in its own process. The port stays the same over restarts: to a phone it is one site."""

    COMMAND = "demo"

    def __init__(self, home: Path) -> None:
        self.home, self.port = home, free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-m", "benchtrail", self.COMMAND, "--home", str(self.home), "--port", str(self.port)]
        environment = {**os.environ, "PYTHONPATH": str(ROOT / "backend")}
        with self._printed.open("ab") as printed:
            self._process = subprocess.Popen(command, env=environment, stdout=printed)
        end = time.monotonic() + 150
        while time.monotonic() < end:
            try:
                assert self.get("/healthz")["status"] == "ok"
                return
            except OSError:
                assert self._process.poll() is None, "the demo server stopped by itself"
                time.sleep(0.1)
        raise AssertionError("the demo server did not answer within 150 s")

    @property
    def _printed(self) -> Path:
        return self.home.with_name(f"{self.home.name}.printed")

    def kill(self) -> None:
        """As a power cut would: no goodbye."""
        if self._process:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def get(self, path: str) -> Any:
        with urllib.request.urlopen(f"{self.address}{path}", timeout=5) as answer:
            return json.loads(answer.read())

    def pack(self, procedure: str) -> tuple[str, dict[str, Any]]:
        """The hash and content of a procedure as published."""
        (dealer,) = self.get("/api/v1/dealers")
        manifest = json.loads(self.get(f"/api/v1/dealers/{dealer['slug']}/manifest")["payload"])
        (entry,) = [pack for pack in manifest["packs"] if pack["id"] == procedure and pack["kind"] == "procedure"]
        return entry["sha256"], self.get(f"/packs/{entry['sha256']}.json")


class NewServer(DemoServer):
    """`benchtrail serve` on an empty folder: no dealer, no account, nothing published."""

    COMMAND = "serve"

    def set_up_code(self) -> str:
        """The code that it prints where it is started, as whoever starts it reads it."""
        found = re.search(r"with the code (\S+)", self._printed.read_text(encoding="utf-8"))
        assert found, "the server printed no code to set it up with"
        return found[1]


def sign_in(page: Page, address: str, role: str = "author") -> None:
    """Opens a page of the desk and signs in as the demo's author or reader."""
    name, password = next((name, password) for name, its_role, password in DEMO_ACCOUNTS if its_role == role)
    page.goto(address)
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
