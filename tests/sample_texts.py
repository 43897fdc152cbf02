"""A small map and procedure in which no check finds anything, and how tests change one thing in them."""

from collections.abc import Callable

from benchtrail.domain.findings import Finding
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile

MAP = """\
model: test-model
name: Test model
invented: true
years: 2020-2023
revision: 1
issued: 2026-01-02
options:
  guard_bar: {name: guard bar}
  chain_drive: {name: chain, group: drive}
  shaft_drive: {name: shaft, group: drive, when: year >= 2021}
parts:
  case: {name: case, safety: normal}
  cover: {name: cover, exit: [[out bar]], look_for: The lug points up.}
  cover_gasket: {name: cover gasket, number: T-1, renew: always, exit: [[out cover]]}
  bar: {name: guard bar, when: guard_bar, number: T-3}
  drain_washer: {name: drain washer, number: T-2, renew: always}
  filler_oring: {name: filler ring, renew: inspect}
  wheel: {name: wheel, safety: wheels, hold: true}
  axle: {name: axle, safety: wheels}
  hose: {name: hose, aside: [[undone hose_clip]]}
units:
  wheel_with_axle: {name: wheel with its axle, parts: [wheel, axle]}
joints:
  bar_bolts:
    name: bar bolts
    joins: [bar, frame]
    kind: threaded
    thread: M8x1.25
    tools: [socket_12]
    positions: [{at: [0, 0], length_mm: 20}, {at: [80, 0], length_mm: 20}]
    figure: bar_torque
    when: guard_bar
  cover_screws:
    name: cover screws
    joins: [cover, cover_gasket, case]
    kind: threaded
    thread: M6x1
    tools: [socket_8]
    positions: [{at: [0, 0], length_mm: 25}, {at: [40, 0], length_mm: 25}, {at: [20, 30], length_mm: 40}]
    reach: [[out bar]]
    holds: [oil]
    figure: cover_torque
    treatment: {kind: locker, supply: locker}
    pattern: listed
    order: [1, 3, 2]
    stages: [{share: 50}, {share: 100}]
  drain_plug: {name: drain plug, joins: [drain_washer, case],
    kind: threaded, thread: M12x1.5, tools: [socket_17], positions: [{at: [0, 0]}],
    holds: [oil], figure: drain_torque}
  filler_plug: {name: filler plug, joins: [filler_oring, case],
    kind: threaded, tools: [hand], positions: [{at: [0, 0]}], hand: to the stop by hand}
  axle_nut: {name: axle nut, joins: [axle, wheel, frame],
    kind: threaded, thread: M16x1.5, tools: [socket_24], positions: [{at: [0, 0]}], figure: axle_torque, safety: wheels}
  hose_clip: {name: hose clip, joins: [hose, case], kind: clip, tools: [hand], positions: [{at: [0, 0]}], hand: clicks}
figures:
  bar_torque: {as_published: "20 N·m", condition: dry, source: "Sheet 1 (invented)"}
  cover_torque: {as_published: "10 N·m", tolerance: "± 1 N·m", condition: medium thread locker, source: "Sheet 2 (invented)"}
  drain_torque: {as_published: "20 N·m", condition: "dry, new washer", source: "Sheet 3 (invented)"}
  axle_torque: {as_published: "80 N·m", condition: dry, source: "Sheet 4 (invented)", safety: wheels}
  flatness_limit: {kind: length, as_published: "0.05 mm", condition: dry face, source: "Sheet 5 (invented)"}
fluids:
  oil: {name: engine oil, capacity_ml: 1000, refill_ml: 900, specification: SAE 10W-40, fill: filler_plug, drain: drain_plug,
    level: between the marks, hazards: [skin], disposal: Take it to a collecting point.}
tools:
  hand: {name: bare hand, kind: none}
  socket_8: {name: 8 mm socket, kind: socket}
  socket_12: {name: 12 mm socket, kind: socket}
  socket_17: {name: 17 mm socket, kind: socket}
  socket_24: {name: 24 mm socket, kind: socket}
  straight_edge: {name: straight edge, kind: measure}
  wrench: {name: torque wrench 4 to 25 N·m, kind: torque_wrench, low_nm: 4, high_nm: 25}
  big_wrench: {name: torque wrench 40 to 200 N·m, kind: torque_wrench, low_nm: 40, high_nm: 200}
  gloves: {name: gloves, kind: protection}
supplies:
  locker: {name: medium thread locker, kind: locker}
  grease: {name: grease, kind: grease}
poses:
  upright: {name: upright on a stand, family: stance}
  on_side: {name: laid on its side, family: stance, needs: [[set fuel off]]}
  on_wheels: {name: on its wheels, family: stance}
settings:
  fuel: {name: fuel valve, values: [on, off], start: off}
aids:
  tray: {name: oil tray, catches: [oil]}
  strap: {name: lever strap, control: true}
cautions:
  used_oil: {signal: CAUTION, hazard: Used oil harms the skin.,
    consequence: It can cause skin disease., avoidance: Wear gloves., triggers: [drain oil]}
  exhaust: {signal: DANGER, hazard: Exhaust gas is poisonous.,
    consequence: It kills in a closed room., avoidance: Run the engine outdoors., triggers: [run warm_run]}
checks:
  flatness: {name: flatness of the cover, kind: measure, figure: flatness_limit, reach: [[out cover]]}
  warm_run: {name: warm run, kind: run}
  oil_level: {name: oil level, kind: level, fluid: oil}
  oil_leaks: {name: oil leaks, kind: test}
follow_ons:
  after_oil: {after: [drained oil], needs: [warm_run, oil_level], reason: Oil fills the engine first.}
  after_gasket: {after: [renewed cover_gasket], needs: [oil_leaks], reason: A new gasket can leak.}
"""

