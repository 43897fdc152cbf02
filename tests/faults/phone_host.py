"""Simulated phones in one long-lived Node process: the front end's own storage, journal, photos and sync, bundled by its own build."""

import json
import subprocess
import tempfile
from pathlib import Path
from typing import Any, Self

from front_build import find_node, node_environment

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent / "phones"


def build_page(out: Path, root: Path = ROOT) -> Path:
    """The bundle of a phone's page, made from the sources under `root`."""
    node = find_node()[0]
    command = [str(node), str(root / "tests/faults/phones/build_page.mjs"), str(root), str(out)]
    subprocess.run(command, check=True, env=node_environment(node), cwd=root / "frontend")
    return out


class PhoneHost:
    """Answers commands one after another; see phones/host.mjs for what they are."""

    def __init__(self, bundle: Path | None = None, root: Path = ROOT) -> None:
        self._folder = None if bundle else tempfile.TemporaryDirectory()
        made = bundle or build_page(Path(self._folder.name if self._folder else "") / "page.js", root)
        command = [str(find_node()[0]), str(root / "tests/faults/phones/host.mjs"), str(root), str(made)]
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def __call__(self, command: str, **given: Any) -> dict[str, Any]:
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps({"do": command, **given}).encode() + b"\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        assert line, "the phones' process ended"
        answer: dict[str, Any] = json.loads(line)
        assert "broke" not in answer, f"{command}: {answer['broke']}"
        return answer

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.close()
        self._process.wait(timeout=20)
        self._process.stdout.close()
        if self._folder:
            self._folder.cleanup()
