"""Chromium through Playwright, with the same few handles as the other engines."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright
from tests.offline.phone import Phone

from environment import find_chromium


class Chromium:
    """A headless Chromium on a profile that lasts."""

    name = "Chromium"
    lasting = True

    def __init__(self, folder: Path) -> None:
        self._manager = sync_playwright()
        self._phone = Phone(self._manager.start(), str(find_chromium()), folder / "chromium")
        browser = self._phone.context.browser
        self.version = f"Chromium {browser.version if browser else self.run('return navigator.userAgent')}"

    def open_browser(self) -> None:
        self._phone.switch_on()

    def go(self, address: str) -> None:
        self._phone.page.goto(address)

    def run(self, body: str, argument: Any = None) -> Any:
        """The value of an async function body, in which `a` is the argument."""
        return self._phone.page.evaluate(f"async (a) => {{ {body} }}", argument)

    def kill(self) -> None:
        self._phone.kill()
