"""A figure is changed while a job is open: the phone shows both, asks for the finished step, and the desk reads the answer."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from tests.offline.demo_server import ROOT, DemoServer, sign_in
from tests.offline.phone import Phone
from tests.offline.test_main_job import Customer, code_from_desk

pytestmark = pytest.mark.browser

PROCEDURE = "renew-front-brake-pads-and-fluid"
STEP = "nipple-tight"


def test_a_changed_figure_reaches_the_open_job_and_the_answer_reaches_the_desk(
    server: DemoServer, phone: Phone, browser: Browser, tmp_path: Path
) -> None:
    customer, page = Customer(phone, server, 1), phone.page
    job = begun(customer, code_from_desk(browser, server), PROCEDURE)
    customer.open(f"/job/{job}/step/{STEP}")
    customer.press("Done")
    customer.sees("Saved on this phone")

    publish_changed(server, tmp_path)
    customer.open(f"/job/{job}/step/{STEP}")
    customer.sees(re.compile("Revision 2 says:"), seconds=60)
    customer.sees("Changed in revision 2: see what")
    page.screenshot(path=str(tmp_path / "step.png"))
    customer.follow("Changed in revision 2: see what")
    customer.sees("Finished steps that changed")
    expect(page.get_by_text("7 N·m").first).to_be_visible()
    page.screenshot(path=str(tmp_path / "changes.png"), full_page=True)
    customer.press("I have read this")
    customer.press("It stays as it is")
    customer.write("Why it stays as it is", "The dealer said so by phone.")
    customer.press("It stays as it is")
    customer.sees("The dealer said so by phone.")
    customer.open("/")
    customer.sees("nothing left to see to")
    page.screenshot(path=str(tmp_path / "bench.png"), full_page=True)
    customer.send()

    desk = browser.new_page(viewport={"width": 1280, "height": 800})
    sign_in(desk, f"{server.address}/desk")
    expect(desk.get_by_role("heading", name="Jobs")).to_be_visible()
    told = desk.request.get(f"{server.address}/api/v1/desk/jobs/{job}").json()
    assert (told["superseded_used"], told["unanswered"]) == (1, 0)
    assert told["bulletin"]["steps"][0]["answer"]["reason"] == "The dealer said so by phone."
    assert told["bulletin"]["seen"]["device"] == "Customer A, blue phone"


def begun(customer: Customer, code: str, procedure: str) -> str:
    """The id of a job that the customer's phone began, after it joined with the code and keeps the library."""
    customer.open("/")
    customer.add_machine(2023, [])
    customer.keep_library()
    customer.enrol(code)
    sha256, _ = customer.server.pack(procedure)
    customer.open("/")
    machine = customer.page.locator("a[href^='/machine/']:not([href$='new'])").first.get_attribute("href") or ""
    customer.open(f"/procedure/{sha256}/for/{machine.rpartition('/')[2]}")
    customer.press("Start the job")
    customer.page.wait_for_url(re.compile("/job/"))
    return customer.page.url.partition("/job/")[2][:36]


def publish_changed(server: DemoServer, tmp_path: Path) -> None:
    """The library with another torque on the bleed nipple, as the next revision of map and procedure."""
    folder = tmp_path / "hobmoor-fell-250"
    shutil.copytree(ROOT / "procedures" / "hobmoor-fell-250", folder)
    text = (folder / "map.yaml").read_text(encoding="utf-8")
    changed = re.sub(r'(\n  front_bleed_nipple_torque: \{as_published: )"6 N·m"', r'\1"7 N·m"', text)
    assert changed != text
    (folder / "map.yaml").write_text(changed.replace("revision: 1", "revision: 2", 1), encoding="utf-8")
    for other in folder.glob("*.yaml"):
        if other.stem not in ("map", PROCEDURE):
            other.unlink()
    procedure = folder / f"{PROCEDURE}.yaml"
    text = procedure.read_text(encoding="utf-8").replace("revision: 1", "revision: 2", 1)
    procedure.write_text(text.replace("change_note: First issue.", "change_note: The bleed nipple takes 7 N·m."), encoding="utf-8")
    command = [sys.executable, "-m", "benchtrail", "library", "publish", str(folder), "--home", str(server.home), "--by", "anna"]
    subprocess.run(command, check=True, cwd=ROOT / "backend")
