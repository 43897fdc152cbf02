"""D3, D5, D6, D9, D10, D16, D19: a text with one such fault gives its one finding, and a clean one none."""

import pytest
from tests.domain.checks.test_played_checks import Make, add, both, edit
from tests.sample_texts import JOB, MAP, changed, codes, found_in, without_step

from benchtrail.domain.findings import Finding

BIG_WRENCH = "    tools: [big_wrench]\n"
WHEELS = edit(("safety: [normal]", "safety: [normal, wheels]"))
WHEEL_MAP = changed(
    MAP,
    ("wheel: {name: wheel, safety: wheels, hold: true}", "wheel: {name: wheel, safety: wheels, hold: true, exit: [[out axle]]}"),
    ("  strap: {", "  block: {name: block, carries: [wheel]}\n  strap: {"),
)
WHEEL = both(
    WHEELS,
    add("bar-off", "block-on", "aid on block", "Put the block under the wheel."),
    add("block-on", "nut-off", "undo axle_nut", "Undo the axle nut."),
    add("nut-off", "axle-out", "remove axle", "Pull the axle out."),
    add("axle-out", "wheel-look", "inspect wheel", "Look at the wheel."),
    add("wheel-look", "wheel-off", "remove wheel", "Lift the wheel out."),
    add("wheel-off", "wheel-on", "fit wheel", "Lift the wheel in."),
    add("wheel-on", "axle-in", "fit axle", "Push the axle in."),
    add("axle-in", "nut-on", "[start axle_nut, tighten axle_nut]", "Turn the nut in. Tighten it to the figure.", BIG_WRENCH),
    add("nut-on", "block-off", "aid off block", "Take the block away."),
)


def only(findings: list[Finding]) -> tuple[str, str, str, str | None]:
    """(check, code, severity, step) of the one finding."""
    assert len(findings) == 1, findings
    return findings[0].check, findings[0].code, findings[0].severity.name, findings[0].where.step


def with_isolation(energy: str, during: str, needs: str) -> str:
    return MAP + f"isolations:\n  safe: {{energy: {energy}, during: [{during}], needs: [[{needs}]], reason: It strikes.}}\n"


@pytest.mark.parametrize("energy", ["weight", "spring", "pressure"])
def test_what_is_let_go_under_load_blocks(energy: str) -> None:
    machine = with_isolation(energy, "undo cover_screws", "set fuel on")
    assert only(found_in(machine)) == ("D3", "under_load", "BLOCK", "screws-out")
    opened = both(add("filler-open", "fuel-on", "set fuel on", "Set the fuel valve to on."),
                  add("leaks", "fuel-off", "set fuel off", "Set the fuel valve to off."))(JOB)
    assert found_in(machine, opened) == []


@pytest.mark.parametrize("energy", ["heat", "electric", "motion", "fuel"])
def test_what_is_done_live_or_hot_blocks(energy: str) -> None:
    machine = with_isolation(energy, "undo cover_screws", "set fuel on")
    assert only(found_in(machine)) == ("D6", "done_live", "BLOCK", "screws-out")


def test_an_isolation_of_a_verb_holds_for_every_object_and_is_told_once() -> None:
    machine = with_isolation("motion", "undo, remove", "aid strap")
    found = found_in(machine)
    assert {(finding.check, finding.code) for finding in found} == {("D6", "done_live")}
    # the first act is another with the guard bar than without
    assert [(finding.where.step, finding.variants) for finding in found] == [
        ("bar-off", "only with guard bar"), ("drain", "only without guard bar")]
    job = both(edit(("    say: Put the oil tray under the drain plug.\n", "    say: Put the oil tray under the drain plug.\n"
                     "  - id: strap-on\n    do: aid on strap\n    say: Pull the lever in. Strap it.\n")),
               add("leaks", "strap-off", "aid off strap", "Take the strap off."))(JOB)
    assert found_in(machine, job) == []


def test_a_pose_that_nobody_has_said_is_not_taken_as_safe() -> None:
    machine = changed(with_isolation("heat", "undo cover_screws", "pose cold"),
                      ("  on_side: {", "  cold: {name: engine cold, family: heat}\n  on_side: {"))
    assert only(found_in(machine))[:2] == ("D6", "done_live")
    assert found_in(machine, changed(JOB, ("start: [pose upright]", "start: [pose upright, pose cold]"))) == []


