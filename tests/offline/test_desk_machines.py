"""The register of machines at the desk: a machine written down from nothing, changed, found in the table that is taken out."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.test_accessibility import context_of, violations

pytestmark = pytest.mark.browser


@pytest.fixture
def desk(browser: Browser, server: DemoServer) -> Iterator[Page]:
    context = context_of(browser, 820, 1180)
    page = context.new_page()
    sign_in(page, f"{server.address}/desk/machines")
    expect(page.get_by_role("heading", name="Machines", exact=True)).to_be_visible()
    yield page
    context.close()


def test_a_new_customers_machine_is_written_down_and_changed(desk: Page, server: DemoServer) -> None:
    desk.get_by_role("button", name="Add a customer’s machine").click()
    form = desk.get_by_role("form", name="A new machine")
    form.get_by_label("Name of the machine").fill("Packer of the upper farm")
    form.get_by_label("Whose it is").fill("Mr Tarn; =1+1")
    form.get_by_role("combobox", name="Model", exact=True).select_option(label="Hobmoor Fell 250")
    form.get_by_role("combobox", name="Model year").select_option("2023")
    form.get_by_label("Skid plate").check()
    form.get_by_label("Serial number").fill("FE-0042")
    form.get_by_label("Hours today").fill("eighty")
    form.get_by_role("button", name="Add the machine").click()
    expect(form.get_by_label("Hours today")).to_be_focused()  # a reading that is no number is not taken, and nothing is lost
    expect(form.get_by_label("Serial number")).to_have_value("FE-0042")
    assert violations(desk) == []
    form.get_by_label("Hours today").fill("80.5")
    form.get_by_role("button", name="Add the machine").click()
    card = desk.locator("li.card", has_text="Packer of the upper farm")
    for said in ("Mr Tarn", "Hobmoor Fell 250", "2023", "Skid plate", "serial FE-0042", "80.5 h", "engine oil change"):
        expect(card).to_contain_text(said)
    card.get_by_role("button", name="Change, or write hours down: Packer of the upper farm").click()
    form = card.get_by_role("form", name="Change Packer of the upper farm")
    form.get_by_label("Whose it is").fill("Mrs Beck")
    form.get_by_label("Skid plate").uncheck()
    form.get_by_role("button", name="Write it down").click()
    expect(card).to_contain_text("Mrs Beck")
    expect(card).to_contain_text("80.5 h")
    expect(card).not_to_contain_text("Skid plate")
    link = desk.get_by_role("link", name="The register as a table (CSV)").get_attribute("href")
    rows = list(csv.DictReader(io.StringIO(desk.request.get(f"{server.address}{link}").text())))
    mine = [row for row in rows if row["name"] == "Packer of the upper farm"]
    assert {(row["customer"], row["year"], row["serial"], row["hours"], row["options"]) for row in mine} == {
        ("Mrs Beck", "2023", "FE-0042", "80.5", "")}
    assert len(mine) >= 5  # a line for each service
    assert violations(desk) == []
