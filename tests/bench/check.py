"""How long checking takes: 1,000 procedures in all their variants, one while it is edited, and how cost grows with steps.

`python3 tests/bench check [--procedures 1000]`. The procedures are those of the library, taken again and again under new
names, each read from its bytes, compiled and checked. While editing, the map has been read before. The growth is that of
one text whose steps are there once, twice, and so on; time for each step should not rise with their number.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import cycle, islice
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.bench.checker_score import Clean, library  # noqa: E402

from benchtrail.services.check_library import check_library  # noqa: E402
from benchtrail.services.compile_library import LibraryFile  # noqa: E402

AIM_MS = 50
PICTURE = b"<svg xmlns='http://www.w3.org/2000/svg'/>"


def many(count: int) -> tuple[float, int, int]:
    """(seconds, steps, findings) of checking `count` procedures and their maps in one go."""
    paths = sorted((ROOT / "procedures").rglob("*.yaml"))
    maps = [LibraryFile(f"{path.parent.name}/map.yaml", path.read_bytes()) for path in paths if path.stem == "map"]
    texts = [(path, path.read_text(encoding="utf-8")) for path in paths if path.stem != "map"]
    files = []
    for number, (path, text) in enumerate(islice(cycle(texts), count)):
        name = f"{path.stem}-{number}"
        renamed = text.replace(f"procedure: {path.stem}\n", f"procedure: {name}\n", 1)
        files.append(LibraryFile(f"{path.parent.name}/{name}.yaml", renamed.encode()))
    started = time.process_time()
    checked = check_library([*maps, *files], lambda name: PICTURE)
    taken = time.process_time() - started
    if len(checked.procedures) != count:
        raise SystemExit(f"{len(checked.procedures)} of {count} procedures were read")
    return taken, sum(len(entry.text.steps) for entry in checked.procedures), len(checked.findings)


def milliseconds(act: Callable[[], Any], times: int = 7) -> float:
    """The median time of an act on the processor, which others on a shared machine disturb less than the clock."""
    taken = []
    for _ in range(times):
        started = time.process_time()
        act()
        taken.append(1000 * (time.process_time() - started))
    return median(taken)


def repeated(clean: Clean, times: int) -> Any:
    """The procedure's text with its steps there several times."""
    steps = [{**step, "id": f"{step['id']}-{n}"} for n in range(times) for step in clean.text.steps]
    lines = dict(clean.text.notes.lines)
    return replace(clean.text, steps=steps, notes=replace(clean.text.notes, findings=[], lines=lines))


def main(argv: list[str]) -> int:
    options = argparse.ArgumentParser(prog="check")
    options.add_argument("--procedures", type=int, default=1000)
    asked = options.parse_args(argv)

    cleans = list(library())
    rows = [(clean.name, len(clean.text.steps), clean.played_variants, milliseconds(lambda clean=clean: clean.check(clean.text)))
            for clean in cleans]
    print(f"{'one procedure while editing':42} {'steps':>6} {'variants':>9} {'ms':>8}   (processor time)")
    for name, steps, variants, ms in sorted(rows, key=lambda row: row[3]):
        print(f"{name:42} {steps:6} {variants:9} {ms:8.1f}{'' if ms < AIM_MS else '   over the aim of 50 ms'}")

    longest = max(cleans, key=lambda clean: len(clean.text.steps))
    print(f"\n{'growth: ' + longest.name:42} {'steps':>6} {'ms':>8} {'µs a step':>10}")
    growth = []
    for times in (1, 2, 4, 8):
        text = repeated(longest, times)
        ms = milliseconds(lambda text=text: longest.check(text), 3)
        growth.append(1000 * ms / len(text.steps))
        print(f"{f'{times} times':42} {len(text.steps):6} {ms:8.1f} {growth[-1]:10.0f}")

    seconds, steps, findings = many(asked.procedures)
    print(f"\n{asked.procedures} procedures, {steps} steps, every variant, read and checked in {seconds:.1f} s, {findings} findings; "
          f"{1000 * seconds / asked.procedures:.1f} ms each")
    times_ms = sorted(row[3] for row in rows)
    print(f"RESULT check procedures={asked.procedures} seconds={seconds:.1f} editing_ms_median={median(times_ms):.1f} "
          f"editing_ms_max={times_ms[-1]:.1f} growth_8x={growth[-1] / growth[0]:.2f}")
    return 0
