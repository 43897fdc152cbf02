"""How many single faults in the library's procedures the checker finds, by kind of fault, and how often it cries wolf.

Breaks every clean procedure in every way of mutations.py, a sample of each kind with a fixed and with a fresh seed, and
checks each mutant in every variant. What the machine's model calls no fault (machine_model.py: two independent steps
swapped) is counted apart. A mutant counts as found when there is a finding that the clean procedure does not have; every
finding in a clean procedure counts as a false alarm.
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.bench.checker_score import Score, library, score_of_place  # noqa: E402


def main(argv: list[str]) -> int:
    options = argparse.ArgumentParser(prog="checker")
    options.add_argument("--per-operator", type=int, default=8, help="faults of each kind in each procedure, for each seed")
    options.add_argument("--seed", type=int, default=1, help="the fixed seed")
    options.add_argument("--fixed-only", action="store_true", help="no second round with a fresh seed")
    options.add_argument("--missed", type=int, default=40, help="how many of the missed are named")
    asked = options.parse_args(argv)
    fresh = time.time_ns() % 1_000_000
    seeds = [asked.seed] if asked.fixed_only else [asked.seed, fresh]
    started = time.perf_counter()
    count = sum(1 for _ in library())
    tasks = [(place, asked.per_operator, seed) for seed in seeds for place in range(count)]
    total = Score()
    with ProcessPoolExecutor() as pool:
        for score in pool.map(score_of_place, tasks):
            total.add(score)
    print(f"{'kind of fault':22} {'found':>6} {'of':>6} {'share':>8}   no fault by the model")
    for operator, (found, tried, none) in total.by_operator.items():
        share = f"{100 * found / tried:7.1f}%" if tried else "      - "
        print(f"{operator:22} {found:6} {tried:6} {share}   {none or ''}")
    for line in sorted(set(total.missed))[: asked.missed]:
        print(f"missed: {line}")
    found_all, all_all = (sum(row[n] for row in total.by_operator.values()) for n in (0, 1))
    per_100, per_200 = (share * total.alarms / total.steps for share in (100, 200))
    print(f"{all_all} faults, seeds {', '.join(map(str, seeds))}, in {time.perf_counter() - started:.0f} s; "
          f"false alarms per 100 clean steps: {per_100:.2f}")
    print(f"RESULT checker detected={found_all / all_all:.4f} mutants={all_all} missed={len(total.missed)} "
          f"false_per_200={per_200:.2f} seed={asked.seed} fresh={'' if asked.fixed_only else fresh}")
    return 0
