"""The main job, end to end, as a customer and a dealer do it: no call past the screens.

Real Chromium, the real server as a process. The phone is enrolled and keeps the library; then the server is killed and
the browser closed; the whole seal procedure is done with nothing but the phone; the server comes back; the desk reads.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.offline.camera import jpeg_photo
from tests.offline.demo_server import DemoServer, sign_in
from tests.offline.phone import Phone

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.figure_display import figure_in_both
from benchtrail.domain.units import convert

pytestmark = pytest.mark.browser

PROCEDURE = "renew-water-pump-seal"
NOTES = ["The seal sat dry.", "Hose mark 12 mm from the end — «old» clamp.", "Done in the dark, 3 °C."]


class Customer:
    """A person with the phone: presses what can be seen, at the given slowness of the processor."""

    def __init__(self, phone: Phone, server: DemoServer, slow: int) -> None:
        self.phone, self.server, self.slow = phone, server, slow
        self.brake()

    @property
    def page(self) -> Page:
        return self.phone.page

    def brake(self) -> None:
        self.page.set_viewport_size({"width": 360, "height": 640})
        if self.slow > 1:
            session = self.phone.context.new_cdp_session(self.page)
            session.send("Emulation.setCPUThrottlingRate", {"rate": self.slow})

    def open(self, path: str) -> None:
        self.page.goto(self.server.address + path)

    def press(self, words: str) -> None:
        self.page.get_by_role("button", name=words, exact=True).click()

    def follow(self, words: str) -> None:
        self.page.get_by_role("link", name=words, exact=True).click()

    def write(self, label: str, text: str) -> None:
        self.page.get_by_label(label).fill(text)

    def sees(self, words: str | re.Pattern[str], seconds: float = 30) -> None:
        expect(self.page.get_by_text(words).first).to_be_visible(timeout=seconds * 1000)

    def add_machine(self, year: int, options: list[str]) -> None:
        self.open("/machine/new")
        self.page.get_by_role("radio", name="Hobmoor Fell 250").check()
        self.page.get_by_label("Model year").select_option(str(year))
        for option in options:
            self.page.get_by_role("checkbox", name=option).check()
        self.write("Hours run", "84,5")
        self.write("Your name for it", "The red one")
        self.press("Save")
        self.sees("The red one")

    def keep_library(self) -> None:
        self.open("/library")
        shelf = self.page.locator("section", has=self.page.get_by_role("heading", name="Hobmoor Fell 250"))
        shelf.get_by_role("button", name="Keep on this phone").click()
        expect(shelf.get_by_text(re.compile(r"On this phone: [3-9]"))).to_be_visible(timeout=60_000)
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")

    def enrol(self, code: str) -> None:
        self.open("/enrol")
        self.write("Code", code.lower())
        self.write("Name of this phone", "Customer A, blue phone")
        self.press("Join")
        self.sees("This phone is joined to")

    def add_note(self, text: str) -> None:
        self.follow("More")
        self.follow("Write a note")
        self.save_note(text)

    def save_note(self, text: str) -> None:
        """Writes into the open sheet of a note and waits until the phone says that it is saved."""
        self.write("What did you see or do?", text)
        self.press("Save the note")
        self.page.locator(".sheet").wait_for(state="detached")
        self.sees("Saved on this phone")

    def send(self) -> None:
        """Sends now, and waits until nothing waits."""
        self.open("/sending")
        self.press("Send now")
        self.sees(re.compile("^Sent "), 60)

    def add_photo(self, path: Path, caption: str) -> None:
        self.follow("More")
        self.follow("Take a photo")
        self.write("Caption", caption)
        self.page.locator("input[type=file]:not([capture])").set_input_files(path)
        self.sees("Photo safe on this phone")

    def skip(self, reason: str) -> None:
        self.follow("More")
        self.follow("Skip this step")
        self.write("Why is it skipped?", reason)
        self.press("Skip it")
        sure = self.page.get_by_role("button", name="I have understood: skip it")
        if sure.is_visible():
            sure.click()

    def take_reading(self, pack: dict[str, Any], step: dict[str, Any], within: bool) -> str:
        field = self.page.get_by_label(re.compile("^Reading in"))
        typed = reading_for(pack, step, within)
        field.fill(typed)
        self.press("Keep it")
        self.sees("within the limit" if within else "outside the limit")
        return typed


def reading_for(pack: dict[str, Any], step: dict[str, Any], within: bool) -> str:
    """A value within the step's limits or well outside, in the unit in which the figure is published."""
    low, high = (pack["figures"].get(step["limits"][side]) for side in ("low", "high"))
    unit = figure_in_both(low or high)["main"]["unit"]
    floor, ceiling = limit_value(low, "low"), limit_value(high, "high")
    if within:
        value = (floor + ceiling) / 2 if floor is not None and ceiling is not None else floor or ceiling
    else:
        value = floor * 0.5 if floor else (ceiling or 0) * 1.5 + 1
    return f"{convert(value, step['limits']['unit'], unit):.3f}"


