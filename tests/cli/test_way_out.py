"""`benchtrail library way-out`."""

import json
from pathlib import Path

from click.testing import CliRunner

from benchtrail.cli import main

FELL = Path(__file__).resolve().parents[2] / "procedures" / "hobmoor-fell-250"
BRAKE = str(FELL / "renew-front-brake-pads-and-fluid.yaml")


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["library", "way-out", *arguments])
    return result.exit_code, result.output


def test_each_step_has_its_way_out() -> None:
    code, out = run(BRAKE, "--variant", "year=2023")
    assert code == 0
    assert "leave: as it is" in out
    line = next(line for line in out.splitlines() if " caliper-hang " in line)
    assert "leave: back by 3, about 1.5 min" in line


def test_one_step_is_told_row_by_row() -> None:
    code, out = run(BRAKE, "--variant", "year=2023", "--step", "caliper-hang")
    assert code == 0
    assert "Open with fluid behind it: front reservoir screws." in out
    assert "3. Make fast: front reservoir screws" in out
    assert "do not start the engine and do not ride" in out


def test_as_json_every_variant_stands_alone() -> None:
    code, out = run(str(FELL / "renew-water-pump-seal.yaml"), "--json")
    found = json.loads(out)
    assert code == 0
    assert len(found) > 1
    assert {"after", "number", "say", "leave", "push"} <= found[0]["stops"][0].keys()


def test_wrong_steps_variants_and_files_are_refused_in_three_parts() -> None:
    for arguments in ((BRAKE, "--step", "nix"), (BRAKE, "--variant", "year=2031"), (str(FELL / "map.yaml"),)):
        code, out = run(*arguments)
        assert code == 1
        assert "Traceback" not in out
        assert len(out.strip().splitlines()) == 3