JOB = """\
procedure: renew-cover-gasket
title: Renew the cover gasket
summary: Drain the oil, renew the gasket, fill and test.
model: test-model
revision: 1
issued: 2026-01-02
author: Test
change_note: First issue.
applies: all
goal: [renewed cover_gasket]
safety: [normal]
people: 1
skill: None.
start: [pose upright]
prepare: {tools: [gloves], supplies: none}
stop_and_ask: Stop and ask the dealer when a thread is torn.
disposal: Take the oil to a collecting point.
steps:
  - id: tray-on
    section: Strip
    do: aid on tray
    say: Put the oil tray under the drain plug.
  - id: bar-off
    do: [undo bar_bolts, remove bar]
    say: Undo both bar bolts. Lift the guard bar off.
    when: guard_bar
  - id: drain
    do: [undo drain_plug, drain oil]
    say: Undo the drain plug. Let the oil run out.
    caution: used_oil
  - id: washer-off
    do: remove drain_washer
    say: Take the old washer off.
  - id: filler-open
    do: undo filler_plug
    say: Undo the filler plug.
  - id: screws-out
    do: undo cover_screws
    say: Undo the three cover screws.
  - id: cover-off
    do: [remove cover, remove cover_gasket]
    say: Pull the cover off. Remove the old gasket.
  - id: flatness
    section: Inspect
    do: measure flatness
    say: Measure the gap under the straight edge.
    tools: [straight_edge]
    limits: {check: flatness, at_most: flatness_limit, pass: Go on., fail: Renew the cover., fail_needs: renew}
  - id: clean
    do: clean cover_screws
    say: Clean the cover screws.
  - id: gasket-new
    section: Rebuild
    do: [renew cover_gasket, fit cover_gasket]
    say: Take the new gasket. Put it on the case.
  - id: locker
    do: apply locker to cover_screws
    say: Put one drop of thread locker on each cover screw.
  - id: cover-on
    do: [fit cover, start cover_screws]
    say: Put the cover on. Turn all three cover screws in by hand.
    look_for: The lug points up.
  - id: stage-1
    do: tighten cover_screws stage 1
    say: Tighten the cover screws to half the figure.
    tools: [wrench]
  - id: stage-2
    do: tighten cover_screws stage 2
    say: Tighten the cover screws to the figure.
    tools: [wrench]
  - id: washer-new
    do: [renew drain_washer, fit drain_washer]
    say: Take a new washer. Put it on the drain plug.
  - id: plug-tight
    do: [start drain_plug, tighten drain_plug]
    say: Turn the drain plug in by hand. Tighten it to the figure.
    tools: [wrench]
  - id: fill
    section: Fill
    do: fill oil 900 ml
    say: Fill 900 ml of new oil in.
  - id: filler-shut
    do: [start filler_plug, tighten filler_plug]
    say: Turn the filler plug in by hand to the stop.
  - id: bar-on
    do: [fit bar, start bar_bolts]
    say: Hold the guard bar up. Turn both bar bolts in by hand.
    when: guard_bar
  - id: bar-tight
    do: tighten bar_bolts
    say: Tighten both bar bolts to the figure.
    tools: [wrench]
    when: guard_bar
  - id: tray-off
    do: aid off tray
    say: Take the oil tray away.
  - id: run
    section: Test
    do: run warm_run
    say: Start the engine outdoors. Run it three minutes.
    caution: exhaust
  - id: level
    do: level oil_level
    say: Read the oil level.
  - id: leaks
    do: test oil_leaks
    say: Look along the gasket.
"""

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><path d="M0 0h10"/></svg>'
MAP_PATH = "lib/test-model/map.yaml"
JOB_PATH = "lib/test-model/renew-cover-gasket.yaml"


def changed(text: str, *edits: tuple[str, str]) -> str:
    """The text with each (old, new) replaced once; an edit that does not apply is a fault of the test."""
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def beside(say: str, *lines: str, instead: str = "") -> tuple[str, str]:
    """An edit that puts lines under a step's `say`; `instead` is a line that stood there and goes."""
    old = f"    say: {say}\n"
    return old + instead, old + "".join(f"    {line}\n" for line in lines)


def without_step(text: str, step: str) -> str:
    """The text without one step."""
    before, _, rest = text.partition(f"  - id: {step}\n")
    assert rest, step
    _, mark, after = rest.partition("  - id: ")
    return before + mark + after


def add_step(text: str, after: str, step: str) -> str:
    """The text with a step (its lines after `- id`) put behind another one."""
    before, mark, rest = text.partition(f"  - id: {after}\n")
    assert mark, after
    body, next_mark, tail = rest.partition("  - id: ")
    return f"{before}{mark}{body}  - id: {step}\n{next_mark}{tail}"


def found_in(map_text: str = MAP, job_text: str = JOB, pictures: Callable[[str], bytes | None] | None = None,
             ) -> list[Finding]:
    """Everything found in a map and a procedure."""
    files = [LibraryFile(MAP_PATH, map_text.encode()), LibraryFile(JOB_PATH, job_text.encode())]
    return check_library(files, pictures or (lambda path: None)).findings


def found_anywhere(text: str, name: str = "mend-it") -> list[Finding]:
    """Everything found in a procedure without a map."""
    file = LibraryFile(f"lib/anywhere/{name}.yaml", text.encode())
    return check_library([file], lambda path: None).findings


def codes(findings: list[Finding]) -> set[tuple[str, str]]:
    """(check, code) of findings."""
    return {(finding.check, finding.code) for finding in findings}
