"""WebKitGTK through its own driver: W3C WebDriver over HTTP, under a display that nobody sees.

An automation session of WebKitGTK keeps nothing after it ends, so there is no restart with the same data. It is a cousin of the browser
on an iPhone, not a stand-in for it.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from tests.offline.demo_server import free_port

BROWSERS = sorted(Path("/usr/lib").glob("*/webkit2gtk-4*/MiniBrowser"))


def find_webkit() -> str | None:
    """The little browser that the driver steers, when all that is needed is there."""
    there = shutil.which("WebKitWebDriver") and shutil.which("Xvfb") and BROWSERS
    return str(BROWSERS[-1]) if there else None


class WebKit:
    """One automation session."""

    name = "WebKitGTK"
    lasting = False

    def __init__(self, folder: Path) -> None:
        display = f":{100 + os.getpid() % 800}"
        port = free_port()
        home = folder / "webkit"
        home.mkdir()
        environment = {**os.environ, "DISPLAY": display, "HOME": str(home), "XDG_RUNTIME_DIR": str(home), "LIBGL_ALWAYS_SOFTWARE": "1",
                       "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1", "WEBKIT_DISABLE_COMPOSITING_MODE": "1", "GDK_BACKEND": "x11"}
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "start_new_session": True}
        screen = subprocess.Popen(["Xvfb", display, "-screen", "0", "800x900x24", "-nolisten", "tcp"], **quiet)
        driver = subprocess.Popen(["WebKitWebDriver", f"--port={port}"], env=environment, **quiet)
        self._processes = [driver, screen]
        self._base = f"http://127.0.0.1:{port}"
        options = {"binary": find_webkit(), "args": ["--automation", "--features=StorageAPI,StorageAPIEstimate"]}
        wanted = {"capabilities": {"alwaysMatch": {"webkitgtk:browserOptions": options}}}
        session = self._patiently("/session", wanted)
        self._base += f"/session/{session['sessionId']}"
        self.version = f"{session['capabilities']['browserName']} {session['capabilities']['browserVersion']}"
        self._send("/timeouts", {"script": 60_000, "pageLoad": 60_000})

    def go(self, address: str) -> None:
        self._send("/url", {"url": address})

    def run(self, body: str, argument: Any = None) -> Any:
        """The value of an async function body, in which `a` is the argument. JSON both ways."""
        script = f"const a = arguments[0]; const end = arguments[arguments.length - 1]; (async () => {{ {body} }})().then(" \
                 "(value) => end(JSON.stringify({ value: value ?? null })), (error) => end(JSON.stringify({ error: String(error) })));"
        answer = json.loads(self._send("/execute/async", {"script": script, "args": [argument]}))
        if "error" in answer:
            raise AssertionError(answer["error"])
        return answer["value"]

    def kill(self) -> None:
        for process in self._processes:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()

    def _patiently(self, path: str, body: Any) -> Any:
        end = time.monotonic() + 60
        while True:
            try:
                return self._send(path, body)
            except (OSError, AssertionError):
                if time.monotonic() > end:
                    raise
                time.sleep(0.3)

    def _send(self, path: str, body: Any) -> Any:
        request = urllib.request.Request(f"{self._base}{path}", json.dumps(body).encode(), {"Content-Type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=90) as answer:
                return json.loads(answer.read())["value"]
        except urllib.error.HTTPError as error:
            raise AssertionError(error.read().decode()[:500]) from error
