"""Every code of the reading and the checks has its message with all values filled in, and each can be met."""

import ast
import json
import re
from pathlib import Path

import pytest
from tests.domain.checks import test_machine_checks, test_played_checks, test_step_checks
from tests.sample_texts import JOB, MAP, changed, found_in

from benchtrail.domain.checks.table import CHECKS
from benchtrail.domain.findings import Finding
from benchtrail.messages import message_for, message_table

ROOT = Path(__file__).resolve().parents[2]
MESSAGES = ROOT / "shared" / "messages"
TESTS = ROOT / "tests"


def own_codes(area: str) -> set[str]:
    return set(json.loads((MESSAGES / f"{area}.en.json").read_text(encoding="utf-8")))


def all_cases() -> list[tuple[str, list[Finding]]]:
    found = [(case[0], found_in(changed(MAP, *case[1]))) for case in test_machine_checks.CASES]
    found += [(case[0], found_in(job_text=changed(JOB, *case[1]))) for case in test_step_checks.CASES]
    return found + [(case[0], found_in(job_text=case[1](JOB))) for case in test_played_checks.CASES]


def test_every_message_met_in_the_tests_is_filled_in() -> None:
    for name, findings in all_cases():
        for finding in findings:
            message = str(message_for(finding.code, finding.values))
            assert not re.search(r"\{\w+\}", message), (name, message)
            assert "None" not in message, (name, message)


@pytest.mark.parametrize("area", ["reading", "checks"])
def test_every_code_is_met_in_some_test(area: str) -> None:
    files = [*TESTS.glob("services/test_*.py"), *TESTS.glob("domain/test_*.py"), *TESTS.glob("domain/checks/test_*.py"),
             *TESTS.glob("cli/test_library_check.py"), *TESTS.glob("storage/test_procedure_files.py")]
    words = {node.value for path in files for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
             if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    assert sorted(own_codes(area) - words) == []


def test_every_check_that_is_built_is_in_the_table_and_shown_by_a_case() -> None:
    shown = {finding.check for _, findings in all_cases() for finding in findings} - {"R"}
    # those that need more than one edit of the sample have tests of their own, which name them
    tree = ast.parse("".join((TESTS / f"domain/checks/test_{name}_checks.py").read_text(encoding="utf-8") for name in ("hazard", "played")))
    elsewhere = {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)} & set(CHECKS)
    assert shown | elsewhere == set(CHECKS)


def test_the_messages_of_the_two_areas_are_in_the_table() -> None:
    assert own_codes("reading") | own_codes("checks") <= message_table().keys()
