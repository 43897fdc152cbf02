"""The dealer's texts as they lie on disk: which are read, what is asked for, what cannot be read."""

from pathlib import Path

import pytest

from benchtrail.domain.refused import Refused
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.read_yaml import MOST_BYTES
from benchtrail.storage import procedure_files
from benchtrail.storage.procedure_files import library_files, picture_reader


def lay(folder: Path, *names: str) -> None:
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(name.encode())


def test_all_texts_under_a_folder_are_read(tmp_path: Path) -> None:
    lay(tmp_path, "m/map.yaml", "m/a.yaml", "anywhere/b.yml", "m/pictures/a.svg", "README.md")
    files = library_files([tmp_path])
    assert sorted(Path(file.path).name for file in files) == ["a.yaml", "b.yml", "map.yaml"]
    assert all(file.asked for file in files)


def test_the_map_beside_one_text_is_read_and_not_asked_for(tmp_path: Path) -> None:
    lay(tmp_path, "m/map.yaml", "m/a.yaml", "m/c.yaml")
    files = library_files([tmp_path / "m" / "a.yaml"])
    assert [(Path(file.path).name, file.asked) for file in files] == [("a.yaml", True), ("map.yaml", False)]


def test_a_text_named_twice_is_read_once(tmp_path: Path) -> None:
    lay(tmp_path, "m/a.yaml")
    assert len(library_files([tmp_path, tmp_path / "m" / "a.yaml"])) == 1


def test_a_huge_file_is_not_read_to_its_end(tmp_path: Path) -> None:
    with (tmp_path / "a.yaml").open("wb") as file:
        file.truncate(10**10)
    content, = (file.content for file in library_files([tmp_path]))
    assert MOST_BYTES < len(content) <= 16 * MOST_BYTES


@pytest.mark.parametrize(("make", "code"), [
    (lambda folder: folder / "nothing", "path_not_found"), (lambda folder: folder, "path_no_texts"),
])
def test_a_path_without_texts_is_refused(tmp_path: Path, make: object, code: str) -> None:
    assert callable(make)
    with pytest.raises(Refused) as refusal:
        library_files([make(tmp_path)])
    assert refusal.value.code == code


def test_too_many_texts_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(procedure_files, "MOST_FILES", 2)
    lay(tmp_path, "a.yaml", "b.yaml", "c.yaml")
    with pytest.raises(Refused) as refusal:
        library_files([tmp_path])
    assert refusal.value.code == "path_too_many"


def test_a_text_that_cannot_be_read_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lay(tmp_path, "a.yaml")

    def refuse(self: Path, mode: str = "r") -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(Refused) as refusal:
        library_files([tmp_path])
    assert (refusal.value.code, refusal.value.values["reason"]) == ("file_not_readable", "Permission denied")


def test_pictures_are_read_only_beside_the_texts(tmp_path: Path) -> None:
    lay(tmp_path, "m/a.yaml", "m/pictures/a.svg", "secret.svg")
    (tmp_path / "m" / "pictures" / "link.svg").symlink_to(tmp_path / "secret.svg")
    read = picture_reader([LibraryFile((tmp_path / "m" / "a.yaml").as_posix(), b"")])
    folder = (tmp_path / "m" / "pictures").as_posix()
    assert read(f"{folder}/a.svg") == b"m/pictures/a.svg"
    assert read(f"{folder}/none.svg") is None
    assert read(f"{folder}/link.svg") is None
    assert read(f"{folder}/../../secret.svg") is None
