"""Tasks with AND and OR precedence: how many orders there are, the least time to one of them, the fewest sessions.

Knows small sets of tasks (all feasible sets are visited); the least time is found by the planner's own closure.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product

from benchtrail.domain.planning.closure import least_closure
from benchtrail.domain.planning.problem import Item, problem_of
from benchtrail.domain.refused import Refused


@dataclass(frozen=True)
class Task:
    """A task: its time, tasks that must all come before it, and sets of which one must come before it."""

    minutes: int
    after: frozenset[str] = frozenset()
    after_one_of: tuple[frozenset[str], ...] = ()

    def ready(self, done: frozenset[str]) -> bool:
        """True if it can be done once `done` are."""
        return self.after <= done and all(done & choice for choice in self.after_one_of)


def task_items(tasks: Mapping[str, Task]) -> list[Item]:
    """The tasks as items of a least-work problem; one second stands for one unit of time."""
    return [Item(key, tuple(task.after | frozenset(chosen) for chosen in product(*map(sorted, task.after_one_of))),
                 task.minutes) for key, task in tasks.items()]


def least_time(tasks: Mapping[str, Task], target: str) -> int:
    """The least total time of a set of tasks that ends with `target`. Raises as `least_closure`."""
    return least_closure(problem_of(task_items(tasks), [target])).cost_s


def count_orders(tasks: Mapping[str, Task]) -> int:
    """In how many orders all tasks can be done."""
    whole = frozenset(tasks)

    @cache
    def orders(done: frozenset[str]) -> int:
        if done == whole:
            return 1
        return sum(orders(done | {key}) for key in sorted(whole - done) if tasks[key].ready(done))
    return orders(frozenset())


def least_sessions(tasks: Mapping[str, Task], longest: int) -> int:
    """The fewest sessions of at most `longest` minutes in which all tasks can be done, none of them split.

    Exact: for every feasible set of done tasks the least (sessions, minutes used in the last one), which is enough
    since less of both is never worse. Raises Refused("task_too_long" | "tasks_circular").
    """
    for key, task in sorted(tasks.items()):
        if task.minutes > longest:
            raise Refused("task_too_long", task=key, minutes=task.minutes, longest=longest)
    best: dict[frozenset[str], tuple[int, int]] = {frozenset(): (0, longest)}
    for _ in range(len(tasks)):
        following: dict[frozenset[str], tuple[int, int]] = {}
        for done, (sessions, used) in best.items():
            for key in tasks.keys() - done:
                if tasks[key].ready(done):
                    minutes = tasks[key].minutes
                    state = (sessions, used + minutes) if used + minutes <= longest else (sessions + 1, minutes)
                    after = done | {key}
                    following[after] = min(state, following.get(after, state))
        best = following
    if frozenset(tasks) not in best:
        raise Refused("tasks_circular", tasks=", ".join(sorted(tasks)))
    return best[frozenset(tasks)][0]