def limit_value(figure: dict[str, Any] | None, side: str) -> float | None:
    if figure is None:
        return None
    chosen = figure[side] if figure[side] is not None else figure["value"]
    return float(chosen)


def signed_in(desk: Browser, server: DemoServer) -> Page:
    page = desk.new_page(viewport={"width": 1280, "height": 800})
    sign_in(page, f"{server.address}/desk")
    expect(page.get_by_role("heading", name="Jobs that came back")).to_be_visible()
    return page


def code_from_desk(desk: Browser, server: DemoServer) -> str:
    page = signed_in(desk, server)
    page.get_by_role("link", name="Phones").click()
    page.get_by_label("Whose phone").fill("Customer A")
    page.get_by_role("button", name="Make a code").click()
    code = page.locator(".code-words").inner_text()
    page.close()
    return code


def do_whole_job(customer: Customer, pack: dict[str, Any], photos: list[Path]) -> dict[str, str]:
    """Every step of the variant: three notes, two photos, one step skipped, one reading outside its limits."""
    steps = pack["steps"]
    measured = [step for step in steps if step["limits"]]
    renews = [step for step in measured if step["limits"]["fail_needs"] in ("renew", "adjust")]
    outside = (renews or measured)[0]["id"]
    skipped = next(step["id"] for step in steps if step["do"][0]["verb"] == "photograph" and not step["cautions"])
    noted = {steps[at]["id"]: text for at, text in zip((1, len(steps) // 2, len(steps) - 1), NOTES, strict=True)}
    pictured = dict(zip((steps[2]["id"], steps[len(steps) // 2 + 1]["id"]), photos, strict=True))
    typed = ""
    for number, step in enumerate(steps, 1):
        customer.page.wait_for_url(re.compile(rf"/step/{step['id']}$"))
        expect(customer.page.get_by_role("article", name=re.compile(f"Step {number} of {len(steps)}"))).to_be_visible()
        assert customer.page.get_by_role("heading", level=1).inner_text() == step["say"]
        if step["id"] in noted:
            customer.add_note(noted[step["id"]])
        if step["id"] in pictured:
            customer.add_photo(pictured[step["id"]], f"Photo at step {number}")
        if step["limits"]:
            value = customer.take_reading(pack, step, within=step["id"] != outside)
            typed = value if step["id"] == outside else typed
        if step["id"] == skipped:
            customer.skip("The light was too poor for a photo.")
            continue
        go_on = customer.page.get_by_role("button", name="Go on all the same")
        if go_on.is_visible():
            go_on.click()
            customer.write("Why do you go on?", "The dealer knows.")
            go_on.click()
        else:
            customer.press("Done")
    return {"typed": typed, "outside": outside, "skipped": skipped}


def sent_photos(page: Page) -> list[dict[str, Any]]:
    """Hash and size of every photo kept on the phone, computed anew from the stored bytes."""
    return list(page.evaluate("""async () => {
      const open = indexedDB.open((await indexedDB.databases())[0].name);
      const db = await new Promise((done) => { open.onsuccess = () => done(open.result); });
      const all = db.transaction("photos").objectStore("photos").getAll();
      const rows = await new Promise((done) => { all.onsuccess = () => done(all.result); });
      db.close();
      return Promise.all(rows.map(async (row) => {
        const bytes = row.bytes ?? row.data;
        const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
        return { bytes: bytes.byteLength, sha256: [...digest].map((b) => b.toString(16).padStart(2, "0")).join("") };
      }));
    }"""))


def desk_finds_everything(desk: Browser, server: DemoServer, did: dict[str, str], photos: list[dict[str, Any]]) -> None:
    page = signed_in(desk, server)
    row = page.locator("li.job-row", has_text="Customer A, blue phone")
    expect(row).to_contain_text("1 reading outside the limits")
    expect(row).to_contain_text("1 other step skipped")
    row.get_by_role("link").click()
    expect(page.locator(".facts")).to_contain_text("The red one")
    expect(page.locator(".facts")).to_contain_text("84.5 h")
    for text in NOTES:
        expect(page.get_by_text(text).first).to_be_visible()
    expect(page.get_by_text("The light was too poor for a photo.").first).to_be_visible()
    expect(page.locator(".reading.look-word, .look-word").filter(has_text=did["typed"]).first).to_be_visible()
    shown = page.locator(".photos figure")  # at their step; the timeline names them again
    expect(shown).to_have_count(2)
    captions = " ".join(shown.all_inner_texts())
    for photo in photos:
        assert photo["sha256"][:12] in captions
        answer = page.request.get(f"{server.address}/api/v1/desk/photos/{photo['sha256']}")
        assert answer.ok
        assert hashlib.sha256(answer.body()).hexdigest() == photo["sha256"]
        assert b"Invented Camera" not in answer.body()
        assert b"Exif" not in answer.body()[:4096]
    for image in shown.locator("img").all():
        image.scroll_into_view_if_needed()
        page.wait_for_function("image => image.complete && image.naturalWidth > 0", arg=image.element_handle())


@pytest.mark.parametrize(("slow", "year", "options"), [(1, 2022, ["Skid plate"]), (4, 2025, ["Kick starter"])])
def test_a_whole_job_with_the_server_dead_reaches_the_desk(
    server: DemoServer, phone: Phone, browser: Browser, tmp_path: Path, slow: int, year: int, options: list[str]
) -> None:
    customer = Customer(phone, server, slow)
    customer.open("/")
    customer.add_machine(year, options)
    customer.keep_library()
    customer.enrol(code_from_desk(browser, server))
    sha256, whole = server.pack(PROCEDURE)
    ids = {option["name"]: option["id"] for option in whole["model"]["options"]}
    pack = for_variant(whole, {"year": year, "options": sorted(ids[name] for name in options)})
    assert len(pack["steps"]) >= 40
    photos = [tmp_path / f"photo-{n}.jpg" for n in (1, 2)]
    for n, path in enumerate(photos):
        path.write_bytes(jpeg_photo(n))

    server.kill()
    phone.switch_off()
    phone.switch_on()
    customer.brake()
    customer.open(f"/procedure/{sha256}")
    customer.page.get_by_role("link", name=re.compile("The red one")).click()
    customer.sees(re.compile("This is for your The red one"))
    customer.press("Start the job")
    did = do_whole_job(customer, pack, photos)

    customer.page.wait_for_url(re.compile("/close$"))
    customer.page.get_by_role("radio", name="Finished").check()
    customer.press("Close the job")
    customer.sees(re.compile("^Closed "))
    kept = sent_photos(customer.page)
    assert len(kept) == 2

    server.start()
    customer.send()
    for photo in kept:
        receipt = customer.page.request.get(f"{server.address}/api/v1/photos/{photo['sha256']}/receipt").json()
        assert (receipt["sha256"], receipt["bytes"]) == (photo["sha256"], photo["bytes"])
    desk_finds_everything(browser, server, did, kept)
