"""M1 to M8, S6, S7, S10 of a map: each text has one fault and gives exactly the one finding; the clean one gives none."""

import pytest
from tests.sample_texts import MAP, changed, codes, found_in

from benchtrail.domain.checks.table import CHECKS

Edit = tuple[str, str]

# description → edits of the map, what is found, the line's beginning at which it is found
CASES: list[tuple[str, list[Edit], tuple[str, str], str]] = [
    (
        "a joint names a figure that is not there",
        [("hand: clicks", "hand: clicks, figure: no_such")],
        ("M1", "reference_unknown"),
        "  hose_clip:",
    ),
    (
        "a joint names a part of nothing",
        [("joins: [hose, case]", "joins: [hose, cas]")],
        ("M1", "reference_unknown"),
        "  hose_clip:",
    ),
    (
        "a condition names a part where a joint must stand",
        [("aside: [[undone hose_clip]]", "aside: [[undone hose]]")],
        ("M1", "reference_unknown"),
        "  hose:",
    ),
    (
        "a figure is not there on the machines that have the joint",
        [('condition: dry, source: "Sheet 4 (invented)"', 'condition: dry, source: "Sheet 4 (invented)", when: year >= 2022')],
        ("M1", "reference_absent"),
        "    kind: threaded, thread: M16",
    ),
    (
        "a condition sets a value that the setting has not",
        [("[[set fuel off]]", "[[set fuel shut]]")],
        ("M1", "setting_value_unknown"),
        "  on_side:",
    ),
    ("a setting starts with a value it has not", [("start: off}", "start: shut}")], ("M1", "setting_value_unknown"), "  fuel:"),
    (
        "a guard names an unknown option",
        [("hose: {name: hose, ", "hose: {name: hose, when: guard_bra, ")],
        ("M1", "option_unknown"),
        "  hose:",
    ),
    (
        "a guard speaks of a year before the model",
        [("shaft, group: drive, when: year >= 2021", "shaft, group: drive, when: year >= 1921")],
        ("S1", "guard_year_outside"),
        "  shaft_drive:",
    ),
    (
        "a guard contradicts itself",
        [
            ("hose: {name: hose, ", "hose: {name: hose, when: year >= 2022 and year <= 2021, "),
            ("hand: clicks}", "hand: clicks, when: year >= 2022 and year <= 2021}"),
        ],
        ("M2", "guard_never"),
        "  hose:",
    ),
    (
        "a joint has one part left on some machines",
        [("hose: {name: hose, ", "hose: {name: hose, when: year >= 2022, ")],
        ("M2", "joint_too_few_parts"),
        "  hose_clip:",
    ),
    ("a unit falls apart", [("parts: [wheel, axle]", "parts: [wheel, axle, hose]")], ("M2", "unit_apart"), "  wheel_with_axle:"),
    (
        "two joints block one another",
        [
            ("hand: clicks}", "hand: clicks, reach: [[undone axle_nut]]}"),
            ("safety: wheels}\n  hose_clip", "safety: wheels, reach: [[undone hose_clip]]}\n  hose_clip"),
        ],
        ("M3", "access_circle"),
        "    kind: threaded, thread: M16",
    ),
    (
        "a joint is reached in two poses at once",
        [("hand: clicks}", "hand: clicks, reach: [[pose upright, pose on_wheels]]}")],
        ("M3", "access_never"),
        "  hose_clip:",
    ),
    (
        "a joint is reached with two values of one setting at once",
        [("hand: clicks}", "hand: clicks, reach: [[set fuel on, set fuel off]]}")],
        ("M3", "access_never"),
        "  hose_clip:",
    ),
    ("a joint has no recipe", [("hand: clicks}", "}")], ("M4", "joint_without_recipe"), "  hose_clip:"),
    (
        "a safety joint has only words",
        [("figure: axle_torque, safety", "hand: tight, safety")],
        ("M4", "safety_joint_by_hand"),
        "    kind: threaded, thread: M16",
    ),
    (
        "shares of no figure",
        [("hand: clicks}", "hand: clicks, stages: [{share: 50}, {share: 100}]}")],
        ("M4", "share_without_figure"),
        "  hose_clip:",
    ),
    (
        "stages that end below the figure",
        [("[{share: 50}, {share: 100}]", "[{share: 50}, {share: 90}]")],
        ("M4", "stages_unfit"),
        "    stages:",
    ),
    (
        "a figure without its condition",
        [("condition: medium thread locker, ", "")],
        ("M5", "figure_without_condition"),
        "  cover_torque:",
    ),
    ("a figure without its source", [(', source: "Sheet 4 (invented)"', "")], ("M5", "figure_without_source"), "  axle_torque:"),
    (
        "a figure without a unit",
        [('"20 N·m", condition: dry,', '"20", condition: dry,')],
        ("M5", "unit_missing"),
        "  bar_torque:",
    ),
    (
        "a figure in pounds that may be of two kinds",
        [('"20 N·m", condition: dry,', '"20 lbs", condition: dry,')],
        ("M5", "unit_ambiguous"),
        "  bar_torque:",
    ),
    (
        "a figure in a unit that nobody knows",
        [('"20 N·m", condition: dry,', '"20 Nmm/s", condition: dry,')],
        ("M5", "unit_unknown"),
        "  bar_torque:",
    ),
    (
        "a torque given in millimetres",
        [('"20 N·m", condition: dry,', '"20 mm", condition: dry,')],
        ("M5", "unit_other_kind"),
        "  bar_torque:",
    ),
    (
        "a figure that is not given at all",
        [('as_published: "20 N·m", condition: dry,', "condition: dry,")],
        ("M5", "key_missing"),
        "  bar_torque:",
    ),
    ("a tolerance that cannot be read", [('"± 1 N·m"', '"± few"')], ("M5", "unit_unknown"), "  cover_torque:"),
    (
        "a torque that would tear the bolt off",
        [('"10 N·m", tolerance: "± 1 N·m"', '"62 N·m"'), ("high_nm: 25", "high_nm: 75")],
        ("M6", "torque_too_high"),
        "  cover_torque:",
    ),
    ("a torque that holds nothing", [('"80 N·m"', '"8 N·m"')], ("M6", "torque_too_low"), "  axle_torque:"),
    (
        "a thread without its pitch",
        [("thread: M16x1.5", "thread: M16")],
        ("M6", "thread_not_usable"),
        "    kind: threaded, thread: M16",
    ),
    (
        "printed units that differ by a digit",
        [('"20 N·m", condition: dry,', '"20 N·m (177 lbf·ft)", condition: dry,')],
        ("M7", "figure_pair_disagrees"),
        "  bar_torque:",
    ),
    ("a fluid without its amount", [("capacity_ml: 1000, ", "")], ("M8", "fluid_incomplete"), "  oil:"),
    (
        "two screws at one place",
        [("{at: [40, 0], length_mm: 25}", "{at: [0, 0], length_mm: 25}")],
        ("M8", "positions_coincide"),
        "    positions:",
    ),
    (
        "some screws without a length",
        [("{at: [40, 0], length_mm: 25}", "{at: [40, 0]}")],
        ("M8", "lengths_incomplete"),
        "    positions:",
    ),
    ("an order that leaves a screw out", [("order: [1, 3, 2]", "order: [1, 3]")], ("M8", "order_unfit"), "    order:"),
    (
        "a torque wrench without a range",
        [("low_nm: 40, high_nm: 200", "low_nm: 400, high_nm: 200")],
        ("M8", "tool_range_empty"),
        "  big_wrench:",
    ),
    (
        "a caution without consequence",
        [("    consequence: It can cause skin disease.,", "   ")],
        ("S7", "caution_without_consequence"),
        "  used_oil:",
    ),
    ("a caution without avoidance", [(", avoidance: Wear gloves.", "")], ("S7", "caution_without_avoidance"), "  used_oil:"),
    ("a deadly hazard called CAUTION", [("signal: DANGER", "signal: CAUTION")], ("S6", "signal_too_weak"), "  exhaust:"),
    ("an injury called NOTICE", [("signal: CAUTION", "signal: NOTICE")], ("S6", "signal_too_weak"), "  used_oil:"),
    (
        "harm to things called CAUTION",
        [("It can cause skin disease.", "It destroys the paint.")],
        ("S6", "signal_for_property"),
        "  used_oil:",
    ),
    (
        "one name for two parts",
        [("filler_oring: {name: filler ring", "filler_oring: {name: Wheel")],
        ("S10", "name_twice"),
        "  wheel:",
    ),
    ("one number for two parts", [("number: T-2", "number: T-1")], ("S10", "number_twice"), "  drain_washer:"),
    (
        "one id for a part and a pose",
        [("  on_wheels: {name: on its wheels, family: stance}", "  wheel: {name: on its wheels, family: stance}")],
        ("S10", "id_taken"),
        "  wheel:",
    ),
]


