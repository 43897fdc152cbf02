"""How fast least work and order are proven on synthetic machines of 50 to 1,000 parts, beside CP-SAT in the same run.

`python3 tests/bench plan [--sizes 50,200,400,1000] [--seeds 3] [--seconds 60] [--tangled] [--orders] [--alone]`. Prints every
instance, then how time and proof grow with size. CP-SAT is the extra `bench` (ortools), installed when this is first run and
used nowhere else; `--alone` does without it, and then the table holds our own times only.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from pathlib import Path
from random import Random
from statistics import median
from time import monotonic

sys.path.insert(0, str(Path(__file__).resolve().parent))

from synthetic_map import synthetic_goals, synthetic_map

from benchtrail.domain.planning.items import plan_problem
from benchtrail.domain.planning.operations import Mode, Operation
from benchtrail.domain.planning.order import least_changes
from benchtrail.domain.planning.problem import Problem
from benchtrail.domain.planning.verify import faults_of
from benchtrail.services.least_work import least_work, timer

Answer = tuple[int | None, int, bool, float]
ORDER_SIZES = ((20, 5), (40, 5), (60, 5))


def ours(problem: Problem, seconds: float) -> tuple[Answer, bool]:
    """(cost, bound, proven, seconds) and whether the independent verifier agrees."""
    started = monotonic()
    answer = least_work(problem, lambda chosen: None, seconds)
    taken = monotonic() - started
    return (answer.cost_s, answer.bound_s, answer.proven, taken), faults_of(problem, answer) == []


def by_cp_sat(problem: Problem, seconds: float) -> Answer:
    """The same problem as a CP-SAT model with ranks, on two workers."""
    from ortools.sat.python import cp_model

    started = monotonic()
    model = cp_model.CpModel()
    chosen = {key: model.new_bool_var(key) for key in problem.items}
    rank = {key: model.new_int_var(0, len(problem.items), f"rank {key}") for key in problem.items}
    for key, item in problem.items.items():
        ways = []
        for way in item.alternatives:
            taken = model.new_bool_var("")
            ways.append(taken)
            for need in way:
                model.add_implication(taken, chosen[need])
                model.add(rank[need] + 1 <= rank[key]).only_enforce_if(taken)
        model.add(sum(ways) >= 1).only_enforce_if(chosen[key])
    for goal in problem.goals:
        model.add(chosen[goal] == 1)
    model.minimize(sum(item.cost_s * chosen[key] for key, item in problem.items.items()))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    cost = round(solver.objective_value) if found else None
    return cost, round(solver.best_objective_bound), status == cp_model.OPTIMAL, monotonic() - started


def cell(answer: Answer | None) -> str:
    if answer is None:
        return f"{'not installed':>24}"
    cost, bound, proven, seconds = answer
    gap = "proven" if proven else f"gap {100 * (cost - bound) / cost:.1f} %" if cost else "no plan"
    return f"{cost if cost is not None else '-':>8} {gap:>10} {seconds:6.2f} s"


def random_operations(count: int, width: int, seed: int) -> list[Operation]:
    """Operations like those of a strip-down: six tools, three sides, needs among the last few."""
    random = Random(f"{count}/{width}/{seed}")
    found = []
    for number in range(count):
        before = random.sample(range(max(0, number - width), number), min(number, random.choice([0, 1, 1, 2])))
        values = (frozenset([f"t{random.randrange(6)}"]), frozenset([f"s{random.randrange(3)}"]))
        found.append(Operation(f"o{number}", (Mode(frozenset(f"o{n}" for n in before), values),)))
    return found


def orders(seeds: int) -> tuple[int, int]:
    """Prints the table of orders; returns how many were proven within 5 s, of how many."""
    print(f"\n{'operations':>10} {'seed':>4} {'cost':>5} {'bound':>5} {'greedy':>6} {'seconds':>8}")
    proven = total = 0
    for count, width in ORDER_SIZES:
        for seed in range(seeds):
            operations = random_operations(count, width, seed)
            started = monotonic()
            ordered = least_changes(operations, [1, 3], timer(5))
            taken = monotonic() - started
            greedy = least_changes(operations, [1, 3], lambda: True, beam=1)
            proven, total = proven + ordered.proven, total + 1
            print(f"{count:>10} {seed:>4} {ordered.cost:>5} {ordered.bound:>5} {greedy.cost:>6} {taken:>8.2f}")
    return proven, total


def options(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="plan", description=__doc__)
    parser.add_argument("--sizes", default="50,200,400,1000")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--tangled", action="store_true", help="machines in which most of everything takes part")
    parser.add_argument("--orders", action="store_true", help="also the table of orders")
    parser.add_argument("--alone", action="store_true", help="without CP-SAT: our own times only")
    return parser.parse_args(argv)


Row = tuple[int, int, Answer, Answer | None]


def growth(rows: list[Row]) -> None:
    """Prints for each size the median of items, of our seconds and of the other solver's, and how many each proved."""
    print(f"\n{'parts':>5} {'items':>6} | {'ours: median s':>14} {'slowest':>8} {'proven':>7} | {'CP-SAT: median s':>16} {'slowest':>8} "
          f"{'proven':>7} | ratio of medians")
    for size in dict.fromkeys(row[0] for row in rows):
        mine = [row for row in rows if row[0] == size]
        ours_s, ours_proven = [row[2][3] for row in mine], sum(row[2][2] for row in mine)
        others = [row[3] for row in mine if row[3] is not None]
        line = (f"{size:>5} {median(row[1] for row in mine):>6.0f} | {median(ours_s):>14.3f} {max(ours_s):>8.3f} "
                f"{f'{ours_proven}/{len(mine)}':>7} | ")
        if others:
            theirs_s = [other[3] for other in others]
            proven = f"{sum(other[2] for other in others)}/{len(others)}"
            line += f"{median(theirs_s):>16.3f} {max(theirs_s):>8.3f} {proven:>7} | {median(ours_s) / median(theirs_s):.2f}"
        else:
            line += f"{'not installed':>16}"
        print(line)


