"""One writer per upload: a lock within this process, and a lock file against other processes on the same home."""

import contextlib
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchtrail.domain.refused import Refused

try:
    import fcntl
except ImportError:  # Windows: one process serves there, and the lock within it is enough
    fcntl = None  # type: ignore[assignment]


class ProcessLocks:
    """Locks by upload id within this process."""

    def __init__(self) -> None:
        self._held: set[str] = set()
        self._guard = threading.Lock()

    @contextmanager
    def hold(self, id: str) -> Iterator[None]:
        with self._guard:
            if id in self._held:
                raise Refused("upload_in_use")
            self._held.add(id)
        try:
            yield
        finally:
            with self._guard:
                self._held.discard(id)


class FolderLocks:
    """Locks by upload id under `<home>/locks`."""

    def __init__(self, home: Path) -> None:
        self._folder = home / "locks"
        self._here = ProcessLocks()

    @contextmanager
    def hold(self, id: str) -> Iterator[None]:
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        path = self._folder / id
        with self._here.hold(id), path.open("wb") as file:
            if fcntl is not None:
                try:
                    fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
                except OSError as error:
                    raise Refused("upload_in_use") from error
                _must_still_be(path, file.fileno())
            yield
            with contextlib.suppress(OSError):
                os.unlink(path)


def _must_still_be(path: Path, descriptor: int) -> None:
    # Whoever held the lock before may have removed the file between our opening and our locking of it.
    try:
        same = os.stat(path).st_ino == os.fstat(descriptor).st_ino
    except FileNotFoundError:
        same = False
    if not same:
        raise Refused("upload_in_use")
