"""Every calculation on the phone with the server dead, at 360 × 640: answer, working, source, and refusals that lose nothing."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Playwright, expect
from tests.offline.demo_server import DemoServer
from tests.offline.phone import ARGUMENTS, Phone
from tests.offline.test_accessibility import context_of, violations

from environment import find_chromium

pytestmark = pytest.mark.browser

STEP = "impeller-bolt-in"
AXED = {"with-my-wrench", "shim-swap", "bottle-plan", "tightening-circle", "service-due", "weight-for-torque", "tyre-reads"}
Form = dict[str, str]
# name, what is typed by label, what is chosen by label, the answer at its largest
CASES: list[tuple[str, Form, Form, str]] = [
    ("with-my-wrench", {"Torque wanted": "10 N·m", "Adapter: drive centre to bolt centre": "50", "Angle of the adapter, °": "30",
                        "Wrench: drive centre to grip centre": "250"}, {}, "8.5 N·m"),
    ("torque-at-wrench", {"Torque wanted at the bolt": "25", "Wrench: drive centre to grip centre": "250",
                          "Adapter: drive centre to bolt centre": "50"}, {}, "20.8 N·m"),
    ("torque-applied", {"Set on the wrench": "25", "Wrench: drive centre to grip centre": "250",
                        "Adapter: drive centre to bolt centre": "50", "Angle of the adapter, °": "90"}, {}, "25.0 N·m"),
    ("torque-stages", {"Full torque": "100"}, {}, "30.0 N·m"),
    ("running-torque", {"Torque wanted": "20", "Drag while running down": "2"}, {}, "22.0 N·m"),
    ("units", {"Amount with its unit": "15 lbf·ft"}, {}, "20.3 N·m"),
    ("plausible-torque", {"Torque as printed": "100 Nm", "Thread": "M6x1"}, {}, "Too much"),
    ("preload-band", {"Torque": "20", "Thread": "M8x1.25"},
     {"Class on the bolt head": "8.8", "Thread and head are": "oiled"}, "9.6 – 25.0"),
    ("threads-for-socket", {"Socket size": "12"}, {}, "M8"),
    ("check-torque", {"Thread": "M8x1.25"}, {"Class on the bolt head": "8.8"}, "23 – 34 N·m"),
    ("proof-load", {"Thread": "M8×1,25"}, {"Class on the bolt head": "8.8"}, "21.2 kN"),
    ("thread-strip", {"Thread": "M8x1.25", "Engaged length": "12", "Shear strength of the part, MPa": "180"},
     {"Class on the bolt head": "8.8"}, "The bolt"),
    ("preload-long", {"Thread": "M8x1.25", "Friction in the thread": "0,12", "Friction under the head": "0.12", "Share of yield, %": "90"},
     {"Class on the bolt head": "8.8"}, "18.6 kN"),
    ("preload-scatter", {"Preload meant, N": "10000"}, {"Tightened by": "feel"}, "±35 %"),
    ("tightening-circle", {"How many holes": "6", "Full torque": "10"}, {}, "1"),
    ("bottle-mark", {"Full bottle holds": "1 l", "To pour in": "850"}, {}, "150 ml"),
    ("bottle-plan", {"Amount needed": "1300", "Sizes on sale": "500; 1000"}, {}, "1 × 1000 ml, 1 × 500 ml"),
    ("coolant-mix", {"Coolant wanted": "1 l", "Share of glycol, %": "50"}, {}, "500 ml"),
    ("coolant-freeze", {"Share of glycol by volume, %": "50"}, {}, "-34 °C"),
    ("coolant-for-cold", {"Lowest temperature": "-25"}, {}, "43 %"),
    ("drain-and-refill", {"Whole system": "1000", "Comes out each time": "500", "Share before, %": "30", "Share of what goes in, %": "50"},
     {}, "40 %"),
    ("drain-for-target", {"Whole system": "1000", "Share now, %": "30", "Share wanted, %": "50"}, {}, "286 ml"),
    ("expansion-room", {"Whole system": "1000"}, {}, "41 ml"),
    ("premix-oil", {"Fuel in the can": "5 l", "Fuel to oil, :1": "32:1"}, {}, "156 ml"),
    ("premix-correct", {"Mix in the can": "5100", "Mixed as, :1": "50", "Wanted, :1": "32"}, {}, "56 ml"),
    ("premix-top-up", {"Mix left in the can": "1000", "Mixed as, :1": "32", "Fresh fuel": "4000", "Wanted, :1": "32"}, {}, "125 ml"),
    ("brake-fluid", {}, {"Marked on the cap": "DOT 4", "In the bottle": "DOT 5.1"}, "Higher grade"),
    ("shim-to-fit", {"Clearance measured": "0,10", "Shim fitted": "2,60", "Lower limit": "0,13", "Upper limit": "0,17"}, {}, "2.55 mm"),
    ("shim-swap", {"Its name": "intake", "Clearance measured": "0.10", "Shim fitted": "2.60", "Lower limit": "0.13", "Upper limit": "0.17",
                   "Spare shims": "2,55; 2,70"}, {}, "0"),
    ("sag", {"Wheel hanging": "620", "Machine alone": "590", "Rider on": "525"}, {}, "95.0 mm"),
    ("spring-rate", {"Rate now, N/mm": "48", "Static sag now": "30", "Sag with the rider now": "100", "Static sag wanted": "30",
                     "Sag with the rider wanted": "100"}, {}, "48.0 N/mm"),
    ("fork-oil-by-air-gap", {"Air gap now": "130", "Air gap wanted": "120", "Inner diameter of the tube": "40"}, {}, "13 ml"),
    ("chain-wear", {"Length measured": "322", "Pitches in between": "20"}, {}, "1.4 %"),
    ("limit-check", {"Readings": "3.4; 3.1", "At least": "3.2"}, {}, "Outside"),
    ("ring-gap-from-bore", {"Gap measured": "0.40", "Bore where measured": "54.10", "Bore where the ring runs": "54.00"}, {}, "0.09 mm"),
    ("compression-compare", {"Readings": "9 bar; 10 bar"}, {}, "90 %"),
    ("battery-rest", {"Voltage at the poles, V": "12.7", "At rest for, h": "5"}, {}, "Full"),
    ("tyre-set-here", {"Wanted there": "0,9 bar", "Temperature here": "20", "Temperature there": "0"}, {}, "104 kPa"),
    ("tyre-reads", {"Set here": "100", "Temperature here": "20", "Temperature there": "20", "Altitude there": "1800"}, {}, "120 kPa"),
    ("weight-for-torque", {"Torque wanted": "100", "Bolt to where the weight hangs": "500"}, {}, "20.4 kg"),
    ("lever-for-torque", {"Torque wanted": "100", "Weight": "20"}, {}, "509.9 mm"),
    ("torque-by-weight", {"Weight": "20", "Bolt to where the weight hangs": "1/2 m"}, {}, "98.0 N·m"),
    ("scale-for-torque", {"Torque wanted": "20", "Bolt to the hook": "250"}, {}, "8.16 kg"),
    ("flats-for-angle", {"Angle as published, °": "90"}, {}, "1 flat"),
    ("service-due", {"Every": "15", "Last done on": "2026-05-01", "Hours then": "10", "Hours": "90"}, {}, "Overdue"),
    ("meter-total", {"Read on": "2026-05-01", "It showed": "84,5"}, {}, "84.5"),
    ("last-done", {"Task": "oil", "Larger jobs that contain it": "big service", "What was done": "big service", "On": "2026-05-01"}, {},
     "2026-05-01"),
    ("service-list", {"Its name": "oil", "Every so many hours": "15", "Every so many months": "6"}, {}, "Not known"),
    ("step-time", {"Estimate": "30", "Logged times, min": "28; 35; 31"}, {}, "31 min"),
    ("job-time", {"Usually takes": "30"}, {}, "30 min"),
]
# name, what is typed, what the message says (one part of each of the three)
REFUSED: list[tuple[str, Form, list[str]]] = [
    ("bottle-mark", {"Full bottle holds": "500", "To pour in": "850"},
     ["850 ml is to come out of a bottle of 500 ml", "not enough", "more bottles"]),
    ("bottle-mark", {"Full bottle holds": "", "To pour in": "850"}, ["is missing or not a number", "nothing is filled in", "Type the"]),
    ("torque-at-wrench", {"Torque wanted at the bolt": "25", "Wrench: drive centre to grip centre": "100",
                          "Adapter: drive centre to bolt centre": "100", "Angle of the adapter, °": "180"},
     ["takes up its whole lever", "Almost no torque", "Turn the adapter"]),
    ("torque-at-wrench", {"Torque wanted at the bolt": "-25", "Wrench: drive centre to grip centre": "250",
                          "Adapter: drive centre to bolt centre": "50"}, ["-25 N·m is outside", "slipped", "Check the number"]),
    ("torque-stages", {"Full torque": "10 ft N·m"}, ["not a unit known here", "cannot be converted", "Check the spelling"]),
    ("weight-for-torque", {"Torque wanted": "100", "Bolt to where the weight hangs": "0"},
     ["lever length is 0 mm", "more than nothing", "Measure"]),
    ("coolant-mix", {"Coolant wanted": "1 l", "Share of glycol, %": "120"}, ["120 %, above 100 %", "says nothing true", "most is 100 %"]),
    ("coolant-freeze", {"Share of glycol by volume, %": "80"}, ["outside 10 to 60 %", "no trustworthy figures", "Mix between"]),
    ("premix-oil", {"Fuel in the can": "9999999 l", "Fuel to oil, :1": "32"}, ["outside what a volume can be", "slipped", "Check"]),
    ("units", {"Amount with its unit": "1,500 psi"}, ["can be read in two ways", "depending", "without a comma"]),
    ("proof-load", {"Thread": "M8"}, ["does not say the pitch", "differ in strength", "M8x1.25"]),
]


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


def fill(page: Page, typed: Form, chosen: Form) -> None:
    page.locator("form").first.wait_for()
    for label, text in typed.items():
        page.get_by_role("textbox", name=label, exact=True).first.fill(text)
    for label, value in chosen.items():
        page.get_by_label(label, exact=True).select_option(value)


def work_out(page: Page) -> None:
    press = page.get_by_role("button", name=re.compile("^Work it out"))
    box = press.bounding_box()
    assert box is not None
    assert box["y"] > 320, "the press lies in the lower half, under the thumb"
    assert box["height"] >= 56
    press.click()


def add_wrench(page: Page, address: str) -> None:
    page.goto(f"{address}/tools")
    page.get_by_role("button", name="Add a torque wrench").click()
    fill(page, {"Your name for it": "small click wrench", "Lowest mark": "2", "Highest mark": "25", "Step of its scale": "0.5",
                "Last check": "2026-06-01"}, {})
    page.get_by_role("button", name="Save this wrench").click()
    expect(page.get_by_text("2 to 25 N·m, step 0.5")).to_be_visible()


def is_composed(page: Page) -> None:
    """Nothing stands out sideways, and no number that is none is shown."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    words = page.inner_text("#app")
    assert not re.search(r"NaN|undefined|Infinity|\[object|\{\w+\}", words), words


