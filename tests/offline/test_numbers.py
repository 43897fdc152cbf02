"""Every calculation on the phone with the server dead, at 360 × 640: answer, working, source, and refusals that lose nothing."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Playwright, expect
from tests.offline.demo_server import DemoServer
from tests.offline.drawn import drawn_wrong
from tests.offline.number_cases import CASES, REFUSED, add_wrench, begin, fill, row_of, work_out
from tests.offline.phone import ARGUMENTS, Phone
from tests.offline.test_accessibility import context_of, violations

from environment import find_chromium

pytestmark = pytest.mark.browser

STEP = "impeller-bolt-in"
AXED = {"with-my-wrench", "shim-swap", "bottle-plan", "tightening-circle", "service-due", "weight-for-torque", "tyre-reads"}

@pytest.fixture
def bench(phone: Phone, server: DemoServer) -> Page:
    """A phone that opened the app once; then the server dies and the phone starts anew."""
    phone.page.goto(server.address)
    phone.page.locator("#app h1").first.wait_for()
    phone.worker_ready()
    phone.page.wait_for_function("navigator.serviceWorker.controller || navigator.serviceWorker.ready")
    server.kill()
    phone.switch_off()
    phone.switch_on()
    phone.page.set_viewport_size({"width": 360, "height": 640})
    return phone.page


def is_composed(page: Page) -> None:
    """Nothing stands out sideways, and no number that is none is shown."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    words = page.inner_text("#app")
    assert not re.search(r"NaN|undefined|Infinity|\[object|\{\w+\}", words), words


def test_each_calculation_answers_with_the_server_dead(bench: Page, server: DemoServer) -> None:
    add_wrench(bench, server.address)
    for name, typed, chosen, hero in CASES:
        begin(bench, server.address, name)
        fill(bench, typed, chosen)
        work_out(bench)
        answer = bench.locator(".answer")
        # an answer of several amounts has a line for each
        for line, part in enumerate(hero.split(", ") if name == "bottle-plan" else [hero]):
            expect(answer.locator(".figure-line, .answer-words").nth(line), name).to_contain_text(part, timeout=10_000)
        shown = answer.locator(".figure-line, .answer-words").first
        size = shown.locator(".figure-hero").first if shown.locator(".figure-hero").count() else shown
        assert size.evaluate("node => parseFloat(getComputedStyle(node).fontSize)") >= 56, name
        expect(answer.get_by_text("Working", exact=True)).to_be_visible()
        expect(answer.get_by_text("Source", exact=True)).to_be_visible()
        expect(answer.get_by_text("Stops being true", exact=True)).to_be_visible()
        assert answer.locator("svg[role=img]").count() > 0, name
        for drawing in answer.locator("svg[role=img]").all():
            assert len(drawing.get_attribute("aria-label") or "") > 8, name
        is_composed(bench)
        bench.set_viewport_size({"width": 320, "height": 640})
        assert drawn_wrong(bench) == [], name
        assert bench.evaluate("document.documentElement.scrollWidth") <= 320, name
        bench.set_viewport_size({"width": 360, "height": 640})


def test_what_is_refused_says_so_in_three_parts_and_keeps_the_form(bench: Page, server: DemoServer) -> None:
    for name, typed, parts in REFUSED:
        begin(bench, server.address, name)
        fill(bench, typed, {})
        work_out(bench)
        message = bench.get_by_role("alert").first
        expect(message, name).to_be_visible()
        for part in parts:
            expect(message).to_contain_text(part)
        expect(bench.locator(".answer")).to_have_count(0)
        for label, text in typed.items():
            place, field = row_of(bench, label)
            assert place.get_by_role("textbox", name=field, exact=True).first.input_value() == text, (name, label)
        is_composed(bench)


def test_what_is_typed_survives_leaving_and_a_killed_phone(bench: Page, phone: Phone, server: DemoServer) -> None:
    bench.goto(f"{server.address}/numbers/sag")
    fill(bench, {"Wheel hanging": "620", "Machine alone": "59"}, {})
    bench.get_by_role("link", name="All numbers").click()
    expect(bench.get_by_role("heading", name="Numbers", exact=True)).to_be_visible()
    bench.wait_for_timeout(600)
    phone.kill()
    phone.switch_on()
    page = phone.page
    page.goto(f"{server.address}/numbers/sag")
    expect(page.get_by_role("textbox", name="Wheel hanging")).to_have_value("620")
    expect(page.get_by_role("textbox", name="Machine alone")).to_have_value("59")


