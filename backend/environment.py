"""Makes the project's own virtual environment; `python3 demo` and `python3 tests` both start here.

Standard library only: it runs before anything is installed.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
import time
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "backend"))

from front_build import front_fingerprint  # noqa: E402

HOME = ROOT / ".venv"
MARKER = HOME / "benchtrail.json"


def environment_python() -> Path:
    """The Python of the virtual environment."""
    return HOME / "Scripts" / "python.exe" if os.name == "nt" else HOME / "bin" / "python"


def fingerprint() -> str:
    """What the installed state depends on: the project file, the build code, the front end, and this Python."""
    digest = hashlib.sha256(f"{sys.version_info[:3]}{ROOT}".encode())
    for path in (ROOT / "pyproject.toml", ROOT / "backend" / "build_hook.py", ROOT / "backend" / "front_build.py"):
        digest.update(path.read_bytes())
    digest.update(front_fingerprint(ROOT).encode())
    return digest.hexdigest()


def ensure_environment(extra: str = "") -> Path:
    """Makes or brings up to date `.venv` with the project installed (and its `extra`); answers its Python."""
    if sys.version_info < (3, 11):  # noqa: UP036 - this file is the one that an older Python may start
        sys.exit(f"Benchtrail needs Python 3.11 or newer; this is {sys.version.split()[0]}. Start it with a newer one.")
    python = environment_python()
    wanted, installed = fingerprint(), _installed()
    if python.is_file() and installed.get("state") == wanted and (not extra or extra in installed.get("extras", [])):
        return python
    started = time.monotonic()
    if not python.is_file():
        print("Making the project's environment in .venv …", flush=True)
        _make(python)
    kept = installed.get("extras", []) if python.is_file() else []
    extras = sorted({*kept, *([extra] if extra else [])})
    target = ".[" + ",".join(extras) + "]" if extras else "."
    print(f"Installing Benchtrail ({target}) and building the front end; a first time takes minutes …", flush=True)
    command = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-e", target]
    if subprocess.run(command, cwd=ROOT).returncode:
        sys.exit(
            "The installation did not finish; pip says why above. Nothing else was changed. "
            "With the package registries in reach, start the same command again."
        )
    MARKER.write_text(json.dumps({"state": wanted, "extras": extras}))
    print(f"Installed in {time.monotonic() - started:.0f} s.", flush=True)
    return python


def _make(python: Path) -> None:
    try:
        venv.EnvBuilder(with_pip=True, clear=HOME.exists()).create(HOME)
    except (OSError, subprocess.CalledProcessError):
        sys.exit(
            "Python could not make a virtual environment. On Debian the package python3-venv is missing: "
            "install it (apt-get install python3-venv) and start again."
        )
    if not python.is_file():
        sys.exit(f"The new environment has no Python at {python}. Remove the folder .venv and start again.")


def _installed() -> dict[str, object] | dict[str, list[str]]:
    try:
        found = json.loads(MARKER.read_text())
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def find_chromium() -> str | None:
    """A Chromium or Chrome on this machine: BENCHTRAIL_CHROMIUM, else one on the PATH."""
    named = os.environ.get("BENCHTRAIL_CHROMIUM")
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
    return named or next((path for name in names if (path := shutil.which(name))), None)
