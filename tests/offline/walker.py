"""A person at the phone: finds what to press by its words and goes through a job step by step.

Knows the screens as they are seen, by words and roles; nothing of the data behind them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from playwright.sync_api import Locator, Page

MOST_STEPS = 200


class Walker:
    """One person with one page."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address, self.job = page, address, ""

    def open(self, path: str) -> None:
        """Opens an address of the app and waits until it shows its heading."""
        self.page.goto(self.address + path)
        self.page.locator("h1").first.wait_for()

    def press(self, words: str) -> None:
        """Presses the button or link with exactly these words."""
        self.pressable(words).first.click()

    def pressable(self, words: str) -> Locator:
        exact = re.compile(f"^\\s*{re.escape(words)}\\s*$")
        return self.page.locator("button:visible, a:visible").filter(has_text=exact)

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)

    def set_paper(self, paper: str) -> None:
        self.open("/settings")
        self.page.locator("label.choice").filter(has_text=re.compile(f"^{paper}", re.IGNORECASE)).click()
        if paper != "day":
            self.page.get_by_text("Kept on this phone").wait_for()

    def add_machine(self, name: str, year: str, options: Sequence[str], hours: str) -> None:
        """Adds a machine of the first model offered."""
        self.open("/machine/new")
        self.page.locator("label.choice input[type=radio]").first.check()
        self.page.get_by_label("Model year").select_option(year)
        for option in options:
            self.page.get_by_label(option).check()
        self.fill("Your name for it", name)
        self.fill("Hours run", hours)
        self.press("Save")
        self.page.get_by_role("heading", name=name, exact=True).wait_for()

    def keep_all(self) -> None:
        """Keeps every procedure on the phone, shelf by shelf."""
        keep = self.page.locator("button:visible:enabled").filter(has_text=re.compile("Keep"))
        self.page.wait_for_timeout(300)
        while keep.count() > 0:
            keep.first.click()
            self.page.wait_for_timeout(200)
            self.page.wait_for_function("() => !document.querySelector('.bar-amount')")

    def open_procedure(self, procedure: str) -> None:
        """Opens a procedure by the address a dealer prints, for the only machine."""
        self.open(f"/procedure/{procedure}")
        self.page.locator("a.leads:visible").first.click()
        self.pressable("Start the job").wait_for()

    def start(self) -> None:
        self.press("Start the job")
        self.page.wait_for_url("**/step/*")
        self.page.locator(".step").wait_for()
        self.job = self.page.url.split("/job/")[1].split("/")[0]

    @property
    def step(self) -> str:
        return self.page.url.split("/step/")[1].split("?")[0]

    def walk_to(self, step: str) -> None:
        """Does every step up to this one."""
        if "?" in self.page.url:
            self.open(f"/job/{self.job}/step/{self.step}")
        for _ in range(MOST_STEPS):
            if self.step == step:
                self.page.locator(".step").wait_for()
                return
            self.do_step()
        raise AssertionError(f"never came to {step}")

    def walk_to_end(self) -> None:
        for _ in range(MOST_STEPS):
            if "/step/" not in self.page.url:
                return
            self.do_step()
        raise AssertionError("the job has no end")

    def do_step(self) -> None:
        """Takes the reading that is asked for, within its limits, and presses Done."""
        before = self.page.url
        if self.page.locator(".entry").count() > 0:
            self.read(self.reading_within())
        self.page.locator(".thumb-main .main").click()
        self.page.wait_for_function("before => location.href !== before", arg=before)
        self.page.wait_for_function("() => document.querySelector('.step, .page-body')")

    def reading_within(self) -> str:
        """A number inside the limits shown: between two, a little on the good side of one."""
        shown = self.page.locator(".figure-line").first.inner_text()
        numbers = [float(found) for found in re.findall(r"\d+(?:\.\d+)?", shown)]
        if "at most" in shown:
            return f"{numbers[0] * 0.9:g}"
        if "at least" in shown:
            return f"{numbers[0] * 1.1:g}"
        return f"{(numbers[0] + numbers[1]) / 2:g}"

    def read(self, text: str) -> None:
        """Writes a reading and waits until it is kept."""
        again = self.pressable("Measure again")
        if again.count() > 0:
            again.click()
        self.page.locator(".entry input").fill(text)
        self.press("Keep it")
        self.page.locator(".verdict").wait_for()

    def sheet(self, name: str) -> None:
        """Lays a sheet over the step that is shown."""
        self.page.goto(f"{self.address}/job/{self.job}/step/{self.step}?{name}")
        self.page.locator(".sheet").wait_for()

    def tick_places(self, joint: str, count: int) -> None:
        self.sheet(f"places-{joint}")
        for n in range(count):
            self.page.locator(".sheet .acts .main").click()
            self.page.locator(".sheet [role=status]").filter(has_text=f"{n + 1} of ").wait_for()

    def note(self, text: str) -> None:
        self.sheet("note")
        self.fill("What did you see or do?", text)
        self.press("Save the note")
        self.page.locator(".sheet").wait_for(state="detached")

    def photo(self, jpeg: bytes, caption: str) -> None:
        """Takes a picture from the phone's own files into the step."""
        self.sheet("photo")
        self.fill("Caption", caption)
        with self.page.expect_file_chooser() as chooser:
            self.press("From the phone")
        chooser.value.set_files({"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": jpeg})
        self.page.locator(".sheet").wait_for(state="detached")

    def pause(self) -> None:
        self.sheet("more")
        self.press("Stop for now")
        self.page.get_by_role("heading", name="Bench", exact=True).wait_for()

    def skip_here(self, reason: str) -> None:
        """Gives the reason for skipping; where the step can hurt, the second press is then asked for."""
        self.sheet("skip")
        self.fill("Why is it skipped?", reason)
        self.press("Skip it")
        self.page.wait_for_timeout(200)

    def open_in_job(self, name: str) -> None:
        self.open(f"/job/{self.job}/{name}")

    def close(self, outcome: str) -> None:
        """Closes a job in which nothing is left open."""
        self.page.locator("label.choice").filter(has_text=re.compile(f"^{outcome}")).click()
        self.press("Close the job")
        self.page.get_by_text("It can be read, not changed.").wait_for()
