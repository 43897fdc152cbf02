"""D1 to D20 and E1 to E7: a procedure with one fault in what it does gives its one finding, where it happens."""

from collections.abc import Callable

import pytest
from tests.sample_texts import JOB, MAP, add_step, changed, codes, found_in, without_step

from benchtrail.domain.checks.table import CHECKS

Make = Callable[[str], str]


def without(*steps: str) -> Make:
    def make(text: str) -> str:
        for step in steps:
            text = without_step(text, step)
        return text

    return make


def edit(*edits: tuple[str, str]) -> Make:
    return lambda text: changed(text, *edits)


def add(after: str, step: str, do: str, say: str = "Look.", more: str = "") -> Make:
    return lambda text: add_step(text, after, f"{step}\n    do: {do}\n    say: {say}\n{more}")


def both(*makes: Make) -> Make:
    def make(text: str) -> str:
        for one in makes:
            text = one(text)
        return text

    return make


NO_UNDO = edit(("- id: drain\n    do: [undo drain_plug, drain oil]", "- id: drain\n    do: drain oil"))
PLUG_OUT = add("bar-off", "plug-out", "undo drain_plug", "Undo the drain plug.")
LIMITS = "    limits: {check: flatness, at_most: flatness_limit, pass: Go on., fail: Stop., fail_needs: ask}\n"
WRENCH = "    tools: [wrench]\n"

