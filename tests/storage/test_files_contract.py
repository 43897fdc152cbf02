"""What both implementations of the file store do; and what only the real one can show."""

import os
from pathlib import Path

import pytest

from benchtrail.services.ports import Files
from benchtrail.storage.files import DiskFiles
from benchtrail.storage.memory_files import MemoryFiles

NAME = "ab" * 32
UPLOAD = "0198a000-0000-7000-8000-000000000000"


@pytest.fixture(params=["memory", "disk"])
def files(request: pytest.FixtureRequest, tmp_path: Path) -> Files:
    return MemoryFiles() if request.param == "memory" else DiskFiles(tmp_path)


def test_what_was_put_is_there_and_is_replaced_whole(files: Files) -> None:
    assert files.get("withen", "packs", NAME) is None
    assert files.size("withen", "packs", NAME) is None
    for content in (b"first", b"second, longer", b""):
        files.put("withen", "packs", NAME, content)
        assert files.get("withen", "packs", NAME) == content
        assert files.size("withen", "packs", NAME) == len(content)
    assert list(files.names("withen", "packs")) == [NAME]


def test_rooms_and_dealers_are_apart(files: Files) -> None:
    files.put("withen", "packs", NAME, b"x")
    assert files.get("other", "packs", NAME) is None
    assert files.get("withen", "pictures", NAME) is None
    assert list(files.names("other", "packs")) == []


def test_appending_goes_on_at_the_offset_and_cuts_off_what_lay_behind(files: Files) -> None:
    assert files.append("withen", "uploads", UPLOAD, 0, b"abcdef") == 6
    assert files.append("withen", "uploads", UPLOAD, 3, b"XY") == 5
    assert files.get("withen", "uploads", UPLOAD) == b"abcXY"
    assert files.append("withen", "uploads", UPLOAD, 0, b"") == 0
    assert files.get("withen", "uploads", UPLOAD) == b""


def test_removing_twice_is_no_fault(files: Files) -> None:
    files.put("withen", "packs", NAME, b"x")
    files.remove("withen", "packs", NAME)
    files.remove("withen", "packs", NAME)
    assert files.get("withen", "packs", NAME) is None


@pytest.mark.parametrize(("dealer", "name"), [
    ("withen", "../../secret"), ("withen", "a/b" * 10), ("withen", ""), ("withen", NAME.upper()), ("..", NAME),
    ("withen", ".hidden" + "0" * 20), ("Withen", NAME), ("withen", "0" * 65),
])
def test_a_name_that_could_lead_elsewhere_is_refused(files: Files, dealer: str, name: str) -> None:
    with pytest.raises(ValueError, match="not a name"):
        files.put(dealer, "packs", name, b"x")


def test_a_write_that_fails_leaves_the_old_file_and_no_rest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = DiskFiles(tmp_path)
    files.put("withen", "packs", NAME, b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("benchtrail.storage.files.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.put("withen", "packs", NAME, b"new")
    monkeypatch.undo()
    assert files.get("withen", "packs", NAME) == b"old"
    assert os.listdir(tmp_path / "dealers" / "withen" / "packs") == [NAME]


def test_bytes_are_flushed_before_the_name_appears(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    real_fsync, real_replace = os.fsync, os.replace
    monkeypatch.setattr("benchtrail.storage.files.os.fsync", lambda fd: (seen.append("flush"), real_fsync(fd)))
    monkeypatch.setattr("benchtrail.storage.files.os.replace", lambda a, b: (seen.append("rename"), real_replace(a, b)))
    (tmp_path / "dealers" / "withen" / "packs").mkdir(parents=True)
    DiskFiles(tmp_path).put("withen", "packs", NAME, b"x")
    assert seen == ["flush", "rename", "flush"]
