"""A warning is published only with a reason; the reason is kept in the pack; a reason for nothing is noted."""

import pytest
from tests.sample_texts import JOB, MAP, changed, codes, found_in

from benchtrail.domain.findings import blocks_publishing
from benchtrail.messages import message_for
from benchtrail.services.compile_library import LibraryFile, compile_library

BARE = changed(JOB, ("    say: Put the cover on. Turn all three cover screws in by hand.\n    look_for: The lug points up.\n",
                     "    say: Put the cover on. Turn all three cover screws in by hand.\n"))
REASON = "The cover of this machine has no lug."


def accepting(check: str, step: str, text: str = BARE) -> str:
    return text + f"accepted:\n  - {{check: {check}, step: {step}, reason: {REASON}}}\n"


def test_a_warning_without_a_reason_stops_publishing() -> None:
    (finding,) = found_in(job_text=BARE)
    assert (finding.check, finding.severity.name, finding.reason) == ("D9", "WARNING", None)
    assert blocks_publishing([finding])


def test_a_reason_lets_the_warning_stand_and_is_shown_with_it() -> None:
    (finding,) = found_in(job_text=accepting("D9", "cover-on"))
    assert (finding.severity.name, finding.reason) == ("WARNING", REASON)
    assert not blocks_publishing([finding])


def test_the_reason_is_kept_in_the_pack() -> None:
    files = [LibraryFile("m/test-model/map.yaml", MAP.encode()), LibraryFile("m/test-model/j.yaml", accepting("D9", "cover-on").encode())]
    compiled = compile_library(files, lambda path: None).procedures[0].compiled
    assert compiled is not None
    assert compiled.pack["accepted"] == [{"check": "D9", "step": "cover-on", "object": None, "reason": REASON}]


@pytest.mark.parametrize(("check", "step", "text"), [("D9", "cover-on", JOB), ("D9", "drain", JOB), ("D19", "cover-on", JOB)])
def test_a_reason_for_what_is_not_found_is_noted(check: str, step: str, text: str) -> None:
    (finding,) = found_in(job_text=accepting(check, step, text))
    assert (finding.code, finding.severity.name) == ("accepted_unused", "NOTE")
    assert finding.where.line == accepting(check, step, text).count("\n")
    assert f"step {step}" in str(message_for(finding.code, finding.values))


def test_errors_and_blocks_cannot_be_accepted() -> None:
    left_out = changed(JOB, ("    caution: used_oil\n", ""))
    found = found_in(job_text=accepting("S5", "drain", left_out))
    assert codes(found) == {("S5", "caution_missing"), ("S3", "accepted_unused")}
    assert blocks_publishing(found)


def test_a_map_names_the_object() -> None:
    bare = changed(MAP, ("condition: dry, source: \"Sheet 1 (invented)\"", "condition: dry"))
    (finding,) = found_in(bare)
    assert (finding.check, finding.severity.name) == ("M5", "WARNING")
    (kept,) = found_in(bare + "accepted:\n  - {check: M5, object: bar_torque, reason: From the old sheet.}\n")
    assert kept.reason == "From the old sheet."


@pytest.mark.parametrize("entry", ["{check: cover, step: cover-on, reason: x}", "{check: D9, step: cover-on}", "word"])
def test_an_entry_that_cannot_be_read_says_so_and_accepts_nothing(entry: str) -> None:
    found = found_in(job_text=BARE + f"accepted:\n  - {entry}\n")
    assert {finding.check for finding in found} == {"R", "D9"}
    assert {finding.code for finding in found} <= {"look_for_missing", "check_id_form", "key_missing", "table_needed"}
    assert all(finding.reason is None for finding in found)
