"""Imports run one way: domain ← services ← (storage, api, cli) ← wiring/app. This test prints the reason."""

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "backend" / "benchtrail"
FRONT = ROOT / "frontend" / "src"

# room → the rooms of the package that it may import
ALLOWED = {
    "domain": {"domain"},
    "services": {"domain", "services", "clock"},
    "storage": {"domain", "services", "storage", "resources", "clock", "config"},
    "paper": {"domain", "services", "paper"},
    "api": {"domain", "services", "api", "paper", "messages", "clock", "config"},
    "cli": {"domain", "services", "cli", "paper", "messages", "resources", "wiring", "app", "config", "clock"},
}
OUTSIDE_DOMAIN = {"domain/units.py": {"pint"}}


def python_imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide the room; write benchtrail.<room>…"
            yield node.module or ""


def complaints_of(path: Path) -> list[str]:
    name = path.relative_to(PACKAGE).as_posix()
    room = name.split("/")[0]
    found = []
    for module in python_imports(path):
        top, _, rest = module.partition(".")
        target = rest.split(".")[0]
        if top == "benchtrail" and target and target not in ALLOWED[room]:
            found.append(f"{name} imports {module}: {room} may import only {', '.join(sorted(ALLOWED[room]))}")
        outside = top != "benchtrail" and top not in sys.stdlib_module_names and top != "__future__"
        if room == "domain" and outside and top not in OUTSIDE_DOMAIN.get(name, set()):
            found.append(f"{name} imports {module}: domain rests on the standard library and itself")
    return found


@pytest.mark.parametrize("room", sorted(ALLOWED))
def test_python_imports_run_one_way(room: str) -> None:
    files = sorted((PACKAGE / room).rglob("*.py"))
    assert files, f"no files in {room}"
    files = [path for path in files if "migrations" not in path.parts]
    assert [line for path in files for line in complaints_of(path)] == []


def front_imports(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    yield from re.findall(r"""(?:from|import)\s+["']([^"']+)["']""", text)


def front_complaints(folder: str, forbidden: dict[str, str]) -> list[str]:
    found = []
    for path in sorted((FRONT / folder).rglob("*.ts*")):
        if ".test." in path.name:
            continue
        for target in front_imports(path):
            resolved = (path.parent / target).resolve() if target.startswith(".") else None
            inside = resolved.relative_to(FRONT).parts[0] if resolved and resolved.is_relative_to(FRONT) else target
            if inside in forbidden:
                found.append(f"{path.relative_to(FRONT)} imports {target}: {forbidden[inside]}")
    return found


def test_front_domain_imports_only_itself_and_generated() -> None:
    others = {p.name: "domain imports only itself and generated" for p in FRONT.iterdir() if p.is_dir()}
    others = {name: why for name, why in others.items() if name not in {"domain", "generated"}}
    others |= dict.fromkeys(["preact", "@preact/signals", "idb"], "domain needs no library")
    assert front_complaints("domain", others) == []


@pytest.mark.parametrize("folder", ["screens", "components", "drawings"])
def test_screens_never_reach_past_the_store(folder: str) -> None:
    forbidden = dict.fromkeys(("idb", "sync", "sw"), "only store/bench.ts is the door to data")
    assert front_complaints(folder, forbidden) == []
    for path in sorted((FRONT / folder).rglob("*.ts*")):
        text = path.read_text(encoding="utf-8")
        touched = [word for word in ("indexedDB", "fetch(") if word in text]
        assert touched == [], f"{path.name}: screens touch no storage and no network"


def test_worker_imports_no_screens() -> None:
    forbidden = dict.fromkeys(["screens", "components", "drawings", "preact"], "the worker has no screen")
    assert front_complaints("sw", forbidden) == []


def test_nothing_writes_raw_html() -> None:
    for path in sorted(FRONT.rglob("*.ts*")):
        text = path.read_text(encoding="utf-8")
        only_tests = ".test." in path.name or "testing" in path.parts
        assert only_tests or "innerHTML" not in text, f"{path.name}: innerHTML is used nowhere"
