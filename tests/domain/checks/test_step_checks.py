"""S1 to S10, D13, D14 and M1, M2 of a procedure: one fault in the text gives its one finding."""

import pytest
from tests.sample_texts import JOB, MAP, add_step, beside, changed, codes, found_anywhere, found_in, without_step

from benchtrail.domain.checks.steps_language import is_instruction
from benchtrail.domain.checks.table import CHECKS
from benchtrail.domain.findings import Finding

Edit = tuple[str, str]

# description → edits of the procedure, what is found, the step (None: the head) in which it is found
CASES: list[tuple[str, list[Edit], tuple[str, str], str | None]] = [
    ("a tool that is not there", [("tools: [straight_edge]", "tools: [straight_ege]")], ("M1", "reference_unknown"), "flatness"),
    (
        "an action on a joint that is not there",
        [("do: undo cover_screws", "do: undo cover_screw")],
        ("M1", "reference_unknown"),
        "screws-out",
    ),
    (
        "an action on a part where a joint must stand",
        [("do: clean cover_screws", "do: clean oil")],
        ("M1", "reference_unknown"),
        "clean",
    ),
    (
        "a goal that is not there",
        [("goal: [renewed cover_gasket]", "goal: [renewed cover_gaskets]")],
        ("M1", "reference_unknown"),
        None,
    ),
    (
        "a step for machines without the part",
        [
            beside(
                "Tighten both bar bolts to the figure.", "tools: [wrench]", instead="    tools: [wrench]\n    when: guard_bar\n"
            )
        ],
        ("M1", "reference_absent"),
        "bar-tight",
    ),
    ("a test that is a level", [("do: level oil_level", "do: test oil_level")], ("M1", "check_of_other_kind"), "level"),
    ("a stage too many", [("tighten cover_screws stage 2", "tighten cover_screws stage 3")], ("M1", "stage_unknown"), "stage-2"),
    (
        "a value that the setting has not",
        [("start: [pose upright]", "start: [pose upright, set fuel shut]")],
        ("M1", "setting_value_unknown"),
        None,
    ),
    ("a step with an unknown option", [beside("Read the oil level.", "when: guard_ber")], ("M1", "option_unknown"), "level"),
    (
        "a step for a year before the model",
        [beside("Look along the gasket.", "when: year >= 1998")],
        ("S1", "guard_year_outside"),
        "leaks",
    ),
    (
        "a step for no machine",
        [beside("Clean the cover screws.", "when: guard_bar and not guard_bar")],
        ("M2", "guard_never"),
        "clean",
    ),
    ("applies is missing", [("applies: all\n", "")], ("S1", "key_missing"), None),
    ("applies to no machine", [("applies: all", "applies: year >= 2023 and year <= 2022")], ("S1", "applies_to_none"), None),
    (
        "a safety class that the head does not name",
        [
            ("do: test oil_leaks", "do: [slacken axle_nut, tighten axle_nut]"),
            ("say: Look along the gasket.", "say: Slacken the axle nut. Tighten it to the figure.\n    tools: [big_wrench]"),
            ("do: run warm_run", "do: [run warm_run, test oil_leaks]"),
        ],
        ("S1", "safety_not_named"),
        None,
    ),
    (
        "no torque wrench for a figure",
        [beside("Tighten the cover screws to the figure.", instead="    tools: [wrench]\n")],
        ("S2", "torque_wrench_missing"),
        "stage-2",
    ),
    ("a measurement without a tool", [("    tools: [straight_edge]\n", "")], ("S2", "measuring_tool_missing"), "flatness"),
    (
        "a torque wrench that does not read the figure",
        [beside("Tighten the cover screws to the figure.", "tools: [big_wrench]", instead="    tools: [wrench]\n")],
        ("D13", "torque_wrench_range"),
        "stage-2",
    ),
    ("an empty list that does not say none", [("supplies: none}", "supplies: []}")], ("S3", "empty_not_none"), None),
    (
        "a list that is missing",
        [("prepare: {tools: [gloves], supplies: none}", "prepare: {tools: [gloves]}")],
        ("R", "key_missing"),
        None,
    ),
    ("a tool listed that a step needs anyway", [("tools: [gloves]", "tools: [gloves, wrench]")], ("S3", "listed_already"), None),
    (
        "an amount that the map does not know",
        [("do: fill oil 900 ml", "do: fill oil 700 ml"), ("Fill 900 ml", "Fill 700 ml")],
        ("S4", "amount_differs"),
        "fill",
    ),
    ("words with another amount", [("Fill 900 ml", "Fill 0.8 l")], ("S4", "words_other_amount"), "fill"),
    (
        "words with another number of screws",
        [("Undo the three cover screws", "Undo the four cover screws")],
        ("S4", "words_other_count"),
        "screws-out",
    ),
    ("a hazard without its message", [("    caution: used_oil\n", "")], ("S5", "caution_missing"), "drain"),
    (
        "a message after the act",
        [("    caution: used_oil\n", ""), beside("Undo the filler plug.", "caution: used_oil")],
        ("S7", "caution_misplaced"),
        "drain",
    ),
    (
        "a message three steps ahead",
        [("    caution: exhaust\n", ""), beside("Fill 900 ml of new oil in.", "caution: exhaust")],
        ("S7", "caution_misplaced"),
        "run",
    ),
    (
        "an inline message without avoidance",
        [beside("Read the oil level.", "caution: {signal: CAUTION, hazard: It is hot., consequence: It burns skin.}")],
        ("S7", "caution_without_avoidance"),
        "level",
    ),
    (
        "an inline NOTICE for an injury",
        [
            beside(
                "Read the oil level.",
                "caution: {signal: NOTICE, hazard: It is hot., consequence: It burns skin., avoidance: Wait.}",
            )
        ],
        ("S6", "signal_too_weak"),
        "level",
    ),
    (
        "a sentence of 21 words",
        [
            (
                "Read the oil level.",
                "Read the oil level in the small round sight glass on the right side of the engine below the silver filler plug.",
            )
        ],
        ("S8", "sentence_too_long"),
        "level",
    ),
    (
        "four sentences",
        [("Read the oil level.", "Read the oil level. Wait. Look. Read it.")],
        ("S8", "sentences_too_many"),
        "level",
    ),
    ("no instruction", [("Read the oil level.", "The oil level is read.")], ("S8", "no_instruction"), "level"),
    ("a vague word", [("Read the oil level.", "Read the oil level properly.")], ("S8", "vague_word"), "level"),
    (
        "three actions in a step",
        [("do: level oil_level", "do: [wait 3 min, level oil_level, note]")],
        ("S8", "actions_too_many"),
        "level",
    ),
    (
        "the reverse of the removal",
        [("Look along the gasket.", "Fit the rest in reverse order.")],
        ("S9", "reverse_of_removal"),
        "leaks",
    ),
    (
        "a decision without a criterion",
        [("Look along the gasket.", "Renew the gasket if necessary.")],
        ("S10", "undecided"),
        "leaks",
    ),
    (
        "a measurement without limits",
        [
            (
                "    limits: {check: flatness, at_most: flatness_limit, pass: Go on., fail: Renew the cover., fail_needs: renew}\n",
                "",
            )
        ],
        ("S10", "measure_without_limits"),
        "flatness",
    ),
    ("limits without a bad outcome", [(" fail: Renew the cover.,", "")], ("S10", "key_missing"), "flatness"),
    ("limits without a bound", [(" at_most: flatness_limit,", "")], ("S10", "limits_without_bound"), "flatness"),
    (
        "limits of another check",
        [("limits: {check: flatness,", "limits: {check: oil_leaks,")],
        ("S10", "limits_of_other_check"),
        "flatness",
    ),
    (
        "limits of another kind",
        [("at_most: flatness_limit", "at_most: cover_torque")],
        ("S10", "limits_of_two_kinds"),
        "flatness",
    ),
    (
        "limits the wrong way round",
        [("at_most: flatness_limit", "at_most: flatness_limit, at_least: flatness_limit")],
        ("S10", "limits_backwards"),
        "flatness",
    ),
    ("a step id used twice", [("- id: level\n", "- id: leaks\n")], ("S10", "step_twice"), "leaks"),
    (
        "the figure of another joint",
        [beside("Tighten both bar bolts to the figure.", "figure: cover_torque")],
        ("D14", "figure_of_other_joint"),
        "bar-tight",
    ),
    (
        "words with another figure",
        [("Tighten both bar bolts to the figure.", "Tighten both bar bolts to 26 N·m.")],
        ("D14", "words_other_figure"),
        "bar-tight",
    ),
]


