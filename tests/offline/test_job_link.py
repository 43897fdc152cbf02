"""A link to a job on one machine: made at the desk, opened on a phone at that job, withdrawn; and what a spoilt one says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.phone import Phone
from tests.offline.test_accessibility import context_of, violations

pytestmark = pytest.mark.browser
TITLE = "Renew the front brake pads and fluid"


def test_a_phone_opens_the_job_that_the_desk_prepared_for_its_machine(
    browser: Browser, server: DemoServer, phone: Phone, tmp_path: Path
) -> None:
    context = context_of(browser, 1280, 900)
    desk = context.new_page()
    sign_in(desk, f"{server.address}/desk/machines")
    card = desk.locator("li.card", has=desk.get_by_role("heading", name="Fell of the club"))
    card.get_by_text("Links for this machine").click()
    card.get_by_label("Procedure").select_option(label=TITLE)
    card.get_by_label("Good for how many days").fill("7")
    card.get_by_role("button", name="Make the link").click()
    card.get_by_role("button", name="Show the code").click()
    expect(card.get_by_role("img", name=re.compile("QR code that opens"))).to_be_visible()
    # the desk writes the address that phones reach in the network; this phone is on the same computer
    link = f"{server.address}/job-link#{card.locator('.breakable').first.inner_text().partition('#')[2]}"
    assert violations(desk) == []
    desk.screenshot(path=tmp_path / "desk.png", full_page=True)
    at = card.get_by_role("link", name="Bench sheet with this code, PDF on Letter").get_attribute("href")
    sheet = desk.request.get(f"{server.address}{at}")
    assert (sheet.status, sheet.headers["content-type"]) == (200, "application/pdf")

    page = phone.page
    page.goto(link)
    expect(page.get_by_role("heading", name=TITLE)).to_be_visible()
    expect(page.get_by_text("Prepared for you by Withen Bridge Offroad")).to_be_visible()
    expect(page.get_by_text("2024, 133.5 h when the dealer last knew")).to_be_visible()
    page.screenshot(path=tmp_path / "phone.png")
    page.get_by_role("button", name="Open the job").click()
    expect(page.get_by_text(re.compile(r"^This is for your Fell of the club"))).to_be_visible()
    expect(page.get_by_label(re.compile("Hours"))).to_have_value("133.5")
    page.get_by_role("button", name="Start the job").click()
    page.wait_for_url("**/job/*/step/*")
    assert "#" not in page.url

    card.get_by_role("button", name="Withdraw it").click()
    expect(card.get_by_text("withdrawn")).to_be_visible()
    page.goto("about:blank")
    page.goto(link)
    expect(page.get_by_text("Withen Bridge Offroad has withdrawn this link.")).to_be_visible()
    page.goto("about:blank")
    page.goto(link[:-3])
    expect(page.get_by_text("This link opens nothing.")).to_be_visible()
    server.kill()
    page.goto("about:blank")
    page.goto(link)
    expect(page.get_by_text("The dealer could not be reached.")).to_be_visible(timeout=30_000)
    context.close()