def test_the_sample_is_clean() -> None:
    assert found_in() == []


@pytest.mark.parametrize(("edits", "expected", "place"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_one_fault_in_a_map_gives_its_one_finding(edits: list[Edit], expected: tuple[str, str], place: str) -> None:
    text = changed(MAP, *edits)
    findings = found_in(text)
    assert codes(findings) == {expected}
    assert len(findings) == 1 or expected[1] == "guard_never"
    lines = text.splitlines()
    assert lines[findings[0].where.line - 1].startswith(place)
    assert all(finding.severity in CHECKS[finding.check] for finding in findings)


@pytest.mark.parametrize(
    "written",
    [
        "20 Nm",
        "20 N m",
        "20 N-m",
        "15 ft lb",
        "15 ft-lbs",
        "15 lb.ft",
        "177 in-lbs",
        "177 in lb",
        "177 lbf.in",
        "2 kgf.m",
        "20 N·m (15 ft-lb)",
        "18-22 Nm",
    ],
)
def test_a_common_spelling_of_a_torque_is_read(written: str) -> None:
    assert found_in(changed(MAP, ('"20 N·m", condition: dry,', f'"{written}", condition: dry,'))) == []


@pytest.mark.parametrize(
    ("pair", "severity"),
    [
        ("10 N·m (88 lbf·in)", None),
        ("26.0 N·m (19.3 lbf·ft)", "NOTE"),
        ("100 N·m (71.5 lbf·ft)", "WARNING"),
        ("10 N·m (100 lbf·in)", "ERROR"),
    ],
)
def test_a_printed_pair_is_graded_beyond_its_rounding(pair: str, severity: str | None) -> None:
    """10 N·m = 88.5075 lbf·in; 19.3 lbf·ft = 26.167 N·m; 100 N·m = 73.756 lbf·ft (factors of NIST SP 811, app. B)."""
    text = changed(MAP, ('"20 N·m", condition: dry,', f'"{pair}", condition: dry,'))
    graded = [finding.severity.name for finding in found_in(text) if finding.check == "M7"]
    assert graded == ([severity] if severity else [])


def test_without_provenance_a_safety_figure_is_worse() -> None:
    normal = found_in(changed(MAP, (', source: "Sheet 1 (invented)"', "")))
    wheels = found_in(changed(MAP, (', source: "Sheet 4 (invented)"', "")))
    assert [finding.severity.name for finding in (*normal, *wheels)] == ["WARNING", "ERROR"]


def test_a_finding_says_in_which_variants() -> None:
    text = changed(MAP, ("hose: {name: hose, ", "hose: {name: hose, when: year >= 2022 and guard_bar, "))
    (finding,) = found_in(text)
    assert finding.variants == "only up to 2021; or without guard bar"


def test_the_nearest_id_is_named() -> None:
    (finding,) = found_in(changed(MAP, ("figure: axle_torque", "figure: axel_torque")))
    assert finding.values["meant"] == "“axle_torque” may be meant."
