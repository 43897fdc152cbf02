"""A dealer publishes from a file at the desk: refused with its findings, then published; a phone is told of the revision."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import ROOT, DemoServer, sign_in
from tests.offline.phone import Phone

pytestmark = pytest.mark.browser
NAME = "renew-front-brake-pads-and-fluid"
TEXT = (ROOT / "procedures" / "hobmoor-fell-250" / f"{NAME}.yaml").read_text(encoding="utf-8")


@pytest.fixture
def desk(browser: Browser, server: DemoServer) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = context.new_page()
    sign_in(page, f"{server.address}/desk/library")
    expect(page.get_by_role("heading", name="Publish a revision")).to_be_visible()
    yield page
    context.close()


def publish(desk: Page, tmp_path: Path, text: str, note: str) -> None:
    file = tmp_path / f"{NAME}.yaml"
    file.write_text(text, encoding="utf-8")
    desk.get_by_label("Files (.yaml)").set_input_files(file)
    desk.get_by_label("What changed, in a sentence").fill(note)
    desk.get_by_role("button", name="Check and publish").click()


def without_last_tightening(text: str) -> str:
    """The text with the last step that tightens something left out."""
    steps = re.split(r"(?m)^(?=  - id: )", text)
    last = max(n for n, step in enumerate(steps) if re.search(r"do: \[?.*tighten (?!.*stage 1)", step))
    return "".join(step for n, step in enumerate(steps) if n != last)


def test_a_text_with_a_joint_left_open_is_refused_with_its_findings(desk: Page, tmp_path: Path) -> None:
    broken = without_last_tightening(TEXT).replace("revision: 1", "revision: 2")
    publish(desk, tmp_path, broken, "A step less.")
    findings = desk.locator("li.finding")
    expect(findings.first).to_be_visible()
    expect(desk.locator(".finding.block, .finding.error").first).to_contain_text(f"{NAME}.yaml:")
    expect(desk.get_by_label("What changed, in a sentence")).to_have_value("A step less.")
    expect(desk.get_by_text("Published:")).to_have_count(0)


def test_a_new_revision_reaches_the_phone_that_keeps_the_old_one(desk: Page, server: DemoServer, phone: Phone, tmp_path: Path) -> None:
    phone.page.set_viewport_size({"width": 360, "height": 640})
    phone.page.goto(f"{server.address}/library")
    shelf = phone.page.locator("section", has=phone.page.get_by_role("heading", name="Hobmoor Fell 250"))
    shelf.get_by_role("button", name="Keep on this phone").click()
    expect(shelf.get_by_text(re.compile(r"On this phone: [3-9]"))).to_be_visible(timeout=60_000)
    publish(desk, tmp_path, TEXT.replace("revision: 1", "revision: 2"), "The wording of the first step.")
    expect(desk.get_by_text(f"Published: {NAME}, revision 2.")).to_be_visible()
    phone.page.get_by_role("button", name="Check with the dealer").click()
    row = shelf.get_by_role("listitem").filter(has_text="front brake pads")
    expect(row).to_contain_text("Revision 2", timeout=20_000)
