"""The plan at the desk in a real browser: asked, told in words, drawn in layers that can be read on a narrow screen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.test_accessibility import context_of, violations

pytestmark = pytest.mark.browser
# texts that leave their block, to the right, left or below
OUTSIDE = """[...document.querySelectorAll('details.plan-group[open] .layer-block')].flatMap(block => {
  const frame = block.querySelector('rect').getBoundingClientRect();
  return [...block.querySelectorAll('text')].filter(text => {
    const place = text.getBoundingClientRect();
    return place.right > frame.right || place.left < frame.left || place.bottom > frame.bottom || place.top < frame.top;
  }).map(text => text.textContent);
})"""

FITTED = """[...document.querySelectorAll('svg.plan-layers')].every(
  drawing => Math.abs(drawing.clientWidth - drawing.parentElement.clientWidth) <= 1)"""


@pytest.fixture(params=[(1280, 800), (360, 640)], ids=["wide", "narrow"])
def page(request: pytest.FixtureRequest, lasting_server: DemoServer, browser: Browser) -> Iterator[Page]:
    context = context_of(browser, *request.param)
    opened = context.new_page()
    sign_in(opened, f"{lasting_server.address}/desk/plan", "reader")
    opened.get_by_role("combobox", name="Model", exact=True).select_option("hobmoor-fell-250")
    yield opened
    context.close()


def add_goal(page: Page, kind: str, sought: str, thing: str) -> None:
    page.get_by_role("combobox", name="What is to be done").select_option(kind)
    page.get_by_label("Search by name").fill(sought)
    page.get_by_role("listbox").select_option(thing)
    page.get_by_role("button", name=re.compile("^Add: ")).click()


def plan(page: Page) -> Any:
    """Presses the button; the server's answer, which the page must show."""
    with page.expect_response("**/api/v1/desk/plan") as answer:
        page.get_by_role("button", name="Plan the least work").click()
    expect(page.locator("svg.plan-layers").first).to_be_visible()
    return answer.value.json()


def test_the_plan_is_told_in_words_and_drawn_whole(page: Page) -> None:
    add_goal(page, "renewed", "water lip", "pump_seal_early")
    first = plan(page)["groups"][0]["plan"]
    numbered = page.locator("details.plan-group[open] .plan-steps li:not(.plan-pose)")
    assert [words.lower() for words in numbered.all_inner_texts()] == [
        " · ".join(filter(None, (one["words"], one["tool_name"]))).lower() for one in first["operations"]]
    drawn = page.locator("details.plan-group[open] .layer-block")
    assert sorted(int(one.get_attribute("data-number") or 0) for one in drawn.all()) == [
        one["number"] for one in first["operations"]]
    unit = page.locator("details.plan-group[open] .layer-block.as-one")
    assert unit.count() == len(first["leaves_as_one"]) == 1
    said = unit.inner_html()
    assert "leaves as one" in said
    assert all(part["name"].split()[0] in said for part in first["leaves_as_one"][0]["stay_on_it"])
    expect(page.locator("details.plan-group[open] .layer-block.drain")).to_contain_text("drain")
    expect(page.locator("details.plan-group[open] svg")).to_contain_text("stays in, not drained")
    description = page.locator("details.plan-group[open] svg desc").text_content() or ""
    assert all(one["words"] in description for one in first["operations"])
    expect(page.get_by_text("Proven: no plan on this map takes less.").first).to_be_visible()


def test_nothing_is_cut_off_at_any_width_and_axe_finds_nothing(page: Page) -> None:
    add_goal(page, "renewed", "water lip", "pump_seal_early")
    plan(page)
    for _ in range(3):
        page.locator("details.plan-group:not([open]) summary").first.click()
    expect(page.locator("details.plan-group[open] svg.plan-layers")).to_have_count(4)
    page.wait_for_function(FITTED)
    assert page.evaluate(OUTSIDE) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert violations(page) == []


def test_a_part_hung_aside_is_marked_with_its_word(page: Page) -> None:
    page.get_by_role("combobox", name="Model", exact=True).select_option("hobmoor-ghyll-125")
    add_goal(page, "out", "main jet", "main_jet")
    aside = plan(page)["groups"][0]["plan"]["aside"]
    assert aside
    expect(page.locator("details.plan-group[open] .layer-block.hang").first).to_contain_text("hang aside")
    expect(page.get_by_text("Hung aside, still connected").first).to_be_visible()


def test_a_goal_that_the_year_lacks_is_refused_in_words_and_the_question_stays(page: Page) -> None:
    add_goal(page, "renewed", "water lip", "pump_seal_early")
    page.get_by_role("combobox", name="Model year").select_option("2026")
    page.get_by_role("button", name="Plan the least work").click()
    expect(page.get_by_role("alert")).to_contain_text("2026 has nothing for the goal")
    expect(page.locator(".plan-goals li")).to_contain_text("water lip seal")
    page.get_by_role("combobox", name="Model year").select_option("2023")
    page.get_by_label("Skid plate").check()
    (group,) = plan(page)["groups"]
    assert group["each"] == [{"year": 2023, "options": ["skid_plate"]}]
    expect(page.get_by_role("heading", name="2023 with Skid plate")).to_be_visible()


def test_what_is_due_on_a_customers_machine_is_told_with_what_it_costs_now(page: Page, lasting_server: DemoServer) -> None:
    """The list of the command `map also` for the machine's variant; what is due on the machine stands first."""
    machines = page.evaluate("fetch('/api/v1/desk/machines').then(answer => answer.json())")["machines"]
    mine = next(one for one in machines if one["model"] == "hobmoor-fell-250")
    page.get_by_role("combobox", name="A customer’s machine").select_option(mine["id"])
    expect(page.get_by_role("combobox", name="Model year")).to_have_value(str(mine["year"]))
    add_goal(page, "out", "valve cover", "valve_cover")
    (group,) = plan(page)["groups"]
    assert group["each"] == [{"year": mine["year"], "options": mine["options"]}]
    cheaper = [row for row in group["also"] if row["minutes_more"] < row["minutes_alone"]]
    assert cheaper
    rows = page.locator(".apart-list > li")
    for row in cheaper:
        told = rows.filter(has_text=row["name"][1:])
        expect(told).to_contain_text(f"{row['minutes_more']:g} minutes more now, {row['minutes_alone']:g} on its own")
        expect(told).to_contain_text("on this machine")
        told.locator("summary").click()
        assert [words.lower() for words in told.locator("details li").all_inner_texts()] == [act.lower() for act in row["acts"]]
    others = len(group["also"]) - rows.count()
    expect(page.locator("details.plan-group[open]")).to_contain_text(f"{others} other services share no work with this")
    # another year is another machine: nothing is claimed of the customer's any more
    page.get_by_role("combobox", name="Model year").select_option("2021")
    expect(page.get_by_role("combobox", name="A customer’s machine")).to_have_value("")
    plan(page)
    expect(rows.first).not_to_contain_text("on this machine")
    assert violations(page) == []
