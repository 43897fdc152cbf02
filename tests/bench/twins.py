"""How far Python and TypeScript differ: every bench calculation on the same random inputs in both."""

from __future__ import annotations

import argparse
import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.bench.twin_inputs import GENERATORS, spoiled  # noqa: E402

from benchtrail.domain.answer import answer_data  # noqa: E402
from benchtrail.domain.calculations import CALCULATIONS  # noqa: E402
from benchtrail.domain.refused import Refused  # noqa: E402
from front_build import find_node  # noqa: E402


def python_side(name: str, inputs: dict[str, Any]) -> list[Any]:
    try:
        return ["answer", answer_data(CALCULATIONS[name](**inputs))]
    except Refused as refusal:
        return ["refused", refusal.code, refusal.values]


def apart(a: Any, b: Any) -> float:
    """The largest difference of two results: of numbers relative to the larger or to 1; infinite if they are unlike."""
    numbers = all(isinstance(side, int | float) and not isinstance(side, bool) for side in (a, b))
    if not numbers:
        if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
            return max((apart(a[key], b[key]) for key in a), default=0.0)
        if isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
            return max((apart(x, y) for x, y in zip(a, b, strict=True)), default=0.0)
        return 0.0 if type(a) is type(b) and a == b else math.inf
    return abs(a - b) / max(1.0, abs(a), abs(b))


class Tally:
    """What one calculation came to."""

    def __init__(self, name: str) -> None:
        self.name, self.answers, self.refusals, self.unlike, self.largest = name, 0, 0, 0, 0.0
        self.example: str = ""

    def count(self, inputs: str, here: list[Any], there: list[Any]) -> None:
        self.answers += here[0] == "answer"
        self.refusals += here[0] == "refused"
        gap = apart(json.loads(json.dumps(here)), there)
        if gap == math.inf:
            self.unlike += 1
            self.example = self.example or f"{inputs}\n  Python     {here}\n  TypeScript {there}"
        else:
            self.largest = max(self.largest, gap)


def compare(name: str, count: int, seed: int, folder: Path) -> Tally:
    """Both sides on `count` inputs: TypeScript works on them while Python does."""
    rng = Random(f"{seed} {name}")
    lines = [json.dumps(spoiled(rng, GENERATORS[name](rng))) for _ in range(count)]
    given, taken = folder / f"{name}.in", folder / f"{name}.out"
    given.write_text("\n".join(lines) + "\n", encoding="utf-8")
    command = [str(find_node()[0]), str(ROOT / "tests/bench/twin_side.mjs"), str(ROOT / "frontend/src/domain"), name]
    with given.open() as source, taken.open("w") as target:
        other = subprocess.Popen(command, stdin=source, stdout=target)
        here = [python_side(name, json.loads(line)) for line in lines]
        if other.wait(timeout=1800) != 0:
            raise SystemExit(f"the TypeScript side of {name} ended with code {other.returncode}")
    tally = Tally(name)
    with taken.open(encoding="utf-8") as results:
        for line, mine, theirs in zip(lines, here, results, strict=True):
            tally.count(line, mine, json.loads(theirs))
    return tally


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="twins", description=__doc__)
    parser.add_argument("--inputs", type=int, default=100_000, help="random inputs for each calculation")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="*", choices=sorted(CALCULATIONS), help="only these calculations")
    options = parser.parse_args(argv)
    names = options.only or list(CALCULATIONS)
    if set(GENERATORS) != set(CALCULATIONS):
        raise SystemExit(f"no random inputs for {sorted(set(CALCULATIONS) - set(GENERATORS))}")
    start = time.monotonic()
    tallies = []
    print(f"{'calculation':22} {'answers':>8} {'refusals':>8} {'unlike':>7} {'largest difference':>19}")
    with tempfile.TemporaryDirectory() as folder:
        for name in names:
            tally = compare(name, options.inputs, options.seed, Path(folder))
            tallies.append(tally)
            print(f"{name:22} {tally.answers:8} {tally.refusals:8} {tally.unlike:7} {tally.largest:19.3g}", flush=True)
            if tally.example:
                print(f"  first unlike: {tally.example}")
    unlike = sum(tally.unlike for tally in tallies)
    largest = max(tally.largest for tally in tallies)
    seconds = time.monotonic() - start
    print(f"RESULT twins functions={len(names)} inputs={options.inputs} largest_difference={largest:.3g} "
          f"unlike={unlike} seconds={seconds:.0f}")
    return 1 if unlike or largest > 1e-9 else 0