def explained(findings: list[Finding], expected: tuple[str, str]) -> bool:
    """Exactly the one expected finding."""
    return codes(findings) == {expected} and len(findings) == 1


@pytest.mark.parametrize(("edits", "expected", "step"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_one_fault_in_a_procedure_gives_its_one_finding(edits: list[Edit], expected: tuple[str, str], step: str | None) -> None:
    findings = found_in(job_text=changed(JOB, *edits))
    assert explained(findings, expected), findings
    assert findings[0].where.step == step
    assert expected[0] == "R" or findings[0].severity in CHECKS[findings[0].check]


def test_a_slip_in_an_id_does_not_hide_what_comes_after() -> None:
    text = without_step(changed(JOB, ("do: undo cover_screws", "do: undo cover_scews")), "tray-off")
    assert codes(found_in(job_text=text)) == {("M1", "reference_unknown"), ("E5", "left_aid_left")}


def test_an_action_that_cannot_be_read_is_the_only_finding() -> None:
    text = changed(JOB, ("do: undo filler_plug", "do: unscrew filler_plug"))
    findings = found_in(job_text=text)
    assert explained(findings, ("R", "action_verb_unknown"))


def test_a_figure_in_words_that_agrees_is_no_finding() -> None:
    assert (
        found_in(job_text=changed(JOB, ("Tighten both bar bolts to the figure.", "Tighten both bar bolts to 15 lbf·ft."))) == []
    )


def test_a_fill_without_amount_needs_one_in_the_map() -> None:
    job = changed(JOB, ("do: fill oil 900 ml", "do: fill oil"))
    assert found_in(job_text=job) == []
    bare = changed(MAP, ("capacity_ml: 1000, refill_ml: 900, ", ""))
    assert codes(found_in(bare, job)) == {("M8", "fluid_incomplete"), ("S4", "amount_unknown")}


def test_a_drained_fluid_needs_words_on_where_it_goes() -> None:
    job = changed(JOB, ("disposal: Take the oil to a collecting point.\n", ""))
    assert found_in(job_text=job) == []
    silent = changed(MAP, (", disposal: Take it to a collecting point.", ""))
    assert codes(found_in(silent, job)) == {("S3", "disposal_missing")}


def test_the_message_may_stand_on_the_step_before() -> None:
    text = changed(JOB, ("    caution: exhaust\n", ""), beside("Take the oil tray away.", "caution: exhaust"))
    assert found_in(job_text=text) == []


def test_a_trigger_with_a_value_means_only_that_value() -> None:
    machine = changed(MAP, ("triggers: [drain oil]", "triggers: [drain oil, set fuel on]"))
    off = add_step(JOB, "tray-on", "fuel-off\n    do: set fuel off\n    say: Set the fuel valve to off.\n")
    on = add_step(off, "run", "fuel-on\n    do: set fuel on\n    say: Set the fuel valve to on.\n")
    again = add_step(on, "leaks", "fuel-off-again\n    do: set fuel off\n    say: Set the fuel valve to off.\n")
    assert found_in(machine, off) == []
    assert {(finding.code, finding.where.step) for finding in found_in(machine, again)} == {("caution_missing", "fuel-on")}


def test_a_safety_figure_that_differs_blocks() -> None:
    job = changed(JOB, ("safety: [normal]", "safety: [normal, wheels]"))
    job = add_step(job, "leaks", "nut-slack\n    do: slacken axle_nut\n    say: Slacken the axle nut.\n")
    job = add_step(
        job, "nut-slack", "nut\n    do: tighten axle_nut\n    say: Tighten the axle nut to 60 N·m.\n    tools: [big_wrench]\n"
    )
    (finding,) = found_in(job_text=job)
    assert (finding.check, finding.code, finding.severity.name) == ("D14", "words_other_figure", "BLOCK")


@pytest.mark.parametrize(
    ("sentence", "said"),
    [
        ("Undo the drain plug.", True),
        ("When the oil stops, shut the drain plug.", True),
        ("Then lift it off.", True),
        ("Never push a tool between the faces.", True),
        ("Do not press the starter.", True),
        ("The plug is undone.", False),
        ("You undo the plug.", False),
        ("When the oil stops.", False),
        ("", False),
        ("After 3 min, read the level.", True),
    ],
)
def test_what_counts_as_an_instruction(sentence: str, said: bool) -> None:
    assert is_instruction(sentence) is said


ANYWHERE = """\
procedure: mend-it
title: Mend it
summary: Tighten the nut.
revision: 1
issued: 2026-01-02
author: Test
change_note: First issue.
applies: all
goal: [done looked]
safety: [normal]
people: 1
skill: None.
start: [pose upright]
prepare: {tools: none, supplies: none}
stop_and_ask: Ask the dealer.
parts:
  nut_plate: {name: plate}
joints:
  nut: {name: nut, joins: [nut_plate, frame], kind: threaded, tools: [spanner], positions: [{at: [0, 0]}], hand: to the stop}
tools:
  spanner: {name: spanner, kind: spanner}
poses:
  upright: {name: upright, family: stance}
checks:
  looked: {name: look, kind: test}
steps:
  - id: slack
    do: slacken nut
    say: Slacken the nut.
  - id: look
    do: test looked
    say: Look at the plate.
  - id: tight
    do: tighten nut
    say: Tighten the nut to the stop.
"""


def test_a_procedure_without_a_map_is_checked_the_same_way() -> None:
    assert found_anywhere(ANYWHERE) == []
    assert codes(found_anywhere(without_step(ANYWHERE, "tight"))) == {("E2", "left_joint_not_final")}
    assert codes(found_anywhere(changed(ANYWHERE, ("tools: [spanner]", "tools: [spaner]")))) == {
        ("M1", "reference_unknown"),
        ("S3", "declared_unused"),
    }


def test_without_a_model_there_is_no_fitment() -> None:
    text = changed(ANYWHERE, beside("Look at the plate.", "when: year >= 2020"))
    assert codes(found_anywhere(text)) == {("S1", "guard_without_model")}


def test_what_is_declared_and_never_used_is_noted() -> None:
    text = changed(ANYWHERE, ("  spanner: {", "  hammer: {name: hammer, kind: striking}\n  spanner: {"))
    assert codes(found_anywhere(text)) == {("S3", "declared_unused")}


def test_a_joint_without_any_tool_cannot_be_turned() -> None:
    text = changed(ANYWHERE, ("tools: [spanner], ", ""), ("tools:\n  spanner: {name: spanner, kind: spanner}\n", ""))
    assert codes(found_anywhere(text)) == {("S2", "tool_missing")}
