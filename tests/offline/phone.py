"""A phone: real Chromium with its own profile, that can be closed, killed and opened again."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page, Playwright

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

    def kill_renderer(self, show: Callable[[], object]) -> None:
        """The process that runs the pages, and it alone; the browser stays, and `show` opens something in `page`, a new tab."""
        renderers = self._renderers()
        assert renderers, "no renderer was found"
        for pid in renderers:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        time.sleep(0.5)  # until the browser knows: a page asked for at the very moment of the death never comes
        # The dead page is left alone: asking anything of it would wait for ever.
        for attempt in range(5):
            try:
                self.page = self.context.new_page()
                show()
                return
            except Error:
                if attempt == 4:
                    raise
                time.sleep(0.2)  # the browser had held a renderer ready, and that one was killed too

    def _renderers(self) -> list[int]:
        """By their parents: a renderer's own command does not name the profile."""
        profile, commands = str(self._profile).encode(), {pid: _command(pid) for pid in _processes()}
        return [pid for pid, command in commands.items() if b"--type=renderer" in command and profile in _family(pid, commands)]


def _family(pid: int, commands: dict[int, bytes]) -> bytes:
    """The command lines of a process and of those it comes from."""
    found = b""
    while pid > 1:
        found += commands.get(pid, b"")
        try:
            stat = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace")
        except OSError:
            break
        pid = int(stat.rpartition(")")[2].split()[1])
    return found


def _processes() -> list[int]:
    return [int(name) for name in os.listdir("/proc") if name.isdigit()]


def _command(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return b""
