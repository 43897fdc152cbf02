"""Every page of the phone and of the desk under axe-core, the general rule engine for WCAG: no violation.

Source: WCAG 2.2 A and AA as implemented by axe-core (rules tagged wcag2a, wcag2aa, wcag21aa, wcag22aa, best-practice).
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.offline.demo_server import DemoServer, sign_in

pytestmark = pytest.mark.browser
AXE = Path(__file__).resolve().parents[2] / "frontend" / "node_modules" / "axe-core" / "axe.min.js"
PHONE_PAGES = ("/", "/library", "/machine/new", "/sending", "/enrol", "/settings", "/about",
               "/numbers", "/numbers/torque-at-wrench", "/tools", "/job-link")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def context_of(browser: Browser, width: int, height: int) -> BrowserContext:
    """A context in which axe may be put into the page; the product's own policy forbids foreign scripts."""
    return browser.new_context(bypass_csp=True, viewport={"width": width, "height": height})


def violations(page: Page) -> list[str]:
    page.evaluate(AXE.read_text(encoding="utf-8"))
    # a link half under the fixed bar of acts is small only until one scrolls; sizes are measured by tests/offline/screens.py
    found: dict[str, Any] = page.evaluate(
        "tags => axe.run(document, { runOnly: { type: 'tag', values: tags }, rules: { 'target-size': { enabled: false } } })", TAGS
    )
    return [f"{page.url} {one['id']}: {one['help']}: {[node['target'] for node in one['nodes'][:3]]}" for one in found["violations"]]


def begin_job(page: Page, server: DemoServer) -> str:
    """Starts the puncture job; the job's address."""
    sha256, _ = server.pack("mend-a-puncture-at-the-trail-side")
    page.goto(f"{server.address}/procedure/{sha256}")
    page.get_by_role("button", name="Start the job").click()
    page.wait_for_url("**/job/*/step/*")
    return page.url


@pytest.mark.parametrize("paper", ["Day", "Night", "Sun"])
def test_every_page_of_the_phone_passes_axe(lasting_server: DemoServer, browser: Browser, paper: str) -> None:
    context = context_of(browser, 360, 640)
    page = context.new_page()
    page.goto(f"{lasting_server.address}/settings")
    page.get_by_role("radio", name=paper).check()
    found: list[str] = []
    for path in (*PHONE_PAGES, "/no/such/page"):
        page.goto(lasting_server.address + path)
        expect(page.get_by_role("heading", level=1).first).to_be_visible()
        found += violations(page)
    step = begin_job(page, lasting_server)
    job = step.partition("/step/")[0]
    for address in (step, f"{step}?more", f"{step}?note", f"{step}?photo", f"{step}?skip", f"{step}?stop", f"{job}/ledger",
                    f"{job}/torques", f"{job}/notes", f"{job}/close"):
        page.goto(address)
        expect(page.get_by_role("heading").first).to_be_visible()
        found += violations(page)
    context.close()
    assert found == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_of_the_desk_passes_axe(lasting_server: DemoServer, browser: Browser, scheme: str) -> None:
    context = context_of(browser, 1280, 800)
    page = context.new_page()
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.goto(f"{lasting_server.address}/desk")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    found = violations(page)
    sign_in(page, f"{lasting_server.address}/desk")
    expect(page.locator("li.job-row").first).to_be_visible()
    found += violations(page)
    page.locator("li.job-row a").first.click()
    expect(page.locator(".facts")).to_be_visible()
    found += violations(page)
    for path, heading in (("bulletins", "Bulletins"), ("apart", "Entries kept apart"), ("job-files", "Take in a job from a file")):
        page.goto(f"{lasting_server.address}/desk/{path}")
        expect(page.get_by_role("heading", level=1)).to_have_text(heading)
        expect(page.get_by_text("Fetching from the server")).to_have_count(0)
        found += violations(page)
    page.get_by_role("link", name="Library").click()
    expect(page.get_by_role("heading", name="Publish a revision")).to_be_visible()
    found += violations(page)
    page.get_by_role("link", name="Plan").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("[Pp]lan|work"))
    found += violations(page)
    for sheet, heading in (("Review", "Review"), ("Machines", "Machines")):
        page.get_by_role("link", name=sheet, exact=True).click()
        expect(page.get_by_role("heading", level=1)).to_have_text(heading)
        expect(page.get_by_text("Fetching from the server")).to_have_count(0)
        found += violations(page)
    page.get_by_role("link", name="Phones").click()
    page.get_by_label("Whose phone").fill("Customer C")
    page.get_by_role("button", name="Make a code").click()
    expect(page.locator("img.code")).to_be_visible()
    found += violations(page)
    page.goto(f"{lasting_server.address}/desk/account")
    expect(page.get_by_role("heading", level=1)).to_have_text("Your account")
    expect(page.get_by_text("Fetching from the server")).to_have_count(0)
    found += violations(page)
    context.close()
    assert found == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), [(1280, 800), (820, 1180)])
def test_what_an_owner_sees_and_a_password_code_leads_to_passes_axe(
    lasting_server: DemoServer, browser: Browser, scheme: str, width: int, height: int
) -> None:
    context = context_of(browser, width, height)
    page = context.new_page()
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.goto(f"{lasting_server.address}/desk/password#code=ABCD1234")
    expect(page.get_by_role("heading", level=1)).to_have_text("Set your password")
    found = violations(page)
    page.get_by_label("New password").fill("a-long-invented-one")
    page.get_by_role("button", name="Set it").click()
    expect(page.get_by_role("alert")).to_be_visible()  # there is no such code, and it says so
    found += violations(page)
    sign_in(page, f"{lasting_server.address}/desk/people", "owner")
    expect(page.get_by_role("heading", level=1)).to_have_text("People")
    expect(page.get_by_text("Fetching from the server")).to_have_count(0)
    found += violations(page)
    page.get_by_role("link", name="Machines", exact=True).click()
    page.get_by_role("button", name="Add a customer’s machine").click()
    page.get_by_role("combobox", name="Model", exact=True).select_option(label="Hobmoor Packer 400")
    found += violations(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    context.close()
    assert found == []