def test_a_tool_half_typed_is_open_again_on_return(bench: Page, server: DemoServer) -> None:
    bench.goto(f"{server.address}/tools")
    bench.get_by_role("button", name="Add a torque wrench").click()
    fill(bench, {"Your name for it": "long one", "Lowest mark": "20"}, {})
    bench.get_by_role("button", name="Add to the kit").click()
    bench.get_by_role("textbox", name="Size").fill("13")
    bench.wait_for_timeout(600)
    bench.goto(f"{server.address}/numbers")
    bench.goto(f"{server.address}/tools")
    expect(bench.get_by_role("textbox", name="Your name for it")).to_have_value("long one")
    expect(bench.get_by_role("textbox", name="Lowest mark")).to_have_value("20")
    expect(bench.get_by_role("textbox", name="Size")).to_have_value("13")


def test_the_list_leads_to_every_calculation_and_holes_are_ticked_one_by_one(bench: Page, server: DemoServer) -> None:
    bench.goto(f"{server.address}/numbers")
    links = bench.locator("main a[href^='/numbers/']")
    expect(links.first).to_be_visible()
    names = {(link.get_attribute("href") or "").removeprefix("/numbers/") for link in links.all()}
    assert names == {name for name, *_ in CASES} | {"kit-check"}
    is_composed(bench)
    bench.goto(f"{server.address}/numbers/tightening-circle")
    fill(bench, {"How many holes": "4", "Full torque": "10"}, {})
    work_out(bench)
    passes = bench.locator(".passes > li").count()
    for _ in range(2):
        bench.get_by_role("button", name=re.compile(r"^Hole \d is tight$")).click()
    bench.wait_for_timeout(600)
    bench.goto(f"{server.address}/numbers")
    bench.goto(f"{server.address}/numbers/tightening-circle")
    expect(bench.get_by_text("2 of 4 holes tightened in this pass")).to_be_visible()
    for turn in range(passes):
        for _ in range(2 if turn == 0 else 4):
            bench.get_by_role("button", name=re.compile(r"^Hole \d is tight$")).click()
        if turn < passes - 1:
            bench.get_by_role("button", name="Next pass").click()
    expect(bench.get_by_text("Every hole of every pass is ticked.")).to_be_visible()


def test_an_unknown_calculation_and_a_missing_piece_are_said_in_three_parts(
    phone: Phone, server: DemoServer, playwright: Playwright
) -> None:
    page = phone.page
    page.set_viewport_size({"width": 360, "height": 640})
    page.goto(f"{server.address}/numbers/no-such")
    expect(page.get_by_role("alert")).to_contain_text("Choose one from the list")
    # a browser without a service worker whose server has lost the piece
    browser = playwright.chromium.launch(executable_path=find_chromium(), args=ARGUMENTS)
    fresh = browser.new_context(service_workers="block")
    fresh.route(re.compile(r"/assets/rooms-.*\.js"), lambda route: route.abort())
    other = fresh.new_page()
    other.goto(f"{server.address}/numbers")
    for part in ("could not be opened", "not touched", "Open the page again"):
        expect(other.get_by_role("alert")).to_contain_text(part)
    browser.close()


def begin_job(phone: Phone, server: DemoServer) -> str:
    """A machine added, its procedures kept, the seal job begun, the server dead: the address of the job."""
    page = phone.page
    page.set_viewport_size({"width": 360, "height": 640})
    page.goto(f"{server.address}/machine/new")
    page.get_by_role("radio", name="Hobmoor Fell 250").check()
    page.get_by_label("Model year").select_option("2022")
    page.get_by_label("Your name for it").fill("The red one")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("heading", name="The red one").wait_for()
    page.goto(f"{server.address}/library")
    shelf = page.locator("section", has=page.get_by_role("heading", name="Hobmoor Fell 250"))
    shelf.get_by_role("button", name="Keep on this phone").click()
    expect(shelf.get_by_text(re.compile(r"On this phone: [3-9]"))).to_be_visible(timeout=60_000)
    phone.worker_ready()
    sha256, _ = server.pack("renew-water-pump-seal")
    server.kill()
    page.goto(f"{server.address}/procedure/{sha256}")
    page.get_by_role("link", name=re.compile("The red one")).click()
    page.get_by_role("button", name="Start the job").click()
    page.wait_for_url("**/job/*/step/*")
    return page.url.partition("/step/")[0]