def test_a_setting_left_live_is_one_finding_although_it_is_wrong_at_the_end_as_well() -> None:
    machine = with_isolation("electric", "undo cover_screws", "set fuel off")
    on = add("filler-open", "fuel-on", "set fuel on", "Set the fuel valve to on.")(JOB)
    assert only(found_in(machine, on)) == ("D6", "done_live", "BLOCK", "screws-out")


def test_a_heavy_part_is_carried() -> None:
    assert found_in(WHEEL_MAP, WHEEL(JOB)) == []
    assert only(found_in(WHEEL_MAP, without_step(without_step(WHEEL(JOB), "block-on"), "block-off"))) == (
        "D3", "not_carried", "BLOCK", "axle-out")


def test_a_heavy_part_taken_in_hand_at_once_needs_no_carrier() -> None:
    at_once = without_step(without_step(without_step(WHEEL(JOB), "block-on"), "block-off"), "wheel-look")
    assert found_in(WHEEL_MAP, at_once) == []


def test_the_carrier_stays_under_a_loose_part() -> None:
    early = add("axle-out", "block-away", "aid off block", "Take the block away.")(without_step(WHEEL(JOB), "block-off"))
    assert only(found_in(WHEEL_MAP, early)) == ("D3", "not_carried", "BLOCK", "block-away")


def test_what_hangs_aside_hangs_on_something() -> None:
    machine = changed(MAP, ("hose: {name: hose, ", "hose: {name: hose, hold: true, "),
                      ("  strap: {", "  hook: {name: hook, carries: [hose]}\n  strap: {"))
    job = both(add("bar-off", "hose-aside", "[undo hose_clip, hang hose]", "Pull the hose off. Tie it up."),
               add("hose-aside", "hose-on", "[fit hose, tighten hose_clip]", "Push the hose on."))(JOB)
    assert only(found_in(machine, job)) == ("D3", "not_carried", "BLOCK", "hose-aside")
    hooked = both(add("hose-aside", "hook-on", "aid on hook", "Hang it on the hook."),
                  add("hose-on", "hook-off", "aid off hook", "Take the hook off."))(job)
    assert found_in(machine, hooked) == []


def test_only_an_aid_that_catches_this_fluid_counts() -> None:
    machine = changed(MAP, ("catches: [oil]", "catches: []"))
    # the drain itself is in the step that drains; a joint opened beside it is not
    early = both(edit(("do: [undo drain_plug, drain oil]", "do: drain oil")),
                 add("bar-off", "plug-out", "undo drain_plug", "Undo the drain plug."))(JOB)
    assert only(found_in(machine, early)) == ("D4", "opened_full", "ERROR", "plug-out")
    assert found_in(MAP, early) == []


def test_a_pose_in_which_an_open_joint_runs_out_is_found() -> None:
    machine = changed(MAP, ("    holds: [oil]\n    figure: cover", "    holds: [oil]\n    dry_in: [on_side]\n    figure: cover"))
    dry = changed(JOB, ("    do: [undo drain_plug, drain oil]\n", "    do: pose on_side\n"))
    for step in ("tray-on", "tray-off", "washer-off", "filler-open", "washer-new", "plug-tight", "fill", "filler-shut"):
        dry = without_step(dry, step)
    dry = add("stage-2", "up", "pose upright", "Lift the machine.")(dry)
    assert found_in(machine, dry) == []
    early = add("cover-off", "up-too-early", "pose upright", "Lift the machine.")(dry)
    assert {("D5", "pose_spills")} == codes(found_in(machine, early))


def test_a_part_that_can_sit_wrongly_needs_its_look_for() -> None:
    bare = changed(JOB, ("    say: Put the cover on. Turn all three cover screws in by hand.\n    look_for: The lug points up.\n",
                         "    say: Put the cover on. Turn all three cover screws in by hand.\n"))
    assert only(found_in(job_text=bare)) == ("D9", "look_for_missing", "WARNING", "cover-on")


