"""`python3 tests/bench NAME [options]` runs one benchmark; `--list` names them all.

A benchmark is a file here with `main(argv) -> int`, a first docstring line that says what it measures, and a last
printed line `RESULT NAME key=value …`.
"""

from __future__ import annotations

import ast
import os
import runpy
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from environment import ensure_environment  # noqa: E402


def benchmarks() -> dict[str, str]:
    """Name → what it measures."""
    found = {}
    for path in sorted(HERE.glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if any(isinstance(node, ast.FunctionDef) and node.name == "main" for node in tree.body) and path.stem[0] != "_":
            found[path.stem] = (ast.get_docstring(tree) or "").partition("\n")[0]
    return found


def run(arguments: list[str]) -> int:
    known = benchmarks()
    if arguments == ["--list"]:
        print("\n".join(f"{name:12} {words}" for name, words in known.items()))
        return 0
    if not arguments or arguments[0] not in known:
        print(f"Name one of the benchmarks: {', '.join(known)}. `--list` says what each measures.")
        return 2
    module = runpy.run_path(str(HERE / f"{arguments[0]}.py"), run_name=f"bench_{arguments[0]}")
    return int(module["main"](arguments[1:]) or 0)


def needed_extra(arguments: list[str]) -> str:
    """`bench` for a benchmark that measures beside a solver that nothing else uses; it is installed when first asked for."""
    return "bench" if arguments[:1] == ["plan"] and "--alone" not in arguments else ""


if __name__ == "__main__":
    python = str(ensure_environment("tests"))
    if needed_extra(sys.argv[1:]):
        python = str(ensure_environment("bench"))
    if os.environ.get("_BENCHTRAIL_BENCH") != "1":
        environment = {**os.environ, "_BENCHTRAIL_BENCH": "1"}
        sys.stdout.flush()
        sys.exit(subprocess.run([python, str(HERE), *sys.argv[1:]], env=environment).returncode)
    sys.exit(run(sys.argv[1:]))
