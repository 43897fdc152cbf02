"""S8: each rule of the controlled language has a text that breaks it; a text passes or fails as a whole."""

import pytest
from tests.sample_texts import JOB, JOB_PATH, MAP, MAP_PATH, changed, codes, found_in

from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile

SCREWS = "    say: Undo the three cover screws.\n"


def saying(words: str, more: str = "") -> str:
    return changed(JOB, (SCREWS, f"    say: {words}\n{more}"))


@pytest.mark.parametrize(("words", "code"), [
    ("Undo the three cover screws when the engine is cold.", "condition_after_act"),
    ("Undo the three cover screws if they turn.", "condition_after_act"),
    ("The three cover screws are removed.", "passive_voice"),
    ("Undo cover screws.", "article_missing"),
    ("Undo the three fasteners.", "name_not_said"),
])
def test_a_sentence_that_breaks_a_rule_is_noted(words: str, code: str) -> None:
    found = [finding for finding in found_in(job_text=saying(words)) if finding.code != "no_instruction"]
    assert [(finding.check, finding.code, finding.severity.name, finding.where.step) for finding in found] == [
        ("S8", code, "NOTE", "screws-out")]


@pytest.mark.parametrize("words", [
    "When the engine is cold, undo the three cover screws.",
    "Undo the three cover screws until the cover can be moved.",
    "Undo the three cover screws once more.",
    "Undo all three screws of the cover.",
    "Hold the cover that was marked. Undo the three cover screws.",
])
def test_a_sentence_that_keeps_the_rules_is_not(words: str) -> None:
    assert found_in(job_text=saying(words)) == []


def test_a_description_of_seven_sentences_is_too_long() -> None:
    detail = "    detail: " + " ".join(["It is flat."] * 7) + "\n"
    assert codes(found_in(job_text=saying("Undo the three cover screws.", detail))) == {("S8", "sentences_too_many")}


@pytest.mark.parametrize(("avoidance", "code"), [("Gloves are good.", "avoidance_no_command"),
                                                 ("Wear " + "very " * 20 + "thick gloves.", "sentence_too_long")])
def test_how_to_avoid_a_hazard_is_a_short_command(avoidance: str, code: str) -> None:
    assert codes(found_in(changed(MAP, ("avoidance: Wear gloves.", f"avoidance: {avoidance}")))) == {("S8", code)}


def test_one_sentence_fails_the_whole_text_and_no_other() -> None:
    files = [LibraryFile(MAP_PATH, MAP.encode()), LibraryFile(JOB_PATH, saying("Undo cover screws.").encode())]
    assert check_library(files, lambda path: None).language == {JOB_PATH: 1, MAP_PATH: 0}
