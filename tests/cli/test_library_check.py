"""`benchtrail library check` as a person runs it: lines, the three parts, the summary, exit codes, JSON, colours."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.sample_texts import JOB, MAP, SVG, beside, changed, without_step

from benchtrail.cli import main


def check(*words: str, color: bool = False) -> Result:
    return CliRunner().invoke(main, ["library", "check", *words], color=color)


@pytest.fixture
def library(tmp_path: Path) -> Path:
    """A small library on disk, without findings."""
    folder = tmp_path / "procedures" / "test-model"
    folder.mkdir(parents=True)
    (folder / "map.yaml").write_text(MAP, encoding="utf-8")
    (folder / "renew-cover-gasket.yaml").write_text(JOB, encoding="utf-8")
    return tmp_path / "procedures"


def write(library: Path, text: str, name: str = "renew-cover-gasket") -> None:
    (library / "test-model" / f"{name}.yaml").write_text(text, encoding="utf-8")


def test_a_clean_library_says_so(library: Path) -> None:
    result = check(str(library))
    folder = f"{library.as_posix()}/test-model"
    assert (result.exit_code, result.output.splitlines()) == (0, [
        f"{folder}/map.yaml: controlled language passes",
        f"{folder}/renew-cover-gasket.yaml: controlled language passes", "1 procedure, 1 map: no findings"])


def test_a_text_fails_the_controlled_language_as_a_whole(library: Path) -> None:
    write(library, changed(JOB, ("Read the oil level.", "Read the oil level properly.")))
    lines = check(str(library)).output.splitlines()
    assert f"{library.as_posix()}/test-model/renew-cover-gasket.yaml: controlled language fails, by 1 note of S8" in lines
    assert f"{library.as_posix()}/test-model/map.yaml: controlled language passes" in lines


def test_a_warning_without_a_reason_ends_with_1_and_with_one_it_is_shown(library: Path) -> None:
    bare = changed(JOB, ("    look_for: The lug points up.\n", ""))
    write(library, bare)
    result = check(str(library))
    assert (result.exit_code, result.output.splitlines()[-1]) == (
        1, "1 procedure, 1 map: 1 warning; 1 warning without a reason in “accepted”")
    write(library, bare + "accepted:\n  - {check: D9, step: cover-on, reason: It has no lug.}\n")
    kept = check(str(library))
    assert kept.exit_code == 0
    assert "Let stand, because: It has no lug." in kept.output


def test_without_a_path_the_library_of_the_program_is_checked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = check()
    assert result.exit_code == 0
    assert re.fullmatch(r"\d+ procedures, \d+ maps?: no findings", result.output.splitlines()[-1])


def test_without_a_path_a_folder_of_procedures_here_is_checked(library: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(library.parent)
    assert check().output.endswith("\n1 procedure, 1 map: no findings\n")


def test_a_finding_is_one_line_with_its_place_and_three_parts(library: Path) -> None:
    write(library, without_step(JOB, "tray-off"))
    result = check(str(library))
    line, *_, summary = result.output.splitlines()
    place = f"{library.as_posix()}/test-model/renew-cover-gasket.yaml:{JOB.splitlines().index('    do: aid on tray') + 1}"
    assert line == (f"{place}: error left_aid_left [E5] (step “tray-on”) “oil tray” (tray) is put on and never taken away. "
                    "It goes with the machine, or locks it. Add “aid off …”.")
    assert (summary, result.exit_code) == ("1 procedure, 1 map: 1 error", 1)


def test_a_finding_of_some_machines_says_which(library: Path) -> None:
    write(library, without_step(JOB, "bar-tight"))
    assert "(step “bar-on”, only with guard bar)" in check(str(library)).output


def test_a_block_stands_first(library: Path) -> None:
    write(library, changed(without_step(JOB, "tray-off"), ("    caution: used_oil\n", "")))
    result = check(str(library))
    assert [line.split(": ")[1].split()[0] for line in result.output.splitlines()[:2]] == ["block", "error"]
    assert result.output.endswith("1 procedure, 1 map: 1 block, 1 error\n")


def test_notes_do_not_stop_publishing(library: Path) -> None:
    write(library, changed(JOB, ("Read the oil level.", "Read the oil level properly.")))
    result = check(str(library))
    assert result.exit_code == 0
    assert result.output.endswith("1 procedure, 1 map: 1 note; nothing stops publishing\n")


def test_one_file_is_checked_with_the_map_beside_it(library: Path) -> None:
    write(library, MAP.replace("hand: clicks}", "}"), "map")
    result = check(str(library / "test-model" / "renew-cover-gasket.yaml"))
    assert result.exit_code == 0
    assert result.output.endswith("\n1 procedure, 0 maps: no findings\n")


def test_json_carries_everything(library: Path) -> None:
    write(library, without_step(JOB, "bar-tight"))
    result = check(str(library), "--json")
    data = json.loads(result.output)
    assert result.exit_code == 1
    assert (data["procedures"], data["maps"]) == (["renew-cover-gasket"], ["test-model"])
    finding, = data["findings"]
    assert (finding["check"], finding["code"], finding["severity"], finding["step"]) == ("E2", "left_joint_not_final", "error", "bar-on")
    assert finding["variants"] == "only with guard bar"
    assert set(finding["message"]) == {"happened", "means", "do"}


@pytest.mark.parametrize("words", [["--nothing"], ["no/such/folder"]])
def test_wrong_usage_has_its_own_exit_code(words: list[str]) -> None:
    result = check(*words)
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_an_empty_folder_is_named(tmp_path: Path) -> None:
    result = check(str(tmp_path))
    assert result.exit_code == 2
    assert f"There is no .yaml file under {tmp_path.as_posix()}." in result.output


def test_colours_only_on_a_terminal(library: Path) -> None:
    write(library, without_step(JOB, "tray-off"))
    assert "\x1b[" not in check(str(library)).output
    assert "\x1b[31m" in check(str(library), color=True).output


def test_bad_files_of_every_kind_are_named_without_a_traceback(library: Path) -> None:
    folder = library / "test-model"
    (folder / "empty.yaml").write_bytes(b"")
    (folder / "large.yaml").write_bytes(b"a: 1\n" * 220_000)
    (folder / "latin.yaml").write_bytes("a: Kühler\n".encode("latin-1"))
    (folder / "tabs.yaml").write_bytes(b"a:\n\tb: 1\n")
    (folder / "list.yaml").write_bytes(b"- a\n")
    result = check(str(library))
    codes = re.findall(r": error (\w+) \[", result.output)
    assert sorted(codes) == ["encoding_not_utf8", "file_empty", "file_kind_unknown", "file_too_large", "tab_in_indent"]
    assert "The text has 1075 kB." in result.output
    assert result.exit_code == 1
    assert "Traceback" not in result.output


def test_pictures_are_read_beside_the_procedure_only(library: Path) -> None:
    pictures = library / "test-model" / "pictures"
    pictures.mkdir()
    write(library, changed(JOB, beside("Look along the gasket.", "picture: pictures/gasket.svg")))
    assert "picture_not_found" in check(str(library)).output
    (pictures / "gasket.svg").write_bytes(SVG)
    assert check(str(library)).exit_code == 0
    outside = library.parent / "outside.svg"
    outside.write_bytes(SVG)
    (pictures / "gasket.svg").unlink()
    (pictures / "gasket.svg").symlink_to(outside)
    assert "picture_not_found" in check(str(library)).output