# description → change of the procedure, what is found, step where it is found, variants in words
CASES: list[tuple[str, Make, tuple[str, str], str | None, str | None]] = [
    (
        "a joint undone before it can be reached",
        without("bar-off", "bar-on", "bar-tight"),
        ("D1", "not_reachable"),
        "screws-out",
        "only with guard bar",
    ),
    (
        "a check done before it can be reached",
        add("tray-on", "early", "measure flatness", "Measure the gap.", "    tools: [straight_edge]\n" + LIMITS),
        ("D1", "not_reachable"),
        "early",
        None,
    ),
    (
        "a drain that is shut",
        edit(
            ("do: [undo drain_plug, drain oil]", "do: drain oil"),
            ("- id: washer-off\n    do: remove drain_washer", "- id: washer-off\n    do: [undo drain_plug, remove drain_washer]"),
        ),
        ("D1", "drain_shut"),
        "drain",
        None,
    ),
    (
        "a part that cannot be hung",
        both(
            add("bar-off", "bar-hang", "hang axle", "Tie the axle up."), add("leaks", "axle-on", "fit axle", "Put the axle back.")
        ),
        ("D1", "cannot_hang"),
        "bar-hang",
        None,
    ),
    (
        "a part taken off while it is held",
        edit(("do: undo cover_screws", "do: inspect cover_screws")),
        ("D2", "held_by_joint"),
        "cover-off",
        None,
    ),
    (
        "a part taken off while its joint is only slack",
        edit(("do: undo cover_screws", "do: slacken cover_screws")),
        ("D2", "held_by_slack_joint"),
        "cover-off",
        None,
    ),
    (
        "an oil joint opened full and nothing below",
        both(without("tray-on", "tray-off"), NO_UNDO, PLUG_OUT),
        ("D4", "opened_full"),
        "plug-out",
        None,
    ),
    (
        "a pose before the fuel is off",
        both(
            edit(("start: [pose upright]", "start: [pose upright, set fuel on]")),
            add("tray-off", "over", "pose on_side", "Lay it on its side."),
            add("over", "up", "pose upright", "Lift it up."),
        ),
        ("D5", "pose_too_early"),
        "over",
        None,
    ),
    (
        "the fuel on while it lies on its side",
        both(
            add("tray-off", "over", "pose on_side", "Lay it on its side."),
            both(add("over", "fuel-on", "set fuel on"), both(add("fuel-on", "up", "pose upright", "Lift it up."),
                                                               add("up", "fuel-off", "set fuel off"))),
        ),
        ("D5", "pose_need_ended"),
        "fuel-on",
        None,
    ),
    ("the second stage without the first", without("stage-1"), ("D7", "stage_left_out"), "stage-2", None),
    ("a cover over a gasket that is off", without("gasket-new"), ("D8", "closed_over"), "cover-on", None),
    (
        "a part fitted behind one that is on",
        both(
            edit(("do: [renew cover_gasket, fit cover_gasket]", "do: renew cover_gasket")),
            edit(("do: [fit cover, start cover_screws]", "do: fit cover")),
            add("cover-on", "late", "[fit cover_gasket, start cover_screws]", "Put the gasket in."),
        ),
        ("D8", "closed_over"),
        "cover-on",
        None,
    ),
    (
        "a part put on that is on",
        edit(("do: [remove cover, remove cover_gasket]", "do: remove cover")),
        ("D8", "fitted_already"),
        "gasket-new",
        None,
    ),
    (
        "a gasket used again",
        edit(("do: [renew cover_gasket, fit cover_gasket]", "do: fit cover_gasket")),
        ("D11", "single_use_again"),
        "gasket-new",
        None,
    ),
    (
        "a washer left on and used again",
        both(without("washer-off", "washer-new")),
        ("D11", "single_use_again"),
        "plug-tight",
        None,
    ),
    (
        "screws tightened that were not turned in",
        edit(("do: [fit cover, start cover_screws]", "do: fit cover")),
        ("D12", "not_started"),
        "stage-1",
        None,
    ),
    (
        "oil filled in that was never drained",
        edit(("do: [undo drain_plug, drain oil]", "do: undo drain_plug")),
        ("D17", "filled_full"),
        "fill",
        None,
    ),
    ("screws turned in that were never undone", without("filler-open"), ("D17", "filler_shut"), "fill", None),
    (
        "bolts turned in that were never undone",
        add("leaks", "axle", "start axle_nut", "Turn the nut on."),
        ("D12", "started_made"),
        "axle",
        None,
    ),
    ("a washer that is missing", without("washer-new"), ("D12", "member_missing"), "plug-tight", None),
    ("screws without their locker", without("locker"), ("D16", "treatment_missing"), "cover-on", None),
    (
        "grease where locker belongs",
        both(edit(("do: apply locker to cover_screws", "do: [apply locker to cover_screws, apply grease to cover_screws]"))),
        ("D16", "treatment_other"),
        "locker",
        None,
    ),
    (
        "oil filled before the plug is tight",
        both(
            without("plug-tight"),
            add("fill", "plug-late", "[start drain_plug, tighten drain_plug]", "Tighten the drain plug to the figure.", WRENCH),
        ),
        ("D17", "filled_open"),
        "fill",
        None,
    ),
    ("a test that is left out", without("leaks"), ("D18", "follow_on_left_out"), "gasket-new", None),
    (
        "a run before the fluid is in",
        both(without("run"), add("tray-on", "early", "run warm_run", "Run the engine outdoors.", "    caution: exhaust\n")),
        ("D18", "follow_on_spoiled"),
        "fill",
        None,
    ),
    (
        "the same screw undone twice",
        add("screws-out", "again", "undo cover_screws", "Undo the cover screws."),
        ("D20", "changes_nothing"),
        "again",
        None,
    ),
    ("a tray taken away that was never there", without("tray-on"), ("D20", "changes_nothing"), "tray-off", None),
    ("a joint undone and never made", without("filler-shut"), ("E1", "left_joint_not_made"), "filler-open", None),
    (
        "bolts never tightened on machines with the bar",
        without("bar-tight"),
        ("E2", "left_joint_not_final"),
        "bar-on",
        "only with guard bar",
    ),
    ("the last stage left out", without("stage-2"), ("E2", "left_joint_not_final"), "stage-1", None),
    ("oil drained and not filled", without("fill"), ("E3", "left_fluid_not_filled"), "drain", None),
    ("oil filled and its level not read", without("level"), ("E3", "left_level_not_checked"), "fill", None),
    (
        "a part left in the tray",
        both(without("bar-on", "bar-tight")),
        ("E4", "left_part_not_on"),
        "bar-off",
        "only with guard bar",
    ),
    ("a tray left under the machine", without("tray-off"), ("E5", "left_aid_left"), "tray-on", None),
    (
        "a machine left in another pose",
        add("leaks", "down", "pose on_wheels", "Lower the machine."),
        ("E6", "left_pose_not_restored"),
        "down",
        None,
    ),
    (
        "a valve left open",
        add("tray-on", "open", "set fuel on", "Set the fuel valve to on."),
        ("E6", "left_setting_not_restored"),
        "open",
        None,
    ),
    (
        "a goal that nothing does",
        edit(("goal: [renewed cover_gasket]", "goal: [renewed cover_gasket, drained oil, undone axle_nut]")),
        ("E7", "goal_not_reached"),
        None,
        None,
    ),
]


