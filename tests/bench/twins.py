"""How far Python and TypeScript differ: every bench calculation on the same random inputs in both."""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.bench.twin_compare import compare  # noqa: E402
from tests.bench.twin_inputs import GENERATORS  # noqa: E402

from benchtrail.domain.calculations import CALCULATIONS  # noqa: E402

LONG = ("learned_weight", "service_list", "kit_check", "step_time", "shim_swap", "service_due", "tightening_plan")


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="twins", description=__doc__)
    parser.add_argument("--inputs", type=int, default=100_000, help="random inputs for each calculation")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="*", choices=sorted(CALCULATIONS), help="only these calculations")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1, help="calculations compared at the same time")
    options = parser.parse_args(argv)
    names = options.only or list(CALCULATIONS)
    if set(GENERATORS) != set(CALCULATIONS):
        raise SystemExit(f"no random inputs for {sorted(set(CALCULATIONS) - set(GENERATORS))}")
    start = time.monotonic()
    tallies = []
    # those with long lists first, so that no core waits for one of them at the end
    order = [*(name for name in LONG if name in names), *(name for name in names if name not in LONG)]
    print(f"{'calculation':22} {'answers':>8} {'refusals':>8} {'unlike':>7} {'largest difference':>19} {'seconds':>8}")
    with ProcessPoolExecutor(options.workers, multiprocessing.get_context("spawn")) as pool:
        for tally in pool.map(compare, [(name, options.inputs, options.seed) for name in order]):
            tallies.append(tally)
            print(f"{tally.name:22} {tally.answers:8} {tally.refusals:8} {tally.unlike:7} {tally.largest:19.3g} "
                  f"{tally.seconds:8.1f}", flush=True)
            if tally.example:
                print(f"  first unlike: {tally.example}")
    unlike = sum(tally.unlike for tally in tallies)
    largest = max(tally.largest for tally in tallies)
    seconds = time.monotonic() - start
    print(f"RESULT twins functions={len(names)} inputs={options.inputs} largest_difference={largest:.3g} "
          f"unlike={unlike} seconds={seconds:.0f}")
    return 1 if unlike or largest > 1e-9 else 0
