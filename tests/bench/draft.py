"""P1 and P5 on every goal of every map of the library: what a draft of each finds wrong with itself, whether the machine is
as it was at its end, and how long it takes.

Not a test: all goals take minutes. `--every N`: only every Nth. Seconds are those of the processor, so that others on a
shared machine count less. `RESULT draft goals=… clean=… free=… faults=… seconds=… worst=…`; free: a joint is only to be
reached, and the map says itself that nothing is in the way.
"""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from os import cpu_count

from tests.drafting import MODELS, all_goals, model_pack, outcome

AIM_SECONDS = 10
SLOWEST = 10


def main(arguments: list[str]) -> int:
    """One line for each map, one for each goal that is not clean, and the result. `--every N`: only every Nth goal."""
    slowest: list[tuple[float, str]] = []
    every = int(arguments[1]) if arguments[:1] == ["--every"] else 1
    total: Counter[str] = Counter()
    seconds = 0.0
    print(f"{'map':24} {'goals':>6} {'clean':>6} {'free':>6} {'faults':>7} {'mean s':>7} {'worst s':>8}")
    with ProcessPoolExecutor(cpu_count()) as workers:
        for model in MODELS:
            goals = [(model, goal) for goal in all_goals(model_pack(model))][::every]
            found = list(workers.map(outcome, goals, chunksize=4))
            free = sum(codes == ["free"] for codes, _ in found)
            clean = sum(not codes for codes, _ in found)
            faults = len(goals) - clean - free
            times = [time for _, time in found]
            print(f"{model:24} {len(goals):6} {clean:6} {free:6} {faults:7} {sum(times) / len(times):7.2f} {max(times):8.2f}")
            for goal, (codes, _) in zip(goals, found, strict=True):
                if codes not in ([], ["free"]):
                    print(f"  {goal[1]}: {', '.join(sorted(set(codes)))}")
            slowest = sorted([*slowest, *((time, f"{model} {goal}") for (_, goal), time in zip(goals, times, strict=True))])[-SLOWEST:]
            total.update(goals=len(goals), clean=clean, free=free, faults=faults)
            seconds += sum(times)
    print("slowest:")
    for time, words in reversed(slowest):
        print(f"  {time:6.2f} s  {words}{'' if time < AIM_SECONDS else f'   over the aim of {AIM_SECONDS} s'}")
    print(f"RESULT draft goals={total['goals']} clean={total['clean']} free={total['free']} faults={total['faults']} "
          f"seconds={seconds:.0f} worst={slowest[-1][0]:.1f}")
    return 1 if total["faults"] else 0