@pytest.mark.parametrize(("make", "expected", "step", "variants"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_one_fault_on_the_way_gives_its_one_finding(
    make: Make, expected: tuple[str, str], step: str | None, variants: str | None
) -> None:
    findings = found_in(job_text=make(JOB))
    assert codes(findings) == {expected}, findings
    assert [(finding.where.step, finding.variants) for finding in findings] == [(step, variants)]
    assert findings[0].severity in CHECKS[findings[0].check]


STAGED = changed(MAP, ("stages: [{share: 50}, {share: 100}]", "stages: [{share: 50}, {share: 100, pose: on_wheels}]"))


def test_a_last_stage_in_another_pose_is_found() -> None:
    assert codes(found_in(STAGED)) == {("D15", "stage_in_other_pose")}
    wheels = add("stage-1", "down", "pose on_wheels", "Lower the machine.")(JOB)
    assert found_in(STAGED, add("stage-2", "up", "pose upright", "Lift the machine.")(wheels)) == []


def test_a_dry_pose_lets_a_full_joint_be_opened() -> None:
    bare = both(without("tray-on", "tray-off"), NO_UNDO, PLUG_OUT)(JOB)
    assert codes(found_in(job_text=bare)) == {("D4", "opened_full")}
    dry = changed(MAP, ("holds: [oil], figure: drain_torque", "holds: [oil], dry_in: [upright], figure: drain_torque"))
    assert found_in(dry, bare) == []


@pytest.mark.parametrize(("hazards", "severity"), [("[skin]", "ERROR"), ("[hot, skin]", "BLOCK")])
def test_what_runs_out_hot_blocks(hazards: str, severity: str) -> None:
    bare = both(without("tray-on", "tray-off"), NO_UNDO, PLUG_OUT)(JOB)
    (finding,) = found_in(changed(MAP, ("hazards: [skin]", f"hazards: {hazards}")), bare)
    assert (finding.check, finding.severity.name) == ("D4", severity)


def test_what_concerns_safety_blocks() -> None:
    job = changed(JOB, ("safety: [normal]", "safety: [normal, wheels]"))
    job = add("leaks", "axle", "slacken axle_nut", "Slacken the axle nut.")(job)
    (finding,) = found_in(job_text=job)
    assert (finding.check, finding.severity.name, finding.where.step) == ("E2", "BLOCK", "axle")


def test_hanging_aside_needs_its_own_condition() -> None:
    aside = add("bar-off", "hose-aside", "hang hose", "Tie the hose up.")(JOB)
    back = add("leaks", "hose-back", "fit hose", "Put the hose back.")(aside)
    assert codes(found_in(job_text=back)) == {("D1", "not_reachable")}
    undone = changed(
        back, ("do: hang hose", "do: [undo hose_clip, hang hose]"), ("do: fit hose", "do: [fit hose, tighten hose_clip]")
    )
    assert found_in(job_text=undone) == []


def test_a_part_fitted_through_a_way_that_is_shut_is_found() -> None:
    machine = changed(MAP, ("hose: {name: hose, ", "hose: {name: hose, exit: [[set fuel off]], "))
    job = both(
        add("bar-off", "hose-off", "[undo hose_clip, remove hose]", "Pull the hose off."),
        add("hose-off", "fuel-on", "set fuel on", "Set the fuel valve to on."),
        add("fuel-on", "hose-on", "[fit hose, tighten hose_clip]", "Push the hose on."),
        add("hose-on", "fuel-off", "set fuel off", "Set the fuel valve to off."),
    )(JOB)
    assert {(finding.code, finding.where.step) for finding in found_in(machine, job)} == {("fit_blocked", "hose-on")}


def test_a_unit_left_off_is_one_finding() -> None:
    job = changed(JOB, ("safety: [normal]", "safety: [normal, wheels]"))
    job = add("bar-off", "wheel-off", "[undo axle_nut, remove wheel_with_axle]", "Undo the axle nut. Lift the wheel out.")(job)
    (finding,) = found_in(job_text=job)
    assert (finding.code, finding.values["object"]) == ("left_part_not_on", "“wheel with its axle” (wheel_with_axle)")


BENCH_MAP = changed(
    MAP,
    ("  hose: {name: hose, ", "  seal: {name: seal, renew: always}\n  hose: {name: hose, "),
    ("parts: [wheel, axle]}", "parts: [wheel, axle, seal]}"),
    (
        "  hose_clip: {",
        "  seat: {name: seal seat, joins: [seal, wheel], kind: press, tools: [hand], positions: [{at: [0, 0]}], hand: in}\n  hose_clip: {",
    ),
)
BENCH = both(
    edit(("safety: [normal]", "safety: [normal, wheels]")),
    add("bar-off", "wheel-off", "[undo axle_nut, remove wheel_with_axle]", "Undo the axle nut. Lift the wheel out."),
    add("wheel-off", "seal-out", "[undo seat, remove seal]", "Pull the seal out."),
    add("seal-out", "seal-in", "[renew seal, fit seal]", "Take the new seal."),
    add("seal-in", "seal-home", "tighten seat", "Press the seal in."),
    add("seal-home", "wheel-on", "[fit wheel_with_axle, start axle_nut]", "Lift the wheel in."),
    add("wheel-on", "nut", "tighten axle_nut", "Tighten the axle nut to the figure.", "    tools: [big_wrench]\n"),
)


def test_work_on_the_bench_is_no_fault() -> None:
    assert found_in(BENCH_MAP, BENCH(JOB)) == []


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("seal-in", {("D12", "member_missing")}),
        ("seal-home", {("E2", "left_joint_not_final"), ("E1", "left_joint_not_made")}),
    ],
)
def test_what_is_left_out_on_the_bench_is_found(step: str, expected: set[tuple[str, str]]) -> None:
    found = codes(found_in(BENCH_MAP, without_step(BENCH(JOB), step)))
    assert found
    assert found <= expected


def test_a_part_off_inside_the_machine_counts_once_in_every_variant() -> None:
    text = without("gasket-new")(JOB)
    (finding,) = found_in(job_text=text)
    assert finding.variants is None
