"""A customer has what they sent deleted at the dealer's, from the phone's own screen; the phone keeps its copy."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from tests.offline.camera import jpeg_photo
from tests.offline.demo_server import DemoServer
from tests.offline.phone import Phone
from tests.offline.test_main_job import PROCEDURE, Customer, code_from_desk, signed_in

pytestmark = pytest.mark.browser
WORDS = "My gate code is 4471."


def test_what_a_customer_sent_is_deleted_at_the_dealers_by_two_presses_and_stays_on_the_phone(
    server: DemoServer, phone: Phone, browser: Browser, tmp_path: Path
) -> None:
    customer = Customer(phone, server, 1)
    customer.open("/")
    customer.add_machine(2023, [])
    customer.keep_library()
    customer.enrol(code_from_desk(browser, server))
    customer.open(f"/procedure/{server.pack(PROCEDURE)[0]}")
    customer.page.get_by_role("link", name=re.compile("The red one")).click()
    customer.press("Start the job")
    customer.page.wait_for_url(re.compile("/step/"))
    job = customer.page.url.split("/job/")[1].split("/")[0]
    customer.add_note(WORDS)
    picture = tmp_path / "photo.jpg"
    picture.write_bytes(jpeg_photo(1))
    customer.add_photo(picture, "The gate")
    customer.send()

    desk = signed_in(browser, server)
    desk.goto(f"{server.address}/desk/jobs/{job}")
    expect(desk.get_by_text(WORDS).first).to_be_visible()
    photo = desk.locator("figure img").first.get_attribute("src")
    assert desk.request.get(f"{server.address}{photo}").ok

    customer.press("Delete it at the dealer’s")
    customer.sees("It cannot be taken back.")
    customer.press("Leave it there")
    server.kill()
    customer.press("Delete it at the dealer’s")
    customer.press("Yes, delete it there")
    customer.sees("Nothing was deleted there. This phone keeps its own copy.")  # the server is dead
    expect(customer.page.get_by_text(re.compile("^Deleted at the dealer’s"))).to_have_count(0)
    server.start()
    desk.reload()
    expect(desk.get_by_text(WORDS).first).to_be_visible()

    customer.page.screenshot(path=str(tmp_path / "asked.png"))
    customer.press("Yes, delete it there")
    customer.sees(re.compile("^Deleted at the dealer’s: 3 entries, 1 photo"))
    desk.reload()
    expect(desk.get_by_text("What this job held was erased", exact=False)).to_be_visible()
    expect(desk.get_by_text(WORDS)).to_have_count(0)
    assert desk.request.get(f"{server.address}{photo}").status == 410
    customer.press("Send now")
    customer.open(f"/job/{job}/notes")
    customer.sees(WORDS)
    desk.reload()
    expect(desk.get_by_text(WORDS)).to_have_count(0)  # nothing is sent a second time
    desk.close()
