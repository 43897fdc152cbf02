"""Firefox through WebDriver BiDi, on a websocket that it opens itself; no driver program in between.

Source of the commands: W3C WebDriver BiDi (https://w3c.github.io/webdriver-bidi/).
"""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import re
import shutil
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

from websocket import WebSocket, create_connection

PREFERENCES = """
user_pref("remote.active-protocols", 1);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("app.update.enabled", false);
user_pref("toolkit.startup.max_resumed_crashes", -1);
user_pref("browser.sessionstore.resume_from_crash", false);
"""


def find_firefox() -> str | None:
    return shutil.which("firefox-esr") or shutil.which("firefox")


class Firefox:
    """A headless Firefox on a profile of its own, which lasts over `kill` and `open_browser`."""

    name = "Firefox"
    lasting = True

    def __init__(self, folder: Path) -> None:
        self._profile = folder / "firefox"
        self._profile.mkdir()
        (self._profile / "user.js").write_text(PREFERENCES)
        self._count = itertools.count(1)
        self._process: subprocess.Popen[bytes] | None = None
        self._socket: WebSocket | None = None
        try:
            self.open_browser()
        except BaseException:
            self.kill()
            raise

    def open_browser(self) -> None:
        said = self._profile / "stderr.txt"
        command = [str(find_firefox()), "--headless", "--profile", str(self._profile), "--remote-debugging-port", "0", "--no-remote"]
        with said.open("wb") as file:
            self._process = subprocess.Popen(command, stdout=file, stderr=file, env={**os.environ, "MOZ_CRASHREPORTER_DISABLE": "1"},
                                             start_new_session=True)
        address = _until(lambda: re.search(r"WebDriver BiDi listening on (ws://\S+)", said.read_text(errors="replace")), 60)[1]
        self._socket = create_connection(f"{address}/session", timeout=90, suppress_origin=True)
        session = self._send("session.new", {"capabilities": {}})
        self.version = f"{session['capabilities']['browserName']} {session['capabilities']['browserVersion']}"
        self._context = self._send("browsingContext.getTree", {})["contexts"][0]["context"]

    def go(self, address: str) -> None:
        self._send("browsingContext.navigate", {"context": self._context, "url": address, "wait": "complete"})

    def run(self, body: str, argument: Any = None) -> Any:
        """The value of an async function body, in which `a` is the argument. JSON both ways."""
        source = f"async () => {{ const a = {json.dumps(argument)}; const work = async () => {{ {body} }}; " \
                 "return JSON.stringify((await work()) ?? null); }"
        answer = self._send("script.callFunction", {"functionDeclaration": source, "awaitPromise": True,
                                                    "target": {"context": self._context}})
        if answer["type"] == "exception":
            raise AssertionError(answer["exceptionDetails"]["text"])
        return json.loads(answer["result"]["value"])

    def kill(self) -> None:
        """As an empty battery would: the whole group of processes at once."""
        if self._process:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
        if self._socket:
            with contextlib.suppress(Exception):
                self._socket.close()
        self._process = self._socket = None

    def _send(self, method: str, params: dict[str, Any]) -> dict[str, Any]:
        assert self._socket
        number = next(self._count)
        self._socket.send(json.dumps({"id": number, "method": method, "params": params}))
        while True:
            answer = json.loads(self._socket.recv())
            if answer.get("id") == number:
                break
        if answer["type"] == "error":
            raise AssertionError(f"{method}: {answer['error']} {answer['message']}")
        result: dict[str, Any] = answer["result"]
        return result


def _until(look: Any, seconds: float) -> Any:
    end = time.monotonic() + seconds
    while not (found := look()):
        assert time.monotonic() < end, "the browser did not say that it listens"
        time.sleep(0.1)
    return found
