"""Where a procedure can be stopped, at the desk beside its steps in a real browser: the same as the service says, at two widths."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.test_accessibility import context_of, violations

from benchtrail.messages import way_texts
from benchtrail.services.compile_library import compile_library
from benchtrail.services.ways_out import ways_out
from benchtrail.wiring import read_library

pytestmark = pytest.mark.browser
FELL = Path(__file__).resolve().parents[2] / "procedures" / "hobmoor-fell-250"
NAME = "renew-front-brake-pads-and-fluid"
START = """([id, model]) => fetch('/api/v1/desk/workfiles', {method: 'POST',
  headers: {'Content-Type': 'application/json', 'X-Benchtrail': '1'},
  body: JSON.stringify({kind: 'procedure', id, model, published: true})}).then(answer => answer.json())"""
FIND = "() => fetch('/api/v1/desk/workfiles').then(answer => answer.json())"


@pytest.fixture(params=[(1280, 800), (820, 1180)], ids=["desk", "tablet"])
def page(request: pytest.FixtureRequest, lasting_server: DemoServer, browser: Browser) -> Iterator[Page]:
    context = context_of(browser, *request.param)
    opened = context.new_page()
    sign_in(opened, f"{lasting_server.address}/desk/writing")
    expect(opened.get_by_role("heading", name="Writing", exact=True)).to_be_visible()
    known = {file["path"]: file["id"] for file in opened.evaluate(FIND)["workfiles"]}
    path = f"hobmoor-fell-250/{NAME}.yaml"
    opened.goto(f"{lasting_server.address}/desk/writing/{known.get(path) or opened.evaluate(START, [NAME, 'hobmoor-fell-250'])['id']}")
    opened.get_by_role("button", name="Stopping").click()
    expect(opened.locator(".stop-sums")).to_be_visible(timeout=60_000)
    yield opened
    context.close()


def test_each_step_says_what_the_service_says(page: Page) -> None:
    library = compile_library(*read_library([FELL / f"{NAME}.yaml"]))
    pack = next(entry.compiled.pack for entry in library.procedures if entry.compiled and entry.asked)
    stops = ways_out(pack, {"year": 2026, "options": []}, way_texts())["stops"]
    lines = page.locator(".stop-list > li")
    assert lines.count() == len(stops)
    for at, aim in enumerate(("leave", "push")):
        shown = page.locator(f".stop-list summary > .stop-short:nth-of-type({at + 2})").all_inner_texts()
        for stop, words in zip(stops, shown, strict=True):
            way = stop[aim]
            if way["now"]:
                assert "as it is" in words, stop["after"]
                continue
            rows = way[way["shorter"]]["rows"]
            acts = sum(row["act"] is not None for row in rows)
            told = [int(n) for n in re.findall(r"(\d+) (?:step|thing)", words)]
            assert sorted(told) == sorted(n for n in (acts, len(rows) - acts) if n), stop["after"]
    assert f"{sum(stop['leave']['now'] for stop in stops[1:])} of {len(stops) - 1} steps" in page.locator(".stop-sums").inner_text()


def test_a_step_tells_its_ways_row_by_row_and_another_machine_has_its_own(page: Page) -> None:
    line = page.locator(".stop-list > li", has_text="Hang it on the hook.")
    line.locator("summary").click()
    expect(line).to_contain_text("Make fast: front reservoir screws")
    expect(line).to_contain_text("do not start the engine and do not ride")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    before = page.locator(".stop-list > li").count()
    page.get_by_label("Model year").select_option("2021")
    expect(page.locator(".stop-list > li")).to_have_count(before, timeout=60_000)
