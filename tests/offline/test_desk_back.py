"""What came back and asks for a person, at the desk: bulletins, entries kept apart, jobs as files, erasing what a job holds."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import APIRequestContext, Browser, Page, expect
from tests.making import Journal
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.test_accessibility import context_of, violations
from tests.offline.test_bulletins import PROCEDURE, STEP, publish_changed

from benchtrail.domain.event_hash import job_digest

pytestmark = pytest.mark.browser
WRITE = {"X-Benchtrail": "1", "Content-Type": "application/json"}
MACHINE = {"id": str(uuid.uuid4()), "name": "Green Fell", "model": "hobmoor-fell-250", "year": 2023, "options": [], "hours": 40,
           "serial": None}


class Sender:
    """A phone that is enrolled and sends over HTTP; what it writes is a journal as a phone writes it."""

    def __init__(self, server: DemoServer, desk: Page, http: APIRequestContext) -> None:
        self.server, self.http = server, http
        made = desk.request.post(f"{server.address}/api/v1/desk/enrolment-codes", headers=WRITE, data={"label": "Customer Q"}).json()
        sha256, _ = server.pack(PROCEDURE)
        self.journal = Journal(str(uuid.uuid4()), pack=sha256)
        self._post("devices/enrol", {"code": made["code"], "device": self.journal.device, "label": "Customer Q"})
        self.send(("JobStarted", {"machine": MACHINE, "procedure": PROCEDURE, "revision": 1, "title": "Front brake pads and fluid"}),
                  ("StepDone", {"step": STEP}), ("NoteWritten", {"step": None, "text": "The nipple was stiff."}))

    def _post(self, path: str, body: dict[str, Any]) -> dict[str, Any]:
        answer = self.http.post(f"{self.server.address}/api/v1/{path}", headers=WRITE, data=body)
        assert answer.ok, answer.text()
        found: dict[str, Any] = answer.json()
        return found

    def send(self, *entries: tuple[str, dict[str, Any]]) -> None:
        events = [self.journal.write(kind, body) for kind, body in entries]
        assert [one["status"] for one in self._post("events", {"events": events, "waiting": 0})["results"]] == ["stored"] * len(events)

    def send_under_a_used_number(self, text: str) -> None:
        """As a phone does that was put back to an older state: number 3 stands for another note."""
        event = self.journal.write("NoteWritten", {"step": None, "text": text}, seq=3)
        self.journal.seq, self.journal.prev = 3, None
        assert self._post("events", {"events": [event], "waiting": 0})["results"][0]["status"] == "quarantined"


@pytest.fixture
def desk(browser: Browser, server: DemoServer) -> Iterator[Page]:
    context = context_of(browser, 1280, 800)
    page = context.new_page()
    sign_in(page, f"{server.address}/desk")
    expect(page.get_by_role("heading", name="Jobs that came back")).to_be_visible()
    yield page
    context.close()


@pytest.fixture
def sender(server: DemoServer, desk: Page, browser: Browser) -> Iterator[Sender]:
    context = browser.new_context()
    yield Sender(server, desk, context.request)
    context.close()


def test_a_job_on_a_replaced_revision_stands_with_what_it_used_and_who_answered(
    desk: Page, server: DemoServer, sender: Sender, tmp_path: Path
) -> None:
    publish_changed(server, tmp_path)
    desk.get_by_role("link", name="Bulletins and their answers").click()
    row = desk.get_by_role("row", name=re.compile("Green Fell"))
    expect(row).to_contain_text("1 figure")
    expect(row).to_contain_text("Not read yet")
    expect(row).to_contain_text("1 of 1 step not answered")
    assert violations(desk) == []
    desk.screenshot(path=str(tmp_path / "bulletins.png"))
    row.get_by_role("link").click()
    card = desk.get_by_role("region", name="Revision 2 is in force; this job follows 1")
    expect(card).to_contain_text("7 N·m")
    expect(card).to_contain_text("Nobody has answered yet.")
    bulletin = desk.request.get(f"{server.address}/api/v1/desk/jobs/{sender.journal.job}").json()["bulletin"]
    answer = {"to": server.pack(PROCEDURE)[0], "changes": [change["id"] for change in bulletin["changes"]]}
    sender.send(("BulletinAnswered", answer | {"step": None, "answer": "seen", "reason": ""}),
                ("BulletinAnswered", answer | {"step": STEP, "answer": "accepted", "reason": "Tightened to 7 already."}))
    desk.reload()
    expect(card).to_contain_text("Stays as it is: Tightened to 7 already. (Customer Q")
    expect(card).to_contain_text("Read on the phone of Customer Q")
    assert violations(desk) == []
    desk.screenshot(path=str(tmp_path / "job.png"))
    desk.goto(f"{server.address}/desk/bulletins")
    expect(row).to_contain_text("1 step, all answered")
    desk.get_by_label("Only jobs that ask for a person").check()
    expect(row).to_have_count(0)


def test_an_entry_kept_apart_is_taken_up_or_dismissed_with_a_reason(
    desk: Page, server: DemoServer, sender: Sender, tmp_path: Path
) -> None:
    sender.send_under_a_used_number("The hose is chafed.")
    sender.send_under_a_used_number("Written twice by mistake.")
    desk.get_by_role("link", name="Entries kept apart").click()
    cards = desk.locator(".entries > .card.look")
    expect(cards).to_have_count(2)
    assert violations(desk) == []
    chafed = cards.filter(has_text="The hose is chafed.")
    chafed.get_by_role("button", name="Take it up").click()
    desk.screenshot(path=str(tmp_path / "apart.png"))
    chafed.get_by_role("button", name="Take it up", exact=True).click()
    expect(cards).to_have_count(1)
    cards.get_by_role("button", name="Dismiss it").click()
    cards.get_by_role("button", name="Dismiss it", exact=True).click()
    expect(cards).to_have_count(1)  # without a reason nothing is sent
    cards.get_by_label("Reason").fill("The customer says so.")
    cards.get_by_role("button", name="Dismiss it", exact=True).click()
    expect(desk.get_by_text("Every entry kept apart is settled.")).to_be_visible()
    desk.get_by_text("Settled: 2").click()
    expect(desk.get_by_text(re.compile("Dismissed by anna, .*: The customer says so."))).to_be_visible()
    assert violations(desk) == []
    desk.get_by_role("link", name="Its job").first.click()
    expect(desk.locator("blockquote", has_text="The hose is chafed.")).to_be_visible()
    expect(desk.locator("blockquote", has_text="Written twice by mistake.")).to_have_count(0)


def test_a_job_goes_out_as_a_file_is_erased_and_a_file_comes_in(
    desk: Page, server: DemoServer, sender: Sender, tmp_path: Path
) -> None:
    desk.goto(f"{server.address}/desk/jobs/{sender.journal.job}")
    with desk.expect_download() as taken:
        desk.get_by_role("link", name="Take this job out as a file").click()
    file = tmp_path / "job.json"
    taken.value.save_as(file)
    desk.get_by_role("button", name="Erase …").click()
    expect(desk.get_by_text("the envelope of every entry", exact=False)).to_be_visible()
    last = desk.get_by_role("button", name="Erase it for good")
    expect(last).to_be_disabled()
    assert violations(desk) == []
    desk.screenshot(path=str(tmp_path / "erase.png"), full_page=True)
    desk.get_by_label("I know that this cannot be undone").check()
    last.click()
    expect(desk.get_by_text("3 entries and 0 photos erased.")).to_be_visible()
    expect(desk.get_by_text("What this job held was erased", exact=False)).to_be_visible()
    expect(desk.get_by_text("The nipple was stiff.")).to_have_count(0)
    expect(desk.get_by_text("Not done")).to_have_count(0)  # what was erased is not known, and not said to be undone
    expect(desk.get_by_text("How the machine was left is not known here", exact=False)).to_be_visible()
    expect(desk.get_by_text("The machine does not stand as it should", exact=False)).to_have_count(0)
    desk.evaluate("scrollTo(0, 0)")
    desk.screenshot(path=str(tmp_path / "erased.png"))
    assert violations(desk) == []

    desk.goto(f"{server.address}/desk/job-files")
    chosen = desk.get_by_label("Job file (.json)")
    broken = tmp_path / "cut.json"
    broken.write_bytes(file.read_bytes()[:-200])
    chosen.set_input_files(broken)
    desk.get_by_role("button", name="Take it in").click()
    expect(desk.get_by_role("alert")).to_contain_text("Nothing was taken in.")
    chosen.set_input_files(file)
    desk.get_by_role("button", name="Take it in").click()
    expect(desk.get_by_role("heading", name="job.json was taken in.")).to_be_visible()
    expect(desk.get_by_text("3 entries already here", exact=False)).to_be_visible()
    fresh = tmp_path / "fresh.json"
    fresh.write_text(json.dumps(another_job(json.loads(file.read_text(encoding="utf-8")))), encoding="utf-8")
    chosen.set_input_files(fresh)
    desk.get_by_role("button", name="Take it in").click()
    expect(desk.get_by_text("3 entries new.")).to_be_visible()
    assert violations(desk) == []
    desk.screenshot(path=str(tmp_path / "file.png"))
    desk.get_by_role("link", name="Open the job").click()
    expect(desk.get_by_text("The nipple was stiff.").first).to_be_visible()


def another_job(made: dict[str, Any]) -> dict[str, Any]:
    """The same entries as another job of a phone that the server does not know, with the digest of the file's form."""
    journal = Journal(str(uuid.uuid4()), pack=made["events"][0]["pack"])
    events = [journal.write(event["kind"], event["body"]) for event in made["events"]]
    return made | {"job": journal.job, "events": events, "digest": job_digest(event["id"] for event in events)}


