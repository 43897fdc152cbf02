"""Hand-made faults of sync and storage, put in one by one: how many the tests catch, and how long that takes."""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from front_build import find_node, node_environment  # noqa: E402

MUTANTS = Path(__file__).resolve().parent / "mutants"
CAUGHT_BY = "Caught by: "
IN_MEMORY = Path("/dev/shm")
MARKS = {"vitest": "AssertionError", "pytest": "FAILED"}


@dataclass(frozen=True)
class Mutant:
    """One fault: a patch whose first lines say what it does and which test should see it."""

    name: str
    words: str
    caught_by: tuple[str, str]
    path: Path


def mutants() -> list[Mutant]:
    """All of them, by name."""
    found = []
    for path in sorted(MUTANTS.glob("*.patch")):
        words, by = path.read_text(encoding="utf-8").splitlines()[:2]
        kind, _, target = by.removeprefix(CAUGHT_BY).partition(" ")
        found.append(Mutant(path.stem, words, (kind, target), path))
    return found


def copy_of_tree(folder: Path) -> Path:
    """The tree as git knows it, with the packages of the front end linked in."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    for name in listed.stdout.decode().split("\0"):
        if name and (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, folder / name)
    (folder / "frontend/node_modules").symlink_to(ROOT / "frontend/node_modules")
    return folder


def apply(patch: Path, tree: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """`git apply` of one patch to a tree that is no repository."""
    environment = {**os.environ, "GIT_CEILING_DIRECTORIES": str(tree.parent)}
    return subprocess.run(["git", "apply", *options, str(patch)], cwd=tree, env=environment, capture_output=True, text=True)


def verdict(tree: Path, kind: str, *targets: str) -> tuple[bool, str]:
    """Whether a test fails on the tree, and its words. A test that cannot even start raises SystemExit."""
    node = str(find_node()[0])
    environment = {name: value for name, value in node_environment(Path(node)).items() if name != "PYTHONPATH"}
    if kind == "vitest":
        command, cwd = [node, "node_modules/vitest/vitest.mjs", "run", *targets], tree / "frontend"
    else:
        command, cwd = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *targets], tree
    done = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True)
    output = done.stdout + done.stderr
    if done.returncode != 0 and MARKS[kind] not in output:
        raise SystemExit(f"{kind} {' '.join(targets)} did not judge, it stopped:\n{output[-3000:]}")
    said = [line for line in output.splitlines() if MARKS[kind] in line or line.startswith("E ")]
    return done.returncode != 0, said[0].removeprefix("E").strip()[:120] if said else ""


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="mutants", description=__doc__)
    parser.add_argument("--only", nargs="*", help="names of mutants")
    options = parser.parse_args(argv)
    chosen = [one for one in mutants() if not options.only or one.name in options.only]
    caught, times = 0, []
    with tempfile.TemporaryDirectory(dir=IN_MEMORY if IN_MEMORY.is_dir() else None) as name:
        tree = copy_of_tree(Path(name))
        for kind in sorted({one.caught_by[0] for one in chosen}):
            fails, words = verdict(tree, kind, *sorted({one.caught_by[1] for one in chosen if one.caught_by[0] == kind}))
            if fails:
                raise SystemExit(f"a test of {kind} fails without any mutant: {words}")
        for one in chosen:
            patch = tree / one.path.relative_to(ROOT)
            applied = apply(patch, tree)
            if applied.returncode:
                raise SystemExit(f"{one.name} does not apply: {applied.stderr}")
            start = time.monotonic()
            seen, words = verdict(tree, *one.caught_by)
            times.append(time.monotonic() - start)
            apply(patch, tree, "--reverse")
            caught += seen
            print(f"{'caught' if seen else 'MISSED'} {times[-1]:6.1f} s  {one.name:28} {one.caught_by[0]:6} {words}", flush=True)
    middle = sorted(times)[len(times) // 2]
    print(f"RESULT mutants caught={caught} of={len(chosen)} median_s={middle:.1f} longest_s={max(times):.1f} total_s={sum(times):.0f}")
    return 0 if caught == len(chosen) else 1
