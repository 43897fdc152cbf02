"""The picture of what comes off, on a narrow phone in a real browser: a long job drawn whole, and following the job."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import DemoServer
from tests.offline.test_accessibility import context_of
from tests.offline.walker import Walker

pytestmark = pytest.mark.browser
OUTSIDE = """[...document.querySelectorAll('.off-block')].flatMap(block => {
  const frame = block.querySelector('rect').getBoundingClientRect();
  return [...block.querySelectorAll('text')].filter(text => {
    const place = text.getBoundingClientRect();
    return place.right > frame.right || place.left < frame.left || place.bottom > frame.bottom || place.top < frame.top;
  }).map(text => text.textContent);
})"""


def states(page: Page) -> list[str]:
    """The state that each block tells in words."""
    return [words.partition(" · ")[2] for words in page.locator(".off-block .off-state").all_text_contents()]


@pytest.mark.parametrize("paper", ["day", "sun"])
def test_a_long_job_is_drawn_whole_and_follows_what_is_done(lasting_server: DemoServer, browser: Browser, paper: str) -> None:
    context = context_of(browser, 360, 640)
    page = context.new_page()
    walker = Walker(page, lasting_server.address)
    walker.set_paper(paper)
    walker.open("/machine/new")
    page.locator("label.choice").filter(has_text="Ghyll").first.click()
    page.get_by_label("Model year").select_option("2026")
    walker.fill("Your name for it", "Mine")
    walker.press("Save")
    page.get_by_role("heading", name="Mine", exact=True).wait_for()
    walker.open_procedure("renew-piston-rings")
    page.locator(".comes-off summary").click()
    expect(page.locator(".off-block").first).to_be_visible()
    before = states(page)
    assert len(before) > 15
    assert set(before) == {"on"}
    assert page.locator(".off-block.unit .inner").count() >= 2  # units are one block, with a double edge
    assert page.evaluate(OUTSIDE) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    walker.start()
    for _ in range(8):
        here = page.url
        page.get_by_role("button", name=re.compile("^Done")).click()
        page.wait_for_function("here => location.href !== here", arg=here)
    page.goto(f"{lasting_server.address}/job/{walker.job}/ledger")
    expect(page.locator(".off-block").first).to_be_visible()
    off = sum(state != "on" for state in states(page))
    assert off >= 3
    expect(page.locator(".comes-off")).to_contain_text(f"{off} of {len(before)} off or open, 0 back")
    assert page.evaluate(OUTSIDE) == []
    context.close()
