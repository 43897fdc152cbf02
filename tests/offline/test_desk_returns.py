"""What the jobs say, at the desk: the steps to rewrite, readings across machines as a plot, at the sizes of a desk and a tablet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.making import START as BEGUN
from tests.offline.demo_server import DemoServer
from tests.offline.test_accessibility import violations
from tests.offline.test_bulletins import PROCEDURE
from tests.offline.test_desk_back import MACHINE, Sender, desk

pytestmark = pytest.mark.browser
__all__ = ["desk"]


@pytest.fixture
def jobs(server: DemoServer, desk: Page, browser: Browser) -> Iterator[Sender]:
    """Nine jobs on two machines: times that differ, a step at which seven of nine took the tick back, a reading in each."""
    context = browser.new_context()
    sender = Sender(server, desk, context.request)
    _, pack = server.pack(PROCEDURE)
    steps = [step["id"] for step in pack["steps"] if step["when"] is None]
    measure = next(step for step in pack["steps"] if step["limits"])
    for number in range(9):
        journal = sender.journal
        journal.job, journal.at = f"0190a000-0000-4000-8000-00000000a{number:03}", BEGUN + timedelta(days=number)
        machine = MACHINE | {"name": f"Fell {number % 2 + 1}", "id": f"m{number % 2}", "hours": 20 + 12.5 * number}
        sender.send(("JobStarted", {"machine": machine, "procedure": PROCEDURE, "revision": 1, "title": pack["title"]}))
        for place, step in enumerate(steps[:6]):
            journal.at += timedelta(minutes=1 + (number * 7 + place) % 5)
            sender.send(("StepDone", {"step": step, "away_s": 0}))
        if number < 7:
            gone = sender.journal.write("StepDone", {"step": steps[6], "away_s": 0})
            sender._post("events", {"events": [gone], "waiting": 0})
            sender.send(("Retracted", {"event": gone["id"]}), ("NoteWritten", {"step": steps[6], "text": "Which way round?"}))
        value = 4 - 0.35 * number
        limits = measure["limits"]
        sender.send(("ReadingTaken", {"step": measure["id"], "check": limits["check"], "value": value, "unit": limits["unit"],
                                      "as_typed": f"{value:.2f} mm", "verdict": "within" if value >= 2.7 else "outside"}))
    yield sender
    context.close()


def test_the_steps_to_rewrite_and_the_readings_across_machines(desk: Page, server: DemoServer, jobs: Sender, tmp_path: Path) -> None:
    desk.goto(f"{server.address}/desk/library")
    card = desk.locator("li.card").filter(has_text="Renew the front brake pads and fluid")
    card.get_by_role("link", name="What its jobs say of its steps").click()
    expect(desk.get_by_role("heading", name="Steps to rewrite first")).to_be_visible()
    expect(desk.locator(".card.look li").filter(has_text="People get stuck here more than at the other steps")).to_have_count(1)
    row = desk.get_by_role("row").filter(has_text="took the tick back")
    expect(row).to_contain_text("asked something")
    expect(desk.get_by_role("row").nth(1)).to_contain_text(re.compile(r"min \(.* to .*; n \d+\)"))
    expect(desk.get_by_text("too few to say (0)").first).to_be_visible()
    look_at(desk, tmp_path, "steps")
    with desk.expect_download() as table:
        desk.get_by_role("link", name="This table as CSV").click()
    assert Path(table.value.path()).read_text(encoding="utf-8").startswith("number,step,say,minutes_written")

    desk.goto(f"{server.address}/desk/machines")
    desk.get_by_role("link", name="Readings across machines").click()
    _, pack = server.pack(PROCEDURE)
    check = next(step["limits"]["check"] for step in pack["steps"] if step["limits"])
    desk.get_by_role("link", name=pack["checks"][check]["name"], exact=True).click()
    expect(desk.locator(".plot-key li")).to_contain_text(["Fell 1", "Fell 2"])
    plot = desk.get_by_role("img", name=re.compile("by hours: .* outside the limits"))
    expect(plot).to_be_visible()
    assert plot.locator(".limit-line").count() >= 1
    assert plot.locator(".mark").count() == desk.get_by_role("row").count() - 1 - desk.get_by_role("cell", name="not stated").count()
    assert plot.locator(".ring").count() == desk.get_by_role("cell", name="OUTSIDE the limits").count() > 0
    look_at(desk, tmp_path, "readings")


def look_at(desk: Page, tmp_path: Path, name: str) -> None:
    """Photographed at both sizes, with nothing that axe finds and nothing wider than the screen."""
    for width, height in ((1280, 800), (820, 1180)):
        desk.set_viewport_size({"width": width, "height": height})
        assert violations(desk) == []
        assert desk.evaluate("document.documentElement.scrollWidth") <= width
        desk.screenshot(path=str(tmp_path / f"{name}-{width}.png"))
