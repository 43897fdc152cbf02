"""Files of each dealer on disk, whole or not at all. Knows durable writing; nothing of what the files mean.

A file is written under a passing name, flushed, renamed, and its folder flushed: after a power cut it is there whole or
it is not there.
"""

import os
import re
import uuid
from collections.abc import Iterator
from pathlib import Path

from benchtrail.services.ports import Room

NAME = re.compile(r"[0-9a-f][0-9a-f-]{15,63}")
SLUG = re.compile(r"[a-z0-9][a-z0-9-]{0,63}")
PASSING = ".passing-"


class DiskFiles:
    """Files under `<home>/dealers/<slug>/<room>/<name>`."""

    def __init__(self, home: Path) -> None:
        self._root = home / "dealers"

    def put(self, dealer: str, room: Room, name: str, content: bytes) -> None:
        path = self._path(dealer, room, name)
        self._folder(path.parent)
        passing = path.with_name(f"{PASSING}{uuid.uuid4().hex}")
        try:
            _write(passing, content)
            os.replace(passing, path)
        except OSError:
            passing.unlink(missing_ok=True)
            raise
        _flush_folder(path.parent)

    def get(self, dealer: str, room: Room, name: str) -> bytes | None:
        try:
            return self._path(dealer, room, name).read_bytes()
        except FileNotFoundError:
            return None

    def size(self, dealer: str, room: Room, name: str) -> int | None:
        try:
            return self._path(dealer, room, name).stat().st_size
        except FileNotFoundError:
            return None

    def append(self, dealer: str, room: Room, name: str, offset: int, content: bytes) -> int:
        path = self._path(dealer, room, name)
        self._folder(path.parent)
        fresh = not path.exists()
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        with os.fdopen(descriptor, "r+b") as file:
            file.truncate(offset)
            file.seek(offset)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if fresh:
            _flush_folder(path.parent)
        return offset + len(content)

    def remove(self, dealer: str, room: Room, name: str) -> None:
        self._path(dealer, room, name).unlink(missing_ok=True)

    def names(self, dealer: str, room: Room) -> Iterator[str]:
        folder = self._path(dealer, room, "0" * 16).parent
        found = sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []
        return (name for name in found if NAME.fullmatch(name))

    def unfinished(self, dealer: str) -> int:
        return len(self._passing(dealer))

    def clear_unfinished(self, dealer: str) -> None:
        for path in self._passing(dealer):
            path.unlink(missing_ok=True)

    def _passing(self, dealer: str) -> list[Path]:
        return sorted(self._path(dealer, "packs", "0" * 16).parent.parent.glob(f"*/{PASSING}*"))

    def _folder(self, folder: Path) -> None:
        if not folder.is_dir():
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            _flush_folder(folder.parent)

    def _path(self, dealer: str, room: Room, name: str) -> Path:
        if not NAME.fullmatch(name) or not SLUG.fullmatch(dealer):
            raise ValueError(f"not a name of a kept file: {dealer!r} {name!r}")
        return self._root / dealer / room / name


def _write(path: Path, content: bytes) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _flush_folder(folder: Path) -> None:
    if os.name == "nt":
        return  # Windows cannot open a folder for flushing; NTFS journals its renames
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
