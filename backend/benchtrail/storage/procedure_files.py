"""The dealer's texts and pictures as they lie on disk.

Knows folders and files; nothing of what stands in them.
"""

from collections.abc import Callable, Iterable
from pathlib import Path

from benchtrail.domain.pictures import MOST_PICTURE_BYTES
from benchtrail.domain.refused import Refused
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.read_yaml import MOST_BYTES

TEXT_ENDINGS = (".yaml", ".yml")
MAP_NAME = "map.yaml"
MOST_FILES = 2000


def library_files(paths: Iterable[Path]) -> list[LibraryFile]:
    """The texts under `paths` (files or folders), and the maps beside them, which are read but not asked for.

    Raises Refused: path_not_found, path_no_texts, path_too_many, file_not_readable.
    """
    asked: list[Path] = []
    for path in paths:
        asked.extend(_texts_under(path))
    asked = list(dict.fromkeys(asked))
    maps = [path for path in dict.fromkeys(text.parent / MAP_NAME for text in asked) if path.is_file()]
    beside = [path for path in maps if path not in asked]
    return [_read(path, True) for path in asked] + [_read(path, False) for path in beside]


def _texts_under(path: Path) -> list[Path]:
    if path.is_file():
        return [path]
    if not path.is_dir():
        raise Refused("path_not_found", path=path.as_posix())
    texts = sorted(file for file in path.rglob("*") if file.suffix in TEXT_ENDINGS and file.is_file())
    if not texts:
        raise Refused("path_no_texts", path=path.as_posix())
    if len(texts) > MOST_FILES:
        raise Refused("path_too_many", path=path.as_posix(), limit=MOST_FILES)
    return texts


def _read(path: Path, asked: bool) -> LibraryFile:
    """A file's bytes. One over the limit is refused later with its size; far over it, it is not read to its end."""
    return LibraryFile(path.as_posix(), _first_bytes(path, 16 * MOST_BYTES), asked)


def _first_bytes(path: Path, most: int) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(most)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise Refused("file_not_readable", path=path.as_posix(), reason=reason) from None


def picture_reader(files: Iterable[LibraryFile]) -> Callable[[str], bytes | None]:
    """Reads pictures by path, only from the folders that the texts lie in: no link leads out of them.

    The bytes are cut one past the limit: the check of their size needs no more.
    """
    roots = {Path(file.path).parent.resolve() for file in files}

    def read(path: str) -> bytes | None:
        place = Path(path).resolve()
        if not place.is_file() or not any(place.is_relative_to(root) for root in roots):
            return None
        return _first_bytes(place, MOST_PICTURE_BYTES + 1)
    return read