KEPT = changed(MAP, ("hose: {name: hose, ", "hose: {name: hose, own_place: true, "))
TAKEN: Make = both(add("bar-off", "hose-off", "[undo hose_clip, remove hose]", "Pull the hose off."),
                   add("hose-off", "hose-on", "[fit hose, tighten hose_clip]", "Push the hose on."))


def test_parts_with_places_of_their_own_are_told_apart() -> None:
    assert only(found_in(KEPT, TAKEN(JOB))) == ("D9", "places_not_kept", "ERROR", "hose-off")
    photo = add("hose-off", "photo", "photograph \"the hoses\"", "Photograph the hoses.")(TAKEN(JOB))
    assert found_in(KEPT, photo) == []
    off = "    say: Pull the hose off.\n"
    said = changed(TAKEN(JOB), (off, f"{off}    look_for: The long one lies at the left.\n"))
    assert found_in(KEPT, said) == []
    renewed = changed(TAKEN(JOB), ("do: [fit hose, tighten hose_clip]", "do: [renew hose, fit hose, tighten hose_clip]"))
    assert codes(found_in(KEPT, renewed)) <= {("S8", "actions_too_many")}


SCREWS = "    say: Undo the three cover screws.\n"


@pytest.mark.parametrize(("words", "expected"), [
    ("Screw 3 is 40 mm long, the other two are 25 mm long.", None),
    ("Screw 3 is 25 mm long.", ("ERROR", "25 mm", "3")),
    ("Screw 1 is 40 mm long.", ("BLOCK", "40 mm", "1")),
    ("The screws are 30 mm long.", ("ERROR", "30 mm", "1")),
    ("The screws are 60 mm long.", ("BLOCK", "60 mm", "1")),
    ("Hold the screws with the 8 mm socket.", None),
    ("Lift the cover by 60 mm.", None),
])
def test_lengths_in_words_are_those_of_the_positions(words: str, expected: tuple[str, str, str] | None) -> None:
    found = found_in(job_text=changed(JOB, (SCREWS, f"{SCREWS}    detail: {words}\n")))
    if expected is None:
        assert found == []
        return
    (finding,) = found
    assert (finding.check, finding.code, finding.where.step) == ("D10", "other_length", "screws-out")
    assert (finding.severity.name, finding.values["said"], finding.values["place"]) == expected


def test_a_blind_hole_blocks_as_a_wet_one_does() -> None:
    words = "    say: Undo both bar bolts. Lift the guard bar off.\n"
    job = changed(JOB, (words, f"{words}    detail: The bolts are 35 mm long.\n"))
    assert only(found_in(job_text=job)) == ("D10", "other_length", "ERROR", "bar-off")
    blind = changed(MAP, ("positions: [{at: [0, 0], length_mm: 20}, ", "positions: [{at: [0, 0], length_mm: 20, blind: true}, "))
    (finding,) = found_in(blind, job)
    assert (finding.severity.name, finding.variants) == ("BLOCK", "only with guard bar")


def test_another_thread_in_words_is_found() -> None:
    assert only(found_in(job_text=changed(JOB, (SCREWS, f"{SCREWS}    detail: They are M8 screws.\n")))) == (
        "D10", "other_thread", "ERROR", "screws-out")
    assert found_in(job_text=changed(JOB, (SCREWS, f"{SCREWS}    detail: They are M6 screws.\n"))) == []


GREASED = changed(MAP, ("hose: {name: hose, ", "hose: {name: hose, treatment: {kind: grease, supply: grease}, "))


def test_a_part_goes_in_with_what_belongs_on_it() -> None:
    assert only(found_in(GREASED, TAKEN(JOB))) == ("D16", "part_untreated", "ERROR", "hose-on")
    greased = add("hose-off", "grease", "apply grease to hose", "Grease the hose.")(TAKEN(JOB))
    assert found_in(GREASED, greased) == []
    cleaned = add("grease", "wipe", "clean hose", "Clean the hose.")(greased)
    assert only(found_in(GREASED, cleaned)) == ("D16", "part_untreated", "ERROR", "hose-on")


