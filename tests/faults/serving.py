"""A real server process on a home of its own, which can be killed and started again on the same port."""

import contextlib
import http.client
import json
import os
import socket
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.making import with_dealer

from benchtrail.cli.home import opened
from benchtrail.services.devices import make_code
from benchtrail.services.ports import Ports

ROOT = Path(__file__).resolve().parents[2]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def environment(home: Path) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT / "backend"), "BENCHTRAIL_HOME": str(home), "PYTHONWARNINGS": "error"}


class ServerProcess:
    """`benchtrail serve` as its own process."""

    def __init__(self, home: Path) -> None:
        self.home, self.port = home, free_port()
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-m", "benchtrail", "serve", "--port", str(self.port)]
        self._process = subprocess.Popen(command, env=environment(self.home), stdout=subprocess.DEVNULL)
        end = time.monotonic() + 60
        while time.monotonic() < end:
            assert self._process.poll() is None, "the server ended by itself"
            with contextlib.suppress(OSError, http.client.HTTPException):
                if self.ask("GET", "/healthz")[0] == 200:
                    return
            time.sleep(0.03)
        raise AssertionError("the server did not answer within 60 s")

    def kill(self) -> None:
        """Ends it as a power cut would: nothing is finished, nothing is said."""
        assert self._process is not None
        self._process.kill()
        self._process.wait()

    def stop(self) -> int:
        """Asks it to stop, and waits."""
        assert self._process is not None
        self._process.terminate()
        return self._process.wait(timeout=15)

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> tuple[int, Any, dict[str, str]]:
        """One request on a connection of its own: status, JSON body, headers (lower case)."""
        sent = {"X-Benchtrail": "1"} | {name.replace("_", "-"): value for name, value in headers.items()}
        content = body if isinstance(body, bytes) or body is None else json.dumps(body).encode()
        if content is not None:
            sent.setdefault("Content-Type", "application/json")
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            connection.request(method, path, content, sent)
            answer = connection.getresponse()
            text = answer.read()
            found = {name.lower(): value for name, value in answer.getheaders()}
        finally:
            connection.close()
        is_json = found.get("content-type", "").startswith("application/json") and text
        return answer.status, json.loads(text) if is_json else None, found


def enrolled_phone(server: ServerProcess, ports: Ports) -> tuple[str, str]:
    """A phone's id and its cookie."""
    device, (code, _) = str(uuid.uuid4()), make_code(ports, "withen-bridge", "Customer", "anna")
    status, _, headers = server.ask("POST", "/api/v1/devices/enrol", {"code": code, "device": device, "label": ""})
    assert status == 201
    return device, headers["set-cookie"].split(";")[0]


@contextlib.contextmanager
def opened_home(home: Path) -> Iterator[Ports]:
    """The same home, from this process."""
    with opened(home) as ports:
        yield ports


def prepared_home(home: Path) -> Path:
    """A home with a dealer."""
    with opened_home(home) as ports:
        with_dealer(ports)
    return home