def test_a_reader_sees_all_of_it_and_can_change_nothing(browser: Browser, server: DemoServer, sender: Sender) -> None:
    sender.send_under_a_used_number("The hose is chafed.")
    context = context_of(browser, 1280, 800)
    page = context.new_page()
    sign_in(page, f"{server.address}/desk/apart", "reader")
    expect(page.get_by_text("An author or owner decides about these", exact=False)).to_be_visible()
    expect(page.get_by_role("button", name="Take it up")).to_have_count(0)
    page.goto(f"{server.address}/desk/job-files")
    expect(page.get_by_text("An author or owner takes files in", exact=False)).to_be_visible()
    page.goto(f"{server.address}/desk/jobs/{sender.journal.job}")
    expect(page.get_by_role("link", name="Take this job out as a file")).to_be_visible()
    expect(page.get_by_role("button", name="Erase …")).to_have_count(0)
    context.close()


def test_an_owner_sees_what_would_be_erased_before_setting_how_long_jobs_are_kept(
    browser: Browser, server: DemoServer, sender: Sender, tmp_path: Path
) -> None:
    context = context_of(browser, 1280, 900)
    page = context.new_page()
    sign_in(page, f"{server.address}/desk/people", "owner")
    card = page.get_by_role("region", name="How long jobs are kept")
    expect(card).to_contain_text("Closed jobs are kept for good.")
    card.get_by_label("Days after the last news").fill("3650")
    card.get_by_role("button", name="Show what that erases").click()
    expect(card).to_contain_text("Nothing is erased at once.")
    expect(card).to_contain_text("the envelope of every entry")
    assert violations(page) == []
    card.screenshot(path=str(tmp_path / "retention.png"))
    card.get_by_role("button", name="Set it").click()
    expect(card).to_contain_text("What closed jobs hold is erased 3650 days after the last news of each.")
    card.get_by_role("button", name="Keep them for good").click()
    expect(card).to_contain_text("Closed jobs are kept for good.")
    page.request.delete(f"{server.address}/api/v1/desk/jobs/{sender.journal.job}", headers=WRITE)
    page.goto(f"{server.address}/desk")
    row = page.locator(".job-row", has=page.locator(f"a[href$='{sender.journal.job}']"))
    expect(row).to_contain_text("Erased")
    expect(row).not_to_contain_text("Step 0")
    page.screenshot(path=str(tmp_path / "erased-in-list.png"))
    page.get_by_label("Only open jobs").check()
    expect(row).to_have_count(0)
    context.close()
