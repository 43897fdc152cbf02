"""The whole editing path with nothing but a keyboard, from an empty server to a published procedure; axe on every page of it.

No pointer is used, and no field is set past the keyboard: Tab goes, letters choose, Enter does. What has the focus is always seen.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import NewServer
from tests.offline.test_accessibility import context_of, violations
from tests.offline.test_desk_writing import state

pytestmark = pytest.mark.browser

# the name that the focused element has on the page, and whether one sees that it has the focus
FOCUSED = """() => {
  const e = document.activeElement;
  if (!e || e === document.body) return ['', true];
  const label = e.labels && e.labels[0] ? e.labels[0].cloneNode(true) : null;
  label?.querySelectorAll('select, textarea, input').forEach((inner) => inner.remove());
  const style = getComputedStyle(e);
  const seen = (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0) || e.tagName === 'IFRAME';
  return [e.getAttribute('aria-label') ?? label?.textContent.trim() ?? e.textContent.trim(), seen];
}"""
MOST_TABS = 260


@pytest.fixture(params=[(1280, 800), (820, 1180)], ids=["desk", "tablet"])
def desk(request: pytest.FixtureRequest, browser: Browser, tmp_path: Path) -> Iterator[tuple[Page, NewServer]]:
    server = NewServer(tmp_path / "server")
    server.start()
    context = context_of(browser, *request.param)
    page = context.new_page()
    expect.set_options(timeout=30_000)
    yield page, server
    expect.set_options(timeout=5_000)
    context.close()
    server.kill()


class Keys:
    """A person with a keyboard only."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.looked = 0

    def reach(self, words: str, back: bool = False) -> None:
        """Goes with Tab until what begins with these words has the focus."""
        passed: list[str] = []
        for _ in range(MOST_TABS):
            self.page.keyboard.press("Shift+Tab" if back else "Tab")
            name, seen = self.page.evaluate(FOCUSED)
            assert seen, f"“{name}” has the focus and nothing shows it"
            if name.startswith(words):
                return
            passed.append(name[:40])
        raise AssertionError(f"“{words}” is not reached by Tab; passed were {passed}")

    def write(self, words: str, text: str, back: bool = False) -> None:
        self.reach(words, back)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

    def press(self, words: str, back: bool = False) -> None:
        self.reach(words, back)
        self.page.keyboard.press("Enter")

    def choose(self, words: str, option: str, back: bool = False) -> None:
        """Chooses of a list by its first letters."""
        self.reach(words, back)
        self.page.keyboard.type(option)

    def pick(self, words: str, option: str) -> None:
        """Chooses of a list that takes what is chosen at once: it opens, letters go to the line, Enter takes it."""
        self.reach(words)
        self.page.keyboard.press("ArrowDown")
        self.page.keyboard.type(option)
        self.page.keyboard.press("Enter")

    def look(self, name: str) -> None:
        """Nothing wider than the page, nothing for axe to say; a picture where one is wanted."""
        assert self.page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{name}: something is wider than the page"
        assert violations(self.page) == []
        folder = os.environ.get("BENCHTRAIL_PICTURES")
        if folder:
            width = self.page.viewport_size["width"] if self.page.viewport_size else 0
            self.page.screenshot(path=f"{folder}/{width}-{self.looked:02}-{name}.png")
        self.looked += 1


def test_from_set_up_to_a_published_procedure_by_keyboard(desk: tuple[Page, NewServer]) -> None:
    page, server = desk
    keys = Keys(page)
    page.goto(f"{server.address}/desk")
    expect(page.get_by_role("heading", name="Set up this server")).to_be_visible()
    keys.look("set-up")
    keys.write("Code that the server printed", server.set_up_code())
    keys.write("Name of the dealership", "Tarn End Offroad (invented)")
    keys.write("Your name", "maya")
    keys.write("Your password", "a-long-invented-one")
    keys.press("Set it up")
    expect(page.get_by_role("heading", name="Jobs that came back")).to_be_visible()
    keys.look("jobs")
    keys.press("Writing")
    expect(page.get_by_role("heading", name="Writing", exact=True)).to_be_visible()
    keys.look("writing")
    map_by_keyboard(keys)
    procedure_by_keyboard(keys)
    publish_by_keyboard(keys)


def add(keys: Keys, table: str, name: str, back: bool = False) -> None:
    keys.press(table, back)
    keys.write("Name of a new", name)
    keys.page.keyboard.press("Enter")
    expect(keys.page.locator(".thing-list > li.opened .thing-line")).to_contain_text(name)