def main(argv: list[str]) -> int:
    """Prints the tables and the result line."""
    asked = options(argv)
    beside = not asked.alone and importlib.util.find_spec("ortools") is not None
    print(f"{'parts':>5} {'seed':>4} {'items':>6} | {'Benchtrail':^27} | {'CP-SAT, two workers':^27} | ratio  verified")
    all_ours: list[Answer] = []
    rows: list[Row] = []
    ratios: list[float] = []
    faults = differing = 0
    for size in map(int, asked.sizes.split(",")):
        for seed in range(asked.seeds):
            machine = synthetic_map(size, seed, asked.tangled)
            problem = plan_problem(machine, synthetic_goals(machine, seed, max(1, min(6, size // 60))))
            own, verified = ours(problem, asked.seconds)
            other = by_cp_sat(problem, asked.seconds) if beside else None
            all_ours.append(own)
            rows.append((size, len(problem.items), own, other))
            faults += not verified
            ratio = ""
            if other is not None:
                ratios.append(own[3] / max(other[3], 1e-9))
                differing += own[2] and other[2] and own[0] != other[0]
                ratio = f"{ratios[-1]:5.2f}"
            print(f"{size:>5} {seed:>4} {len(problem.items):>6} | {cell(own)} | {cell(other)} | {ratio:>5}  "
                  f"{'yes' if verified else 'NO'}", flush=True)
    growth(rows)
    proven = sum(answer[2] for answer in all_ours)
    words = [f"cases={len(all_ours)}", f"proven={proven}", f"slowest_s={max(answer[3] for answer in all_ours):.2f}",
             f"other_proven={sum(row[3][2] for row in rows if row[3])}" if beside else "other_proven=none",
             f"median_ratio={median(ratios):.2f}" if ratios else "median_ratio=none", f"differing={differing}",
             f"unverified={faults}"]
    if asked.orders:
        done, total = orders(asked.seeds)
        words.append(f"orders_proven={done}/{total}")
    print(f"RESULT plan {' '.join(words)}")
    return 1 if faults or differing else 0
