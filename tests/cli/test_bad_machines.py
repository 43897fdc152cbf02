"""Machines that cannot be: contradictory guards, circular access, what no one can reach, goals and variants that do not
exist, a map of 5,000 parts. Each gets a clear finding with file and line, or a plan with an honest bound; never a traceback."""

import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.big_map import big_map
from tests.sample_texts import JOB, MAP, changed

from benchtrail.cli import main

Edit = tuple[str, str]
HOSE = "  hose: {name: hose, aside: [[undone hose_clip]]}"


@pytest.fixture
def library(tmp_path: Path) -> Path:
    folder = tmp_path / "test-model"
    folder.mkdir()
    (folder / "renew-cover-gasket.yaml").write_text(JOB, encoding="utf-8")
    return folder


def run(*words: object) -> Result:
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    return result


def line_of(text: str, part: str) -> int:
    return next(n for n, line in enumerate(text.splitlines(), 1) if part in line)


BAD_MAPS: list[tuple[str, list[Edit], str, str]] = [
    ("guards that contradict", [(HOSE, f"{HOSE}\n  ghost: {{name: ghost, when: year <= 2020 and year >= 2022}}")],
     "M2", "ghost:"),
    ("a guard outside the years", [(HOSE, f"{HOSE}\n  ghost: {{name: ghost, when: year >= 2090}}")], "M2", "ghost:"),
    ("two options of one group at once", [(HOSE, f"{HOSE}\n  ghost: {{name: ghost, when: chain_drive and shaft_drive}}")],
     "M2", "ghost:"),
    ("circular access of two parts", [(HOSE, "  hose: {name: hose, exit: [[out pipe]]}\n  pipe: {name: pipe, exit: [[out hose]]}")],
     "M3", "hose:"),
    ("a joint that only itself opens", [("hose_clip: {name: hose clip, ", "hose_clip: {name: hose clip, reach: [[out hose]], ")],
     "M3", "hose_clip:"),
    ("a joint behind something that never leaves",
     [(HOSE, "  hose: {name: hose, exit: [[out hose]]}"),
      ("hose_clip: {name: hose clip, ", "hose_clip: {name: hose clip, reach: [[out hose]], ")], "M3", "hose:"),
]


@pytest.mark.parametrize(("edits", "check", "at"), [case[1:] for case in BAD_MAPS], ids=[case[0] for case in BAD_MAPS])
def test_a_machine_that_cannot_be_is_found_with_file_and_line(library: Path, edits: list[Edit], check: str, at: str) -> None:
    text = changed(MAP, *edits)
    (library / "map.yaml").write_text(text, encoding="utf-8")
    result = run("library", "check", library / "map.yaml")
    assert result.exit_code == 1
    place = f"{(library / 'map.yaml').as_posix()}:{line_of(text, f'  {at}')}: error"
    found = [line for line in result.output.splitlines() if line.startswith(place)]
    assert any(f"[{check}]" in line for line in found), result.output


def test_a_plan_to_what_no_one_can_reach_says_what_blocks_it(library: Path) -> None:
    text = changed(MAP, (HOSE, "  hose: {name: hose, exit: [[out pipe]]}\n  pipe: {name: pipe, exit: [[out hose]]}"))
    (library / "map.yaml").write_text(text, encoding="utf-8")
    result = run("map", "plan", library, "--goal", "out hose")
    assert result.exit_code == 1
    assert "hose" in result.output
    assert "pipe" in result.output


@pytest.mark.parametrize(("goal", "line"), [("renewed cover_gaskett", "goal:"), ("out nothing", "goal:")])
def test_a_goal_that_does_not_exist_is_found_in_the_procedure(library: Path, goal: str, line: str) -> None:
    (library / "map.yaml").write_text(MAP, encoding="utf-8")
    text = changed(JOB, ("goal: [renewed cover_gasket]", f"goal: [{goal}]"))
    (library / "renew-cover-gasket.yaml").write_text(text, encoding="utf-8")
    result = run("library", "check", library / "renew-cover-gasket.yaml")
    assert result.exit_code == 1
    place = f"{(library / 'renew-cover-gasket.yaml').as_posix()}:{line_of(text, line)}: error reference_unknown"
    assert result.output.startswith(place), result.output


def test_a_goal_that_does_not_exist_is_refused_by_the_planner(library: Path) -> None:
    (library / "map.yaml").write_text(MAP, encoding="utf-8")
    result = run("map", "plan", library, "--goal", "out covver")
    assert result.exit_code == 1
    assert "cover" in result.output


@pytest.mark.parametrize("variant", ["year=1999", "year=2020,option=rocket", "year=2020,option=shaft_drive", "2020", "year=two"])
def test_a_variant_that_is_none_is_refused(library: Path, variant: str) -> None:
    (library / "map.yaml").write_text(MAP, encoding="utf-8")
    result = run("map", "plan", library, "--goal", "out cover", "--variant", variant)
    assert result.exit_code in (1, 2)
    assert result.output.strip()


def test_a_map_of_5000_parts_is_checked_and_planned_in_bounded_time(tmp_path: Path) -> None:
    """Some 4 s of processor time for the check and 2 s for the plan on the machine of the first measurement; the limits
    are loose because test machines are shared, and tight enough that cost which grows with the square shows."""
    path = tmp_path / "big-model" / "map.yaml"
    path.parent.mkdir()
    path.write_text(big_map(5000), encoding="utf-8")
    started = time.process_time()
    assert run("library", "check", path).exit_code == 0
    assert time.process_time() - started < 40
    started = time.process_time()
    plan = run("map", "plan", path, "--goal", "out p24", "--goal", "out p4999", "--seconds", "5")
    assert plan.exit_code == 0
    assert time.process_time() - started < 40
    assert "proven" in plan.output


def test_a_map_beyond_the_limit_of_a_text_is_refused_with_the_limit(tmp_path: Path) -> None:
    path = tmp_path / "big-model" / "map.yaml"
    path.parent.mkdir()
    path.write_text(big_map(8000), encoding="utf-8")
    result = run("library", "check", path)
    assert result.exit_code == 1
    assert result.output.startswith(f"{path.as_posix()}:1: error file_too_large")
    assert "1024" in result.output
