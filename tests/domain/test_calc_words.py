"""Every code that a calculation can speak has its words, and every place in the words has its value."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from tests.domain.test_vectors import FILES, filled

from benchtrail.domain.answer import Answer, Mark, in_words
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.refused import Refused

ROOT = Path(__file__).resolve().parents[2]
TEXTS = json.loads((ROOT / "shared" / "texts" / "calc.en.json").read_text(encoding="utf-8"))


def answers() -> list[tuple[str, Answer]]:
    """Every answer that the vectors' inputs give."""
    found = []
    for cases in FILES.values():
        for case in cases:
            if case["function"] not in CALCULATIONS:
                continue
            arguments: dict[str, Any] = {k: v for k, v in filled(case["input"]).items() if k != "pick"}
            try:
                found.append((case["function"], CALCULATIONS[case["function"]](**arguments)))
            except Refused:
                continue
    return found


ANSWERS = answers()


def test_every_calculation_has_a_name_in_words() -> None:
    assert set(TEXTS["names"]) == set(CALCULATIONS)


def test_every_mark_has_its_words() -> None:
    assert set(TEXTS["marks"]) == set(Mark.__args__)


@pytest.mark.parametrize("name", CALCULATIONS)
def test_the_vectors_reach_an_answer_of_every_calculation(name: str) -> None:
    assert any(function == name for function, _ in ANSWERS)


def test_working_and_notes_fill_every_place() -> None:
    for function, answer in ANSWERS:
        for table, notes in (("working", (answer.working,)), ("notes", (*answer.notes, *answer.until))):
            for note in notes:
                template = TEXTS[table][note.code]
                places = set(re.findall(r"\{(\w+)", template))
                assert places <= set(note.values), f"{function}: {note.code} lacks {places - set(note.values)}"
                assert "{" not in in_words(template, note.values)


def test_every_answer_has_a_source_and_an_end() -> None:
    for function, answer in ANSWERS:
        assert answer.sources, function
        assert answer.until, function
        assert all(source.name or source.mark in {"arithmetic", "practice"} for source in answer.sources), function


def test_no_words_without_a_use() -> None:
    files = (ROOT / "backend" / "benchtrail" / "domain").glob("*.py")
    code = "\n".join(path.read_text(encoding="utf-8") for path in files)
    told = set(re.findall(r"""["'](\w+)["']""", code))
    told |= {f"torque_{verdict}" for verdict in ("high", "impossible", "low", "very_low")}
    told |= {f"wrench_check_{state}" for state in ("dropped", "overdue", "unknown")}
    assert set(TEXTS["working"]) - told == set()
    assert set(TEXTS["notes"]) - told == set()
