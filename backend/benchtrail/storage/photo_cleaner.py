"""Runs the decoder in a process of its own, with a limit on time. Knows processes; nothing of pictures."""

import json
import subprocess
import sys
from pathlib import Path

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import CleanPhoto

SOURCE = Path(__file__).resolve().parents[2]
PROGRAM = "import sys; sys.path.insert(0, sys.argv[1]); from benchtrail.storage.decode_photo import main; main()"
TIME_S = 30.0


class SubprocessCleaner:
    """Starts a fresh Python for each photo, with an empty environment."""

    def __init__(self, time_s: float = TIME_S) -> None:
        self._time_s = time_s

    def clean(self, content: bytes) -> CleanPhoto:
        command = [sys.executable, "-I", "-B", "-c", PROGRAM, str(SOURCE)]
        try:
            done = subprocess.run(command, input=content, capture_output=True, timeout=self._time_s, env={})
        except subprocess.TimeoutExpired as error:
            raise Refused("photo_too_costly") from error
        if done.returncode != 0:  # killed by its own limits, or by the decoder's fault
            raise Refused("photo_too_costly")
        return _read(done.stdout)


def _read(output: bytes) -> CleanPhoto:
    line, _, content = output.partition(b"\n")
    facts = json.loads(line)
    if "refused" in facts:
        raise Refused(facts["refused"], **facts["values"])
    return CleanPhoto(content=content, mime=facts["mime"], width=facts["width"], height=facts["height"])