def test_each_calculation_answers_with_the_server_dead(bench: Page, server: DemoServer) -> None:
    add_wrench(bench, server.address)
    for name, typed, chosen, hero in CASES:
        bench.goto(f"{server.address}/numbers/{name}")
        fill(bench, typed, chosen)
        work_out(bench)
        answer = bench.locator(".answer")
        shown = answer.locator(".figure-line, .answer-words").first
        expect(shown, name).to_contain_text(hero, timeout=10_000)
        size = shown.locator(".figure-hero").first if shown.locator(".figure-hero").count() else shown
        assert size.evaluate("node => parseFloat(getComputedStyle(node).fontSize)") >= 56, name
        expect(answer.get_by_text("Working", exact=True)).to_be_visible()
        expect(answer.get_by_text("Source", exact=True)).to_be_visible()
        expect(answer.get_by_text("Stops being true", exact=True)).to_be_visible()
        assert answer.locator("svg[role=img]").count() > 0, name
        for drawing in answer.locator("svg[role=img]").all():
            assert len(drawing.get_attribute("aria-label") or "") > 8, name
        is_composed(bench)


def test_what_is_refused_says_so_in_three_parts_and_keeps_the_form(bench: Page, server: DemoServer) -> None:
    for name, typed, parts in REFUSED:
        bench.goto(f"{server.address}/numbers/{name}")
        fill(bench, typed, {})
        work_out(bench)
        message = bench.get_by_role("alert").first
        expect(message, name).to_be_visible()
        for part in parts:
            expect(message).to_contain_text(part)
        expect(bench.locator(".answer")).to_have_count(0)
        for label, text in typed.items():
            field = bench.get_by_role("textbox", name=label, exact=True)
            assert field.first.input_value() == text, (name, label)
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
    not_typed = {"kit-check", "ride-home", "tightening-holes", "learned-weight"}
    assert names == {name for name, *_ in CASES} | not_typed
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
