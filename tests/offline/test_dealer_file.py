"""A dealership moves to a new server in the browser: taken out by its owner, looked into, taken in, and opened again."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import ROOT, DemoServer, free_port, sign_in
from tests.offline.test_accessibility import context_of, violations

pytestmark = pytest.mark.browser


class EmptyServer:
    """`benchtrail serve` on a new home, with the set-up code that it printed."""

    def __init__(self, home: Path) -> None:
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.said = home.with_suffix(".log")
        command = [sys.executable, "-u", "-m", "benchtrail", "serve", "--home", str(home), "--host", "127.0.0.1", "--port", str(self.port)]
        environment = {**os.environ, "PYTHONPATH": str(ROOT / "backend")}
        with self.said.open("wb") as out:
            self._process = subprocess.Popen(command, env=environment, stdout=out, stderr=subprocess.STDOUT)
        end = time.monotonic() + 90
        while time.monotonic() < end:
            try:
                urllib.request.urlopen(f"{self.address}/healthz", timeout=5).close()
                return
            except urllib.error.URLError:
                time.sleep(0.2)
        raise AssertionError(self.said.read_text())

    def code(self) -> str:
        end = time.monotonic() + 60
        while time.monotonic() < end:
            found = re.search(r"with the code (\w+)", self.said.read_text())
            if found:
                return found[1]
            time.sleep(0.2)
        raise AssertionError(self.said.read_text())

    def kill(self) -> None:
        self._process.kill()
        self._process.wait()


@pytest.fixture
def new_server(tmp_path: Path) -> Iterator[EmptyServer]:
    made = EmptyServer(tmp_path / "new")
    yield made
    made.kill()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = context_of(browser, 1280, 800)
    yield context.new_page()
    context.close()


def test_a_dealership_moves_to_a_new_server(page: Page, server: DemoServer, new_server: EmptyServer, tmp_path: Path) -> None:
    sign_in(page, f"{server.address}/desk/people", "owner")
    with page.expect_download(timeout=120_000) as waiting:
        page.get_by_role("link", name="Take everything out (zip)").click()
    file = tmp_path / "dealership.zip"
    waiting.value.save_as(file)

    page.goto(f"{new_server.address}/desk")
    page.get_by_label("Code that the server printed").fill(new_server.code())
    cut = tmp_path / "cut.zip"
    cut.write_bytes(file.read_bytes()[:-200])
    page.get_by_label("File of the dealership (zip)").set_input_files(cut)
    page.get_by_role("button", name="Look into the file").click()
    expect(page.get_by_text("not a whole file of a dealership")).to_be_visible(timeout=60_000)

    page.get_by_label("File of the dealership (zip)").set_input_files(file)
    page.get_by_role("button", name="Look into the file").click()
    expect(page.get_by_text("The file is whole and true: Withen Bridge Offroad")).to_be_visible(timeout=120_000)
    expect(page.get_by_text("Signing key: not here.")).to_be_visible()
    expect(page.get_by_role("button", name="Take it in")).to_have_count(0)
    page.get_by_label("The old server’s signing key is not to be had: make a new one").check()
    page.get_by_role("button", name="Look into the file").click()
    expect(page.get_by_text("A new one signs everything anew")).to_be_visible(timeout=120_000)
    assert violations(page) == []
    page.screenshot(path=tmp_path / "look.png", full_page=True)
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_role("heading", name="Withen Bridge Offroad is taken in")).to_be_visible(timeout=120_000)
    code = page.locator(".code-words").inner_text()

    page.goto(f"{new_server.address}/desk/password#code={code}")
    page.get_by_label("New password, at least 10 characters").fill("keys of the new workshop")
    page.get_by_role("button", name="Set it").click()
    expect(page.get_by_role("heading", name="The password is set")).to_be_visible(timeout=30_000)
    page.goto(f"{new_server.address}/desk")
    page.get_by_label("Name").fill("owen")
    page.get_by_label("Password").fill("keys of the new workshop")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Jobs")).to_be_visible(timeout=60_000)
    page.goto(f"{new_server.address}/desk/library")
    expect(page.get_by_text("Front brake pads and fluid").first).to_be_visible(timeout=60_000)
