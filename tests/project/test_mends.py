"""One press of a mend does what its finding asks for: proven by the checker, in a library procedure with one fault put in.

Each fault is made in the text, found by the checks, mended by the desk's own code, and checked again: the finding is gone and
nothing graver has come. Every other line, comments too, stays as it was.
"""

from __future__ import annotations

import difflib
import json
import re
import subprocess
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from benchtrail.domain.findings import Finding, Severity
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile, MapEntry, compile_library
from front_build import find_node, install_front_packages, node_environment

ROOT = Path(__file__).resolve().parents[2]
LIBRARY = ROOT / "procedures"
FELL = "hobmoor-fell-250"
SEAL = f"{FELL}/renew-water-pump-seal.yaml"
BRAKE = f"{FELL}/renew-front-brake-pads-and-fluid.yaml"
Fault = tuple[str, str, str, str]

# what is done to the text at a step, and the finding that its mend is for
FAULTS: list[Fault] = [
    (SEAL, "no article", "oil-seal-out", "article_missing"),
    (SEAL, "no caution", "run-engine", "caution_missing"),
    (SEAL, "late", "clutch-gasket-new", "closed_over"),
    (SEAL, "late", "kick-lever-clean", "done_live"),
    (SEAL, "no act 0", "oil-out", "drain_shut"),
    (SEAL, "late", "oil-fill", "filler_shut"),
    (SEAL, "drop", "seal-depth", "follow_on_left_out"),
    (SEAL, "drop", "bore-plug-off", "left_aid_left"),
    (SEAL, "drop", "impeller-nut-tight", "left_joint_not_final"),
    (SEAL, "drop", "oil-level", "left_level_not_checked"),
    (SEAL, "no act 1", "engine-stop", "left_setting_not_restored"),
    (SEAL, "no act 0", "cartridge-in", "left_open"),
    (SEAL, "no look_for", "cover-oring-in", "look_for_missing"),
    (SEAL, "no act 1", "impeller-washer-new", "member_missing"),
    (SEAL, "no act 1", "impeller-nut-new", "not_started"),
    (SEAL, "late", "cartridge-new", "part_untreated"),
    (SEAL, "late", "cartridge-new", "single_use_again"),
    (SEAL, "drop", "clutch-cover-stage-1", "stage_left_out"),
    (SEAL, "late", "skid-plate-grease", "treatment_missing"),
    (SEAL, "late", "shaft-circlip-out", "held_by_joint"),
    (BRAKE, "no caution", "new-fluid-in", "caution_misplaced"),
    (BRAKE, "no act 0", "pads-out", "held_by_slack_joint"),
    (BRAKE, "drop", "reservoir-shut", "left_joint_not_made"),
    (BRAKE, "no limits", "disc-runout", "measure_without_limits"),
    (BRAKE, "no tools", "disc-runout", "measuring_tool_missing"),
    (BRAKE, "no tools", "nipple-tight", "torque_wrench_missing"),
    (BRAKE, "late", "caliper-bolts-out", "not_reachable"),
]


@cache
def maps() -> tuple[MapEntry, ...]:
    path = f"{FELL}/map.yaml"
    return tuple(compile_library([LibraryFile(path, (LIBRARY / path).read_bytes(), asked=False)], lambda _: None, "tests").maps)


def picture(path: str) -> bytes | None:
    return (LIBRARY / path).read_bytes() if (LIBRARY / path).is_file() else None


def findings(path: str, text: str) -> list[Finding]:
    return check_library([LibraryFile(path, text.encode())], picture, "tests", list(maps())).findings


def with_fault(text: str, fault: str, step: str) -> str:
    """The text with one step dropped, moved three places down, or with a key, an act or an article less."""
    start = re.search(r"(?m)^steps:\s*\n", text)
    assert start
    end = re.search(r"(?m)^[a-z_]+:", text[start.end():])
    stop = start.end() + end.start() if end else len(text)
    first, *parts = re.split(r"(?m)^(?=  - id: )", text[start.end():stop])
    (at,) = (n for n, part in enumerate(parts) if re.match(rf"  - id: {step}\n", part))
    word, _, which = fault.partition(" ")
    if word == "late":
        parts[at:at + 4] = [*parts[at + 1:at + 4], parts[at]]
    else:
        parts[at] = "" if word == "drop" else _with_less(parts[at], which)
    return text[:start.end()] + first + "".join(parts) + text[stop:]


