"""What is typed into each calculation on the phone, what it answers at its largest, and what is refused with which words.

Knows labels and words of the screens; used by the browser tests and by the pictures.
"""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

Form = dict[str, str]
# thirty steps estimated at 20 minutes that take half or twice that time and hardly scatter: an estimate then counts for little
LEARNED: Form = {
    f"Step {n + 1}: {label}": text
    for n in range(30)
    for label, text in (("Estimate", "20"), ("Logged times, min", "10; 10.5; 9.5" if n % 2 == 0 else "40; 42; 38"))
}
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
    ("tightening-holes", {"Hole 1: To the right": "0", "Hole 1: Down": "0", "Hole 1: Length of its fastener": "25",
                          "Hole 2: To the right": "60", "Hole 2: Down": "0", "Hole 2: Length of its fastener": "25",
                          "Hole 3: To the right": "60", "Hole 3: Down": "1,5 in", "Hole 3: Length of its fastener": "35",
                          "Hole 4: To the right": "0", "Hole 4: Down": "40", "Full torque": "10"}, {}, "1"),
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
    ("ride-home", {"Concern 1: Part or joint": "front brake hose", "Concern 2: Part or joint": "engine cover"},
     {"Concern 1: It belongs to": "brakes", "Concern 1: How it is": "not_final", "Concern 2: How it is": "by_lever"}, "Do not ride"),
    ("ride-home", {"Concern 1: Part or joint": "engine cover"}, {"Concern 1: How it is": "by_lever"}, "Ride slowly"),
    ("service-due", {"Every": "15", "Last done on": "2026-05-01", "Hours then": "10", "Hours": "90"}, {}, "Overdue"),
    ("meter-total", {"Read on": "2026-05-01", "It showed": "84,5"}, {}, "84.5"),
    ("last-done", {"Task": "oil", "Larger jobs that contain it": "big service", "What was done": "big service", "On": "2026-05-01"}, {},
     "1 May 2026"),
    ("service-list", {"Its name": "oil", "Every so many hours": "15", "Every so many months": "6"}, {}, "Not known"),
    ("service-list", {"Task 1: Its name": "oil", "Task 1: Every so many hours": "15", "Entry 1: Task": "oil",
                      "Entry 1: Done on": "2026-05-01", "Entry 1: Hours": "80", "Reading 1: Read on": "2026-06-01",
                      "Reading 1: Hours": "6", "Meter 1: Changed on": "2026-05-20", "Meter 1: The old one showed": "90"}, {}, "Overdue"),
    ("step-time", {"Estimate": "30", "Logged times, min": "28; 35; 31"}, {}, "31 min"),
    ("job-time", {"Usually takes": "30"}, {}, "30 min"),
    ("learned-weight", LEARNED, {}, "0.5"),
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
    ("last-done", {"Task": "oil", "What was done": "oil", "On": "2026-05-01", "Hours": "-5"},
     ["hours is -5, below 0", "says nothing true", "least is 0"]),
    ("learned-weight", {"Estimate": "20 min", "Logged times, min": "19; 21; 20"},
     ["three logs or more: 1", "nothing can be learned", "more jobs are logged"]),
    ("step-time", {"Estimate": "1/0", "Logged times, min": "28"}, ["“1/0” is not a number", "do not fit together", "one decimal point"]),
    ("service-list", {"Task 1: Its name": "oil", "Task 1: Every so many hours": "15", "Entry 1: Task": "oil",
                      "Entry 1: Done on": "2026-02-30"}, ["“2026-02-30” is not a day", "must exist", "2026-05-31"]),
    ("tightening-holes", {"Hole 1: To the right": "0", "Hole 1: Down": "3 kg", "Full torque": "10"},
     ["measures", "another field", "Check the source"]),
    ("ride-home", {"Concern 1: Part or joint": ""}, ["is missing or not a number", "nothing is filled in", "Type the"]),
]


def begin(page: Page, address: str, name: str) -> None:
    """Opens a calculation with its form as it first was, whatever was left in it."""
    page.goto(f"{address}/numbers/{name}")
    page.get_by_role("button", name="Start over").click()


def fill(page: Page, typed: Form, chosen: Form) -> None:
    """Types and chooses by label; "Hole 2: Down" is the field of that row, which is added when it is not there yet."""
    page.locator("form").first.wait_for()
    for label, text in typed.items():
        place, name = row_of(page, label)
        place.get_by_role("textbox", name=name, exact=True).first.fill(text)
    for label, value in chosen.items():
        place, name = row_of(page, label)
        place.get_by_label(name, exact=True).select_option(value)


def row_of(page: Page, label: str) -> tuple[Page | Locator, str]:
    """Where a field is, the page or its row, and its own label."""
    found = re.fullmatch(r"(\w+) (\d+): (.+)", label)
    if not found:
        return page, label
    row = page.get_by_role("group", name=f"{found[1]} {found[2]}", exact=True)
    if row.count() == 0:
        page.get_by_role("button", name=f"Add another {found[1].lower()}", exact=True).click()
    return row, found[3]


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


def use(page: Page, address: str, name: str) -> None:
    """Opens a calculation, types its first case and works it out."""
    _, typed, chosen, _ = next(case for case in CASES if case[0] == name)
    begin(page, address, name)
    fill(page, typed, chosen)
    work_out(page)
    page.locator(".answer").wait_for()


USES = list(dict.fromkeys(name for name, *_ in CASES))