def map_by_keyboard(keys: Keys) -> None:
    page = keys.page
    keys.write("Name of the model", "Tarn 50 (invented)")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Tarn 50 (invented)")).to_be_visible()
    add(keys, "Parts", "seat")
    add(keys, "Parts", "battery", back=True)
    add(keys, "Options", "Rear rack")
    keys.choose("Group", "none")
    add(keys, "Tools", "8 mm socket", back=True)
    add(keys, "Tools", "torque wrench 2 to 25 N·m", back=True)
    keys.write("Kind", "torque_wrench")
    keys.write("Torque wrench: from", "2")
    keys.write("Torque wrench: to", "25")
    add(keys, "Joints", "seat bolts", back=True)
    keys.pick("Add to: Which parts it joins", "seat")
    expect(page.locator(".thing-form .id-list").first).to_contain_text("seat")
    expect(page.locator(".thing-form .id-list").first).not_to_contain_text("battery\nTake out")
    keys.write("Thread", "M6x1")
    keys.pick("Add to: Tools that can undo it", "8 mm")
    keys.write("As printed, with its unit", "9 N·m")
    keys.write("For which condition", "dry")
    keys.write("Document and page", "Sheet T5-1 (invented)")
    keys.press("Add the figure")
    # a second bolt, moved on the face by the arrows, then its length
    keys.press("Add a fastener")
    keys.reach("Fastener 2", back=True)
    for key in ("ArrowDown", "Shift+ArrowRight", "Shift+ArrowRight"):
        page.keyboard.press(key)
    expect(page.locator(".face-hole").nth(1)).to_have_attribute("aria-label", "Fastener 2 at 40, 1 mm")
    for _ in range(2):
        keys.write("Length, mm", "20")
    state(page)
    keys.look("joint")
    for table in ("What must be shut off", "Services due", "Cautions"):
        add(keys, table, {"Cautions": "Acid spills.", "Services due": "battery check"}.get(table, "The engine could start."), back=True)
        keys.look(table.replace(" ", "-"))
        # taken off the map again: it was only looked at
        keys.press("Take this")
    keys.press("Ask me", back=True)
    keys.press("Nothing stands in the way")
    expect(page.locator(".joint-questions")).to_contain_text("1 of 1 joints are answered")
    keys.look("questions")
    keys.press("Take in a table", back=True)
    keys.look("table")
    state(page)
    expect(page.locator("[data-proving]")).to_have_text("Proven: no findings")


def procedure_by_keyboard(keys: Keys) -> None:
    page = keys.page
    keys.press("All maps and procedures in writing", back=True)
    expect(page.get_by_role("heading", name="Writing", exact=True)).to_be_visible()
    expect(page.get_by_role("combobox", name="On which machine")).to_contain_text("Tarn 50")
    keys.choose("What is to be done", "Take out")
    keys.pick("To what", "seat")
    expect(page.locator(".id-list")).to_contain_text("Take out: seat")
    keys.press("Draft it from the map")
    expect(page.locator(".step-line").first).to_be_visible()
    state(page)
    keys.reach("1")
    page.keyboard.press("Enter")
    keys.reach("What to say, verb first")
    page.keyboard.press("Control+End")
    page.keyboard.type(" Keep both bolts.")
    expect(page.get_by_label("What to say, verb first")).to_have_value("Undo the seat bolts. Take the seat off. Keep both bolts.")
    keys.write("What the eye must see", "Both bolts are out.")
    state(page)
    expect(page.locator(".finding")).to_have_count(0)
    expect(page.locator("[data-proving]")).to_have_text("Proven: no findings")
    keys.look("step")
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+y")
    keys.press("About it", back=True)
    keys.look("head")
    state(page)


def publish_by_keyboard(keys: Keys) -> None:
    page = keys.page
    keys.press("Send version")
    expect(page.get_by_text("Nothing of it is published yet.")).to_be_visible()
    keys.look("before-review")
    keys.write("What changed, in a sentence", "First issue.")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("Tarn 50"))
    keys.look("review")
    keys.write("Why nobody else reviews it", "Only one person works here.")
    keys.press("Accept my own text")
    expect(page.get_by_role("button", name="Sign and publish")).to_be_visible()
    keys.press("Sign and publish")
    expect(page.locator("main")).to_contain_text("published by maya")
    keys.look("published")
