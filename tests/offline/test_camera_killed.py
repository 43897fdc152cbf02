"""Opening the camera can end the page: what was typed and the place in the job come back, and no photo is called safe that is not.

A phone short of memory ends the browser, or only the page, while the camera app is in front. The picture taken is then lost with the
picker; what was typed before must not be. The pages are the real ones, with no signal, killed by SIGKILL.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.offline.camera import jpeg_photo
from tests.offline.phone import Phone
from tests.offline.walker import Walker
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser
NOTE, CAPTION = "The seat is cracked from the lip to", "Crack at the seat, seen from the left"
PLACE = re.compile("^Step 2 of 2")

# The phone comes no further with a photo than to its hash (nothing is saved yet), or to its small copy (the camera's file is).
HASH = """() => {
    const digest = crypto.subtle.digest.bind(crypto.subtle);
    crypto.subtle.digest = (kind, data) => (data.byteLength > 500000 ? new Promise(() => undefined) : digest(kind, data));
}"""
COPY = "() => { Worker.prototype.postMessage = () => undefined; }"


@pytest.fixture
def at_second_step(phone: Phone, workshop: Workshop, build: Callable[[str], Path]) -> Walker:
    """The app with no signal and a job whose first step is done."""
    workshop.kill()
    workshop.web = build("app")
    workshop.publish()
    workshop.start()
    walker = walking(phone, workshop)
    walker.open("/library")
    walker.press("Check with the dealer")
    walker.keep_all()
    phone.worker_ready()
    walker.open("/procedure/mend-a-puncture")
    workshop.kill()
    walker.start()
    walker.do_step()
    assert walker.step == "second"
    return walker


def walking(phone: Phone, workshop: Workshop) -> Walker:
    phone.page.set_viewport_size({"width": 360, "height": 640})
    return Walker(phone.page, workshop.address)


def typed_and_camera_open(walker: Walker) -> None:
    """A note begun and left, a caption, and the camera's picker on the screen; nothing was saved."""
    walker.sheet("note")
    walker.fill("What did you see or do?", NOTE)
    leave_sheet(walker)
    lay_over(walker, "Take a photo")
    walker.fill("Caption", CAPTION)
    with walker.page.expect_file_chooser():
        walker.press("Camera")


def lay_over(walker: Walker, words: str) -> None:
    walker.press("More")
    walker.press(words)


def leave_sheet(walker: Walker) -> None:
    walker.page.locator(".sheet").get_by_role("button", name="Back", exact=True).click()
    walker.page.locator(".sheet").wait_for(state="detached")


def dies(phone: Phone, workshop: Workshop, what: str, came_back_at: str) -> Walker:
    """A page alone is opened again by the browser where it was; a browser that died is opened by the person, at the bench."""
    if what == "page":
        phone.kill_renderer(lambda: phone.page.goto(workshop.address + came_back_at))
        return walking(phone, workshop)
    phone.kill()
    phone.switch_on()
    walker = walking(phone, workshop)
    walker.open("/")
    walker.press("Go on")
    walker.page.wait_for_url("**/step/second?resume")
    walker.press("Go on")
    expect(walker.page.get_by_role("article", name=PLACE)).to_be_visible()
    lay_over(walker, "Take a photo")
    return walker


def finds_what_was_typed(walker: Walker) -> None:
    assert walker.step == "second"
    expect(walker.page.get_by_label("Caption", exact=True)).to_have_value(CAPTION)
    leave_sheet(walker)
    expect(walker.page.get_by_role("article", name=PLACE)).to_be_visible()
    lay_over(walker, "Write a note")
    expect(walker.page.get_by_label("What did you see or do?", exact=True)).to_have_value(NOTE)
    leave_sheet(walker)


def takes_the_photo(walker: Walker) -> None:
    lay_over(walker, "Take a photo")
    with walker.page.expect_file_chooser() as chooser:
        walker.press("Camera")
    chooser.value.set_files(camera_picture())
    expect(walker.page.get_by_text("Photo safe on this phone")).to_be_visible()


def camera_picture() -> dict[str, str | bytes]:
    return {"name": "camera.jpg", "mimeType": "image/jpeg", "buffer": jpeg_photo(3)}


def sees_one_photo(walker: Walker, job: str) -> None:
    """Once, at its step, with its caption; and opened whole."""
    walker.open(f"/job/{job}/notes")
    expect(walker.page.locator("img.taken")).to_have_count(1)
    expect(walker.page.locator("section", has=walker.page.locator("img.taken"))).to_contain_text(CAPTION)
    expect(walker.page.locator("section", has=walker.page.locator("img.taken"))).to_contain_text("Step 2")
    walker.page.wait_for_function("() => document.querySelector('img.taken').naturalWidth > 1000")


@pytest.mark.parametrize("what", ["page", "browser"])
def test_killed_while_the_camera_is_open_the_typed_text_and_the_place_come_back_and_the_photo_is_taken(
    phone: Phone, workshop: Workshop, at_second_step: Walker, what: str
) -> None:
    typed_and_camera_open(at_second_step)
    walker = dies(phone, workshop, what, f"/job/{at_second_step.job}/step/second?photo")
    finds_what_was_typed(walker)
    takes_the_photo(walker)
    sees_one_photo(walker, at_second_step.job)


@pytest.mark.parametrize("what", ["page", "browser"])
def test_killed_after_the_photo_was_chosen_and_before_it_was_saved_nothing_was_called_safe_and_the_text_comes_back(
    phone: Phone, workshop: Workshop, at_second_step: Walker, what: str
) -> None:
    typed_and_camera_open(at_second_step)
    page = at_second_step.page
    page.evaluate(HASH)
    with page.expect_file_chooser() as chooser:
        at_second_step.press("Camera")
    chooser.value.set_files(camera_picture())
    expect(page.get_by_text("Saving the photo on this phone")).to_be_visible()
    page.wait_for_timeout(400)  # what must not come is given time to
    expect(page.get_by_text("Photo safe on this phone")).to_have_count(0)
    walker = dies(phone, workshop, what, f"/job/{at_second_step.job}/step/second?photo")
    finds_what_was_typed(walker)
    takes_the_photo(walker)
    sees_one_photo(walker, at_second_step.job)


@pytest.mark.parametrize("what", ["page", "browser"])
def test_killed_after_the_photo_was_called_safe_it_is_there_once_with_its_caption_and_place(
    phone: Phone, workshop: Workshop, at_second_step: Walker, what: str
) -> None:
    typed_and_camera_open(at_second_step)
    page = at_second_step.page
    page.evaluate(COPY)
    with page.expect_file_chooser() as chooser:
        at_second_step.press("Camera")
    chooser.value.set_files(camera_picture())
    expect(page.get_by_text("Photo safe on this phone")).to_be_visible()
    walker = dies(phone, workshop, what, f"/job/{at_second_step.job}/step/second?photo")
    expect(walker.page.get_by_label("Caption", exact=True)).to_have_value("")
    sees_one_photo(walker, at_second_step.job)
