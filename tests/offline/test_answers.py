"""A note comes back as a question, the desk answers, the answer is read with no signal, and the desk sees that it was read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.phone import Phone
from tests.offline.test_accessibility import context_of, violations
from tests.offline.test_bulletins import PROCEDURE, STEP, begun
from tests.offline.test_main_job import Customer, code_from_desk

pytestmark = pytest.mark.browser
WAITS = "1 note waits for an answer"
QUESTION = "The nipple turns and turns. Is the thread gone?"
ANSWER = "Stop there. Leave the wheel off the ground and bring the caliper: a nipple that turns without end does not hold."


def test_an_answer_goes_to_the_phone_is_read_offline_and_the_desk_sees_it(
    server: DemoServer, phone: Phone, browser: Browser, tmp_path: Path
) -> None:
    customer, page = Customer(phone, server, 1), phone.page
    job = begun(customer, code_from_desk(browser, server), PROCEDURE)
    at_step = f"/job/{job}/step/{STEP}"
    customer.open(f"{at_step}?note")
    customer.save_note(QUESTION)
    customer.send()

    context = context_of(browser, 1280, 800)
    desk = context.new_page()
    sign_in(desk, f"{server.address}/desk", "reader")
    row = desk.locator(".job-row").filter(has_text="blue phone").filter(has_text=WAITS)
    expect(row).to_be_visible()
    row.get_by_role("link").click()
    answer_on(desk, tmp_path)

    customer.send()
    customer.open("/")
    customer.sees("New answer from the dealer")
    page.screenshot(path=str(tmp_path / "phone-bench.png"))
    server.kill()
    customer.open(at_step)
    customer.sees("New answer from the dealer")
    card = page.locator(".answer")
    expect(card).to_contain_text(ANSWER)
    expect(card).to_contain_text(f"To: “{QUESTION}”")
    page.screenshot(path=str(tmp_path / "phone-step-top.png"))
    card.scroll_into_view_if_needed()
    page.screenshot(path=str(tmp_path / "phone-step.png"))
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    customer.press("I have read this")
    customer.sees(re.compile("Read .*"))
    expect(page.get_by_text("New answer from the dealer")).to_have_count(0)
    customer.follow("Write back")
    customer.save_note("I will bring it on Monday.")
    customer.open(f"/job/{job}/notes")
    customer.sees("I will bring it on Monday.")
    assert page.locator(".written").all_text_contents() == [QUESTION, ANSWER, "I will bring it on Monday."]
    page.screenshot(path=str(tmp_path / "phone-notes.png"), full_page=True)

    server.start()
    customer.send()
    desk.reload()
    expect(desk.get_by_text("Read on the phone of Customer A, blue phone", exact=False)).to_be_visible()
    expect(desk.locator("blockquote", has_text="I will bring it on Monday.")).to_be_visible()
    desk.goto(f"{server.address}/desk")
    expect(desk.locator(".job-row").filter(has_text="blue phone").filter(has_text=WAITS)).to_be_visible()
    context.close()


def answer_on(desk: Page, tmp_path: Path) -> None:
    """Opens the field at the note, finds that an empty answer cannot be sent, and sends one."""
    desk.get_by_role("button", name=re.compile("^Answer the note")).click()
    send_it = desk.get_by_role("button", name="Send the answer")
    expect(send_it).to_be_disabled()
    desk.get_by_label(re.compile("^Answer the note")).fill(ANSWER)
    assert violations(desk) == []
    for width, height in ((1280, 800), (820, 1180)):
        desk.set_viewport_size({"width": width, "height": height})
        send_it.scroll_into_view_if_needed()
        desk.screenshot(path=str(tmp_path / f"desk-answering-{width}.png"))
    send_it.click()
    expect(desk.locator("blockquote.reply")).to_contain_text("Not read yet.")
    assert violations(desk) == []
    desk.screenshot(path=str(tmp_path / "desk-answered.png"))
