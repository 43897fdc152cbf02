"""One calculation on random inputs in Python and in TypeScript, and how far the two are apart."""

from __future__ import annotations

import json
import math
import subprocess
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from random import Random
from typing import Any

from tests.bench.twin_inputs import GENERATORS, spoiled

from benchtrail.domain.answer import answer_data
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.refused import Refused
from front_build import find_node

ROOT = Path(__file__).resolve().parents[2]
_NUMBERS = {int, float}


def python_side(name: str, inputs: dict[str, Any]) -> list[Any]:
    try:
        return ["answer", answer_data(CALCULATIONS[name](**inputs))]
    except Refused as refusal:
        return ["refused", refusal.code, refusal.values]


def apart(a: Any, b: Any) -> float:
    """The largest difference of two results: of numbers relative to the larger or to 1; infinite if they are unlike.

    `a` is as Python holds it, tuples and all; `b` as JSON brought it.
    """
    kind = type(b)
    if kind is str or b is None or kind is bool:
        return 0.0 if type(a) is kind and a == b else math.inf
    if kind is dict:
        if not isinstance(a, Mapping) or len(a) != len(b):
            return math.inf
        return max([apart(value, b[key]) if key in b else math.inf for key, value in a.items()], default=0.0)
    if kind is list:
        if not isinstance(a, list | tuple) or len(a) != len(b):
            return math.inf
        return max(map(apart, a, b), default=0.0)
    if type(a) not in _NUMBERS:
        return math.inf
    # inf or NaN on the Python side makes a difference that is not finite
    gap = abs(a - b) / max(1.0, abs(a), abs(b))
    return gap if gap < math.inf else math.inf


class Tally:
    """What one calculation came to."""

    def __init__(self, name: str) -> None:
        self.seconds = 0.0
        self.name, self.answers, self.refusals, self.unlike, self.largest = name, 0, 0, 0, 0.0
        self.example: str = ""

    def count(self, inputs: str, here: list[Any], there: list[Any]) -> None:
        self.answers += here[0] == "answer"
        self.refusals += here[0] == "refused"
        gap = apart(here, there)
        if gap == math.inf:
            self.unlike += 1
            self.example = self.example or f"{inputs}\n  Python     {here}\n  TypeScript {there}"
        else:
            self.largest = max(self.largest, gap)


def compare(job: tuple[str, int, int]) -> Tally:
    """Both sides of one calculation on `count` inputs: TypeScript works on them while Python does."""
    name, count, seed = job
    rng, start = Random(f"{seed} {name}"), time.monotonic()
    command = [str(find_node()[0]), str(ROOT / "tests/bench/twin_side.mjs"), str(ROOT / "frontend/src/domain"), name]
    tally = Tally(name)
    with tempfile.TemporaryDirectory() as folder:
        given, taken = Path(folder) / "in", Path(folder) / "out"
        given.write_text("".join(f"{json.dumps(spoiled(rng, GENERATORS[name](rng)))}\n" for _ in range(count)), encoding="utf-8")
        with given.open() as source, taken.open("w") as target:
            other = subprocess.Popen(command, stdin=source, stdout=target)
            # the inputs are read back from the text that TypeScript reads, so both begin with the same numbers
            with given.open(encoding="utf-8") as lines:
                here = [python_side(name, json.loads(line)) for line in lines]
            if other.wait(timeout=1800) != 0:
                raise SystemExit(f"the TypeScript side of {name} ended with code {other.returncode}")
        with given.open(encoding="utf-8") as lines, taken.open(encoding="utf-8") as results:
            for line, mine, theirs in zip(lines, here, results, strict=True):
                tally.count(line, mine, json.loads(theirs))
    tally.seconds = time.monotonic() - start
    return tally