def test_what_is_due_by_the_end_may_come_late_but_must_come() -> None:
    due = changed(GREASED, ("supply: grease}", "supply: grease, due: end}"))
    assert only(found_in(due, TAKEN(JOB)))[:3] == ("D16", "part_untreated_at_end", "ERROR")
    assert found_in(due, add("leaks", "grease", "apply grease to hose", "Grease the hose.")(TAKEN(JOB))) == []


def test_oil_or_grease_where_the_map_has_none_is_found() -> None:
    greasy = add("hose-off", "grease", "apply grease to hose", "Grease the hose.")(TAKEN(JOB))
    assert only(found_in(job_text=greasy)) == ("D16", "treatment_other", "ERROR", "grease")


def test_time_that_a_sealant_may_lie_open_and_must_rest_counts() -> None:
    timed = "treatment: {kind: locker, supply: locker, open_min: 10, cure_min: 30}"
    machine = changed(MAP, ("treatment: {kind: locker, supply: locker}", timed))
    (short,) = found_in(machine)
    assert (short.check, short.code, short.where.step) == ("D16", "cure_time_short", "fill")
    rested = add("stage-2", "rest", "wait 30 min", "Wait 30 minutes.")(JOB)
    assert found_in(machine, rested) == []
    late = add("locker", "pause", "wait 15 min", "Wait 15 minutes.")(rested)
    assert {finding.code for finding in found_in(machine, late)} == {"open_time_over"}


OPEN = changed(MAP, ("  cover: {name: cover, ", "  cover: {name: cover, leaves_open: the case, "),
               ("  strap: {", "  cloth: {name: cloth, covers: [cover]}\n  strap: {"))


def test_an_opening_that_is_worked_through_is_not_left_open() -> None:
    assert found_in(OPEN) == []


@pytest.mark.parametrize("do", ["note", "inspect wheel", "wait 12 min"])
def test_an_opening_left_without_cover_is_found(do: str) -> None:
    job, last = JOB, "cover-off"
    for n in range(1 if do.startswith("wait") else 5):
        job, last = add(last, f"look-{n}", do, "Look.")(job), f"look-{n}"
    assert only(found_in(OPEN, job)) == ("D19", "left_open", "WARNING", "cover-off")
    covered = both(add("cover-off", "cloth-on", "aid on cloth", "Cover the case."),
                   add(last, "cloth-off", "aid off cloth", "Take it off."))
    assert found_in(OPEN, covered(job)) == []


CLIP = "kind: clip, tools: [hand], positions: [{at: [0, 0]}], hand: clicks"


def test_a_part_inside_a_unit_is_not_taken_for_off() -> None:
    machine = changed(MAP, ("  wheel: {name: wheel, safety: wheels, hold: true}",
                            "  wheel: {name: wheel, safety: wheels}\n  cap: {name: cap}\n  spring: {name: spring, exit: [[out cap]]}"),
                      ("parts: [wheel, axle]}", "parts: [wheel, axle, cap, spring]}"),
                      ("  hose_clip: {", "".join(f"  {name}_clip: {{name: {name} clip, joins: [{name}, wheel], {CLIP}}}\n"
                                                 for name in ("cap", "spring")) + "  hose_clip: {"))
    whole = both(WHEELS, add("bar-off", "unit-off", "[undo axle_nut, remove wheel_with_axle]", "Undo the axle nut. Lift the wheel out."),
                 add("unit-off", "cap-off", "[undo cap_clip, remove cap]", "Take the cap off."),
                 add("cap-off", "spring-off", "[undo spring_clip, remove spring]", "Take the spring out."),
                 add("spring-off", "spring-on", "[fit spring, tighten spring_clip]", "Put the spring in."),
                 add("spring-on", "cap-on", "[fit cap, tighten cap_clip]", "Put the cap on."),
                 add("cap-on", "unit-on", "[fit wheel_with_axle, start axle_nut]", "Lift the wheel in."),
                 add("unit-on", "nut", "tighten axle_nut", "Tighten the axle nut to the figure.", BIG_WRENCH))(JOB)
    assert found_in(machine, whole) == []
    cap_on = changed(whole, ("do: [undo cap_clip, remove cap]", "do: undo cap_clip"))
    assert ("D1", "not_reachable") in codes(found_in(machine, cap_on))
    spring_in = changed(whole, ("do: [undo spring_clip, remove spring]", "do: undo spring_clip"))
    assert codes(found_in(machine, spring_in)) == {("D8", "fitted_already")}


