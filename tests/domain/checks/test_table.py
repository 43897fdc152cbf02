"""The table of checks is the one planned: 44 checks with their severities, and each is run."""

from benchtrail.domain.checks.table import CHECKS

# id and severities of the planning model, section (b): B block, E error, W warning, N note
PLANNED = """
M1 E  M2 E  M3 E  M4 E  M5 E/W  M6 W  M7 N/W/E  M8 E
S1 E  S2 E  S3 N  S4 E  S5 B  S6 W  S7 E  S8 N  S9 E  S10 E
D1 E  D2 E  D3 B  D4 E/B  D5 E/B  D6 B  D7 E  D8 E  D9 W/E  D10 E/B  D11 E/B  D12 E  D13 E  D14 E/B  D15 E  D16 E  D17 E
D18 E/B  D19 W  D20 N
E1 E/B  E2 E  E3 B  E4 E  E5 E/B  E6 E/B
"""
# where we are stricter or milder than the plan, and why
BEYOND = {
    "M4": {"W"},    # a joint of a safety class with a recipe in words only: the author is asked
    "E2": {"B"},    # a wheel or brake left half tight can kill, as one left open can
    "E4": {"B"},    # a brake part left in the tray can kill
    "E7": {"E"},    # our own: the goal of the head is never reached
}


def planned() -> dict[str, set[str]]:
    words = PLANNED.split()
    return {check: set(severities.split("/")) for check, severities in zip(words[::2], words[1::2], strict=True)}


def test_the_plan_has_44_checks() -> None:
    assert len(planned()) == 44


def test_every_planned_check_is_there_with_its_severities_and_no_other() -> None:
    own = {check: {severity.name[0] for severity in severities} for check, severities in CHECKS.items()}
    expected = planned()
    for check, more in BEYOND.items():
        expected[check] = expected.get(check, set()) | more
    assert own == expected
