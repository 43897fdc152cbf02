"""A disk of a few megabytes that can really be full: a file system in memory, mounted for one test (Linux, as root)."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

MEGABYTE = 1_000_000


class SmallDisk:
    """`path` is the disk; `fill` leaves at most so many bytes on it, as somebody's videos would."""

    def __init__(self, path: Path, megabytes: int = 200) -> None:
        self.path, self._videos = path, path / "videos"
        path.mkdir()
        command = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}M", "none", str(path)]
        self.mounted = subprocess.run(command, capture_output=True).returncode == 0

    @property
    def left(self) -> int:
        """Bytes free."""
        disk = os.statvfs(self.path)
        return disk.f_bavail * disk.f_frsize

    def fill(self, leave: int = 0) -> None:
        handle = os.open(self._videos, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        block = os.urandom(MEGABYTE)
        try:
            while self.left > leave:
                os.write(handle, block[: max(1, min(MEGABYTE, self.left - leave))])
        except OSError:
            pass  # not one byte left
        finally:
            os.close(handle)

    def free(self) -> None:
        self._videos.unlink(missing_ok=True)

    def unmount(self) -> None:
        if self.mounted:
            subprocess.run(["umount", "-l", str(self.path)], check=True)
