"""A phone: real Chromium with its own profile, that can be closed, killed and opened again."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, Playwright

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


class Phone:
    """One browser profile on disk. `page` is the first tab."""

    def __init__(self, playwright: Playwright, chromium: str, profile: Path) -> None:
        self._playwright, self._chromium, self._profile = playwright, chromium, profile
        self.profile = profile
        self.complaints: list[str] = []
        self.context: BrowserContext
        self.page: Page
        self.switch_on()

    def switch_on(self) -> None:
        self.context = self._playwright.chromium.launch_persistent_context(
            str(self._profile), executable_path=self._chromium, args=ARGUMENTS, headless=True
        )
        self.context.on("weberror", lambda error: self.complaints.append(str(error.error)))
        self.context.on("console", self._hear)
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()

    def _hear(self, message: Any) -> None:
        if message.type in ("error", "warning") and (
            "Content Security Policy" in message.text or "Trusted" in message.text
        ):
            self.complaints.append(message.text)

    def open(self, address: str, page: Page | None = None) -> Page:
        """Opens an address and waits until the data are read."""
        shown = page or self.page
        shown.goto(address)
        shown.evaluate("opened")
        return shown

    def bench(self, call: str, argument: Any = None, page: Page | None = None) -> Any:
        """Evaluates an expression over `bench` (and `a`, the argument) in the page."""
        return (page or self.page).evaluate(f"async (a) => {{ const bench = window.bench; return {call}; }}", argument)

    def until(self, condition: str, argument: Any = None, page: Page | None = None, seconds: float = 20) -> None:
        """Waits until the expression is true."""
        end = time.monotonic() + seconds
        while not self.bench(condition, argument, page):
            assert time.monotonic() < end, (
                f"still not: {condition}; outbox {self.bench('bench.outbox.value', page=page)}"
            )
            time.sleep(0.05)

    def worker_ready(self, page: Page | None = None) -> None:
        """Waits until a service worker is in force for this site."""
        (page or self.page).evaluate("navigator.serviceWorker.ready.then(() => true)")

    def switch_off(self) -> None:
        self.context.close()

    def kill(self) -> None:
        """Kills this profile's browser processes without any warning, as an empty battery would."""
        mine = [pid for pid in _processes() if str(self._profile).encode() in _command(pid)]
        for pid in mine:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        try:
            self.context.close()
        except Exception:  # the browser is gone, which is the point
            return


def _processes() -> list[int]:
    return [int(name) for name in os.listdir("/proc") if name.isdigit()]


def _command(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return b""
