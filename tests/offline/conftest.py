"""Real Chromium, real server process, and a page that holds only the phone's data layer (tests/offline/page)."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright, expect, sync_playwright
from tests.offline.demo_server import DemoServer
from tests.offline.phone import ARGUMENTS, Phone
from tests.offline.workshop import Workshop

from environment import find_chromium
from front_build import find_node, install_front_packages, node_environment

ROOT = Path(__file__).resolve().parents[2]

expect.set_options(timeout=20_000)  # ms; a machine of two cores that also runs other tests needs more than the 5 s of the library


@pytest.fixture(scope="session")
def build(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Builds the data layer's page, worker included; another mark is another version, "app" is the app itself."""
    made: dict[str, Path] = {}
    node, _ = find_node()
    install_front_packages(ROOT)

    def built(mark: str) -> Path:
        if mark not in made:
            out = tmp_path_factory.mktemp(f"web-{mark}")
            environment = {**node_environment(node), "VITE_MARK": mark}
            pages = ROOT / "frontend" if mark == "app" else ROOT / "tests" / "offline" / "page"
            command = [str(node), "build.mjs", str(out), str(pages)]
            subprocess.run(command, cwd=ROOT / "frontend", env=environment, check=True, stdout=subprocess.DEVNULL)
            made[mark] = out
        return made[mark]

    return built


@pytest.fixture
def workshop(build: Callable[[str], Path], tmp_path: Path) -> Iterator[Workshop]:
    """A server that runs, with one dealer and nothing published."""
    made = Workshop(tmp_path / "home", build("first"))
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """A browser that keeps nothing, as on a desk."""
    started = playwright.chromium.launch(executable_path=find_chromium(), args=ARGUMENTS)
    yield started
    started.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[DemoServer]:
    """The demo dealership, fresh; it may be killed and started again."""
    made = DemoServer(tmp_path / "server")
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="module")
def lasting_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoServer]:
    """The demo dealership for all tests of a file that only look."""
    made = DemoServer(tmp_path_factory.mktemp("server"))
    made.start()
    yield made
    made.kill()


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path) -> Iterator[Phone]:
    """A phone out of the box. At the end it must not have broken its own content security policy."""
    chromium = os.environ.get("BENCHTRAIL_CHROMIUM") or find_chromium()
    if not chromium:
        pytest.fail("Chromium was not found: install Debian's package chromium, or name one in BENCHTRAIL_CHROMIUM.")
    made = Phone(playwright, chromium, tmp_path / "profile")
    yield made
    complaints = made.complaints
    made.kill()
    assert complaints == []