def _with_less(step: str, what: str) -> str:
    if what == "article":
        made = re.sub(r"(say: .*?)\bthe ", r"\1", step, count=1)
    elif what.startswith("act"):
        acts = re.search(r"do: \[(.*)\]\n", step)
        assert acts
        kept = [act for n, act in enumerate(acts[1].split(", ")) if n != int(what[-1])]
        made = step.replace(acts[0], f"do: [{', '.join(kept)}]\n")
    else:
        made = re.sub(rf"(?m)^    {what}:.*\n(?:      +.*\n)*", "", step)
    assert made != step
    return made


def as_at_desk(finding: Finding) -> dict[str, Any]:
    """The finding as the desk gets it."""
    return {"code": finding.code, "check": finding.check, "step": finding.where.step, "line": finding.where.line, "values": finding.values}


@pytest.fixture(scope="module")
def mended(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Fault], tuple[str, Finding, str]]:
    """The faulty text, the finding, and the text after the press; all presses are made in one process."""
    texts = {path: (LIBRARY / path).read_text(encoding="utf-8") for path in (SEAL, BRAKE)}
    assert [findings(path, text) for path, text in texts.items()] == [[], []]
    faulty = {fault: with_fault(texts[fault[0]], *fault[1:3]) for fault in FAULTS}
    found: dict[Fault, Finding] = {}
    for fault, made in faulty.items():
        of_code = [one for one in findings(fault[0], made) if one.code == fault[3]]
        assert of_code, f"{fault}: no such finding"
        found[fault] = of_code[0]
    file = tmp_path_factory.mktemp("mends") / "asked.json"
    pack = dict(maps()[0].pack)
    file.write_text(json.dumps([{"text": faulty[fault], "finding": as_at_desk(found[fault]), "map": pack} for fault in FAULTS]))
    install_front_packages(ROOT)
    node, _ = find_node()
    command = [str(node), "mend-texts.mjs", str(file)]
    done = subprocess.run(command, cwd=ROOT / "frontend", env=node_environment(node), check=True, capture_output=True, text=True)
    answers = dict(zip(FAULTS, json.loads(done.stdout), strict=True))

    def of(fault: Fault) -> tuple[str, Finding, str]:
        assert answers[fault], f"{fault}: no mend is offered"
        return faulty[fault], found[fault], answers[fault]["text"]

    return of


@pytest.mark.parametrize("fault", FAULTS, ids=[f"{fault[3]}-{fault[2]}" for fault in FAULTS])
def test_a_mend_ends_its_finding_and_touches_nothing_else(mended: Callable[[Fault], tuple[str, Finding, str]], fault: Fault) -> None:
    path, _, _, code = fault
    before, finding, after = mended(fault)
    left, first = findings(path, after), findings(path, before)
    of = (code, finding.values.get("object"))
    still, was = ([one for one in those if (one.code, one.values.get("object")) == of] for those in (left, first))
    assert len(still) < len(was)
    # what was grave is not traded for something graver
    assert worst(left) <= max(worst(first), Severity.ERROR)
    changes = [line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[:2] in ("- ", "+ ")]
    gone = [line for line in changes if line.startswith("- ")]
    back = [line[2:] for line in changes if line.startswith("+ ")]
    # a line goes only to be changed, or, of a step moved, to stand elsewhere
    assert len([line for line in gone if line[2:] not in back]) <= 1
    comments = [[line for line in text.splitlines() if line.lstrip().startswith("#")] for text in (before, after)]
    assert sorted(comments[0]) == sorted(comments[1])


def worst(found: list[Finding]) -> Severity:
    return max((one.severity for one in found), default=Severity.NOTE)