def test_a_stage_tightened_again_is_noted() -> None:
    say = "Tighten the cover screws to half the figure."
    again = add("stage-1", "again", "tighten cover_screws stage 1", say, "    tools: [wrench]\n")(JOB)
    assert only(found_in(job_text=again)) == ("D20", "changes_nothing", "NOTE", "again")


def test_a_fluid_filled_in_twice_is_found() -> None:
    twice = both(edit(("do: fill oil 900 ml", "do: fill oil")), add("fill", "again", "fill oil", "Fill new oil in."))(JOB)
    assert only(found_in(job_text=twice)) == ("D17", "filled_twice", "ERROR", "again")


def test_an_amount_in_words_is_held_to_the_map_when_the_action_has_none() -> None:
    silent = changed(JOB, ("do: fill oil 900 ml", "do: fill oil"))
    assert found_in(job_text=silent) == []
    litres = changed(silent, ("Fill 900 ml of new oil in.", "Fill 900 l of new oil in."))
    assert only(found_in(job_text=litres)) == ("S4", "words_other_amount", "ERROR", "fill")


HELD = changed(MAP, ("figure: flatness_limit, reach", "figure: flatness_limit, tools: [straight_edge], at_most: flatness_limit, reach"),
               ("  flatness_limit: {", "  other_limit: {kind: length, as_published: \"0.5 mm\", condition: dry face, "
                "source: \"Sheet 6 (invented)\"}\n  flatness_limit: {"))


def test_a_reading_is_held_to_the_limits_of_the_map() -> None:
    assert found_in(HELD) == []
    other = changed(JOB, ("at_most: flatness_limit", "at_most: other_limit"))
    assert only(found_in(HELD, other)) == ("D14", "limit_of_other_figure", "ERROR", "flatness")
    below = changed(JOB, ("at_most: flatness_limit", "at_least: flatness_limit"))
    assert ("D14", "limit_of_other_figure") in codes(found_in(HELD, below))


def test_a_measurement_uses_an_instrument_of_the_map() -> None:
    wrong = changed(JOB, ("    tools: [straight_edge]\n", "    tools: [gloves]\n"), ("prepare: {tools: [gloves]", "prepare: {tools: none"))
    assert only(found_in(HELD, wrong)) == ("S2", "instrument_of_other_check", "ERROR", "flatness")


@pytest.mark.parametrize(("words", "found"), [("Wait ten minutes.", 0), ("Wait 10 minutes.", 0), ("Wait 600 seconds.", 0), ("Wait.", 0),
                                              ("Wait ten hours.", 1), ("Wait 20 minutes.", 1)])
def test_a_wait_in_words_is_the_wait_that_is_done(words: str, found: int) -> None:
    job = add("cover-on", "rest", "wait 10 min", words)(JOB)
    assert [finding.code for finding in found_in(job_text=job) if finding.check == "S4"] == ["words_other_time"] * found


def test_the_time_of_a_run_in_words_is_that_of_the_map() -> None:
    machine = changed(MAP, ("warm_run: {name: warm run, kind: run}", "warm_run: {name: warm run, kind: run, figure: run_time}"),
                      ("  flatness_limit: {", "  run_time: {kind: time, as_published: \"3 min\", condition: idle, "
                       "source: \"Sheet 7 (invented)\"}\n  flatness_limit: {"))
    assert found_in(machine) == []
    longer = changed(JOB, ("Run it three minutes.", "Run it thirty minutes."))
    assert only(found_in(machine, longer)) == ("S4", "words_other_time", "ERROR", "run")


def test_the_other_fasteners_are_counted() -> None:
    right = changed(JOB, (SCREWS, f"{SCREWS}    detail: Screw 3 is 40 mm long, the other two are 25 mm long.\n"))
    assert found_in(job_text=right) == []
    wrong = changed(JOB, (SCREWS, f"{SCREWS}    detail: Screw 3 is 40 mm long, the other two are 40 mm long.\n"))
    assert ("D10", "other_length") in codes(found_in(job_text=wrong))
