"""The app itself, all screens included: every address opens with the server dead, under its own security policy."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from tests.offline.phone import Phone
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser


@pytest.fixture
def app(workshop: Workshop, build: Callable[[str], Path]) -> Workshop:
    """The server with the real pages."""
    workshop.kill()
    workshop.web = build("app")
    workshop.start()
    return workshop


def shown(phone: Phone) -> str:
    """What can be read on the screen, once there is anything but the word that it opens."""
    phone.page.locator("#app h1").first.wait_for()
    words: str = phone.page.inner_text("#app")
    return words


def test_every_address_opens_with_the_server_dead_and_the_browser_restarted(phone: Phone, app: Workshop) -> None:
    addresses = ["/", "/library", "/machine/new", "/sending", "/enrol", "/settings", "/about"]
    phone.page.goto(app.address)
    shown(phone)
    phone.worker_ready()
    app.publish()
    with_signal = {}
    for address in addresses:
        phone.page.goto(app.address + address)
        with_signal[address] = shown(phone).splitlines()[0]
    phone.switch_off()
    app.kill()
    phone.switch_on()
    for address in addresses:
        phone.page.goto(app.address + address)
        assert shown(phone).splitlines()[0] == with_signal[address]


def test_a_first_visit_makes_few_requests(phone: Phone, app: Workshop) -> None:
    """The page, its data, and the pieces that the worker keeps for later, each by its own hash."""
    seen: list[str] = []
    phone.context.on("request", lambda request: seen.append(request.url))
    phone.page.goto(app.address)
    shown(phone)
    phone.worker_ready()
    page_and_data = [url for url in seen if "/sw.js" not in url]
    assert all(url.startswith((app.address, "blob:")) for url in seen), "nothing from elsewhere"
    assert len({url.split("?")[0] for url in page_and_data}) <= 18