def test_a_figure_goes_to_my_wrench_and_comes_back_as_a_note_of_the_step(phone: Phone, server: DemoServer) -> None:
    job = begin_job(phone, server)
    page = phone.page
    add_wrench(page, server.address)
    page.goto(f"{job}/step/{STEP}?more")
    page.get_by_role("link", name="Numbers for this step").click()
    expect(page.get_by_role("heading", name="Numbers for this step")).to_be_visible()
    is_composed(page)
    page.get_by_role("link", name=re.compile("^Can this torque be right")).click()
    expect(page.get_by_role("textbox", name="Torque as printed")).to_have_value("8 N·m")
    page.goto(f"{job}/step/{STEP}")
    page.get_by_role("link", name="With my wrench").click()
    asked = page.get_by_role("textbox", name="Torque wanted", exact=True)
    expect(asked).to_have_value("8 N·m")
    work_out(page)
    expect(page.locator(".answer .figure-line")).to_contain_text("8.0 N·m")
    page.get_by_role("button", name="Attach to the step").click()
    expect(page.get_by_text("Saved on this phone, as a note of the step").first).to_be_visible()
    page.get_by_role("link", name="Back to the step").click()
    page.get_by_role("link", name="1 note").click()
    note = page.locator("main")
    for part in ("With my wrench: Set on your small click wrench: 8.0 N·m", "Working:", "Source:"):
        expect(note).to_contain_text(part)


def test_times_of_the_jobs_on_this_phone_go_into_the_estimates(phone: Phone, server: DemoServer) -> None:
    job = begin_job(phone, server)
    page = phone.page
    page.wait_for_timeout(5_500)  # less than five seconds between two ticks tells no time
    first = page.url.partition("/step/")[2]
    page.locator(".thumb-main .main").click()
    page.wait_for_function("before => !location.pathname.endsWith(before)", arg=first)
    begin(page, server.address, "learned-weight")
    page.get_by_role("button", name="Take the times of the jobs on this phone").click()
    expect(page.get_by_text("1 time of 1 step taken: 0 by a timer, 1 from tick to tick")).to_be_visible()
    assert float(page.get_by_role("textbox", name="Logged times, min").input_value()) >= 0.1
    work_out(page)
    expect(page.get_by_role("alert").first).to_contain_text("30")
    is_composed(page)
    page.goto(f"{server.address}/numbers?job={job.rpartition('/')[2]}&step={first}")
    page.get_by_role("link", name=re.compile("^How long will a step take")).click()
    assert float(page.get_by_role("textbox", name="Logged times, min").input_value()) >= 0.1
    work_out(page)
    expect(page.locator(".answer")).to_contain_text("Eight times in ten between")
    page.goto(f"{server.address}/numbers?job={job.rpartition('/')[2]}&step={first}")
    page.get_by_role("link", name=re.compile("^How long will a job take")).click()
    work_out(page)
    expect(page.locator(".answer")).to_contain_text("Eight times in ten between")
    is_composed(page)


def test_the_carried_kit_says_which_steps_it_can_do(phone: Phone, server: DemoServer) -> None:
    begin_job(phone, server)
    page = phone.page
    page.goto(f"{server.address}/tools")
    page.get_by_role("button", name="Add to the kit").click()
    page.get_by_label("Tool", exact=True).select_option("adjustable")
    page.get_by_role("button", name="Save in the kit").click()
    page.get_by_role("link", name="What this kit can do").click()
    page.get_by_label("Procedure").select_option(label="Renew the water pump seal")
    answer = page.locator(".answer")
    expect(answer.locator(".figure-line")).to_contain_text(re.compile(r"\d+ of \d+ steps"))
    expect(answer).to_contain_text("an adjustable spanner will do")
    expect(answer).to_contain_text("missing: torque wrench")
    before = answer.locator(".figure-hero").inner_text()
    page.get_by_role("button", name=re.compile("^I carry the pin spanner for the pump impeller")).click()
    expect(answer.get_by_role("button", name=re.compile("^I carry the pin spanner for the pump impeller"))).to_have_count(0)
    assert int(answer.locator(".figure-hero").inner_text()) >= int(before)
    page.goto(f"{server.address}/numbers/kit-check")
    expect(page.get_by_role("link", name=re.compile("Renew the water pump seal"))).to_contain_text(re.compile(r"\d+ of \d+ steps"))
    is_composed(page)


@pytest.mark.parametrize("paper", ["Day", "Night"])
def test_numbers_pass_axe(playwright: Playwright, server: DemoServer, paper: str) -> None:
    browser = playwright.chromium.launch(executable_path=find_chromium(), args=ARGUMENTS)
    # tall, so that the foot that stays covers no link by half: axe would measure the half that shows
    page = context_of(browser, 360, 5000).new_page()
    page.goto(f"{server.address}/settings")
    page.get_by_role("radio", name=paper).check()
    add_wrench(page, server.address)
    found = violations(page)
    page.goto(f"{server.address}/numbers")
    page.get_by_role("heading", name="Torque tools").wait_for()
    found += violations(page)
    for name, typed, chosen, _ in [case for case in CASES if case[0] in AXED]:
        page.goto(f"{server.address}/numbers/{name}")
        fill(page, typed, chosen)
        page.get_by_role("button", name="Work it out").click()
        page.locator(".answer").wait_for()
        found += violations(page)
    browser.close()
    assert found == []
