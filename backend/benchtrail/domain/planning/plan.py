"""The least work for goals on one machine, in order, with the other ways and what they cost more.

Knows how the parts of the planner work together; nothing of words, files, clocks. The solver comes in as an argument, so
that a service may bring a stronger one.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from benchtrail.domain.planning.acts import change_costs, families_of, is_work, operations_of
from benchtrail.domain.planning.closure import Closure, least_closure
from benchtrail.domain.planning.items import Problems, plan_problem
from benchtrail.domain.planning.needs import Literal, Machine
from benchtrail.domain.planning.operations import Label
from benchtrail.domain.planning.order import Ordered, least_changes
from benchtrail.domain.planning.problem import NEVER, Problem, Refuse, TimeIsUp, never_up
from benchtrail.domain.planning.windows import Windows
from benchtrail.domain.refused import Refused

Solve = Callable[[Problem, Refuse], Closure]
Order = Callable[..., Ordered]
MOST_OTHER_WAYS = 8


@dataclass(frozen=True)
class OtherWay:
    """A plan that was not taken: it does without `without`, does `instead`, and costs `more_s` seconds more."""

    without: tuple[str, ...]
    instead: tuple[str, ...]
    more_s: int


@dataclass(frozen=True)
class Plan:
    """`problem` as it was solved; `whole` has the removal of single-use parts too, and so has `done`: every item."""

    machine: Machine
    goals: tuple[tuple[str, ...], ...]
    problem: Problem
    whole: Problem
    closure: Closure
    done: frozenset[str]
    order: Ordered
    other_ways: tuple[OtherWay, ...] = ()

    @property
    def work(self) -> list[tuple[str, Label]]:
        """The acts in order, each with the label in hand."""
        return [(key, label) for key, label in self.order.steps if is_work(self.machine, key)]


def own_solver(problem: Problem, refuse: Refuse) -> Closure:
    """The planner's own exact solver, without a time limit."""
    return least_closure(problem, refuse=refuse)


def least_plan(machine: Machine, goals: Iterable[Literal], start: Sequence[Literal] = (), solve: Solve = own_solver,
               time_is_up: TimeIsUp = never_up, ordered: Order = least_changes, give_up: TimeIsUp = never_up) -> Plan:
    """The least work that reaches all goals, in the order with the fewest changes. `machine`: a map for one variant;
    `start`: poses and settings that hold before; `ordered`: finds the order; `time_is_up` ends the search for the order,
    `give_up` that for poses that let a set of acts be done at all. Raises what `plan_problem` and `least_closure` raise."""
    wanted = tuple(tuple(goal) for goal in goals)
    problem = plan_problem(machine, wanted, start)
    closure = _solved_in_time(problem, Windows(machine, problem, give_up), solve)
    whole = _with_single_use(machine, problem, closure, wanted, start)
    done = frozenset(closure.chosen) | _follows_freely(whole, closure)
    operations = operations_of(machine, whole, done)
    order = ordered(operations, change_costs(machine), time_is_up, start=_label(machine, start))
    return Plan(machine, wanted, problem, whole, closure, done, order)


def _solved_in_time(problem: Problem, windows: Windows, solve: Solve) -> Closure:
    """The answer; when no plan is found in time, one that keeps fluids in by a pose only where it must, and so is easily
    ordered, with what is proven of the whole problem."""
    try:
        return solve(problem, windows.refuse)
    except Refused as refusal:
        if refusal.code != "plan_time_up":
            raise
        drained = {key: replace(item, alternatives=tuple(
            way for way in item.alternatives if not windows.dodges(item, way)) or item.alternatives)
            for key, item in problem.items.items()}
        easier = replace(problem, items=drained)
        try:
            found = solve(easier, Windows(windows.machine, easier).refuse)
        except Refused:
            raise refusal from None
        bound_s = min(found.cost_s, int(str(refusal.values.get("bound_s", 0))))
        return replace(found, bound_s=bound_s, proven=bound_s >= found.cost_s, proof=None)


def _label(machine: Machine, start: Sequence[Literal]) -> Label:
    held = {machine["poses"][literal[1]]["family"]: literal[1] for literal in start if literal[0] == "pose"}
    return (None, None, *(held.get(family) for family in families_of(machine)))


def _with_single_use(machine: Machine, problem: Problem, closure: Closure, goals: Sequence[Literal],
                     start: Sequence[Literal]) -> Problem:
    """The problem with the items by which disturbed single-use parts come off."""
    parts = [key.partition(":")[2] for key in closure.chosen if key.startswith("new:")]
    wider = plan_problem(machine, [*goals, *(("out", part) for part in parts)], start)
    return replace(problem, items={**wider.items, **problem.items})


def _follows_freely(problem: Problem, closure: Closure) -> frozenset[str]:
    """Single-use parts that come off at no cost once the plan is done, with the facts on the way to them."""
    done = set(closure.chosen)
    new = {key.partition(":")[2] for key in closure.chosen if key.startswith("new:")}
    facts: dict[str, bool] = {}
    for key in problem.items:
        kind, _, name = key.partition(":")
        facts[key] = kind in ("off", "out", "exit", "apart", "opened") or (kind in ("go", "free") and name.split("/")[-1] in new)
    grown, added = True, set()
    while grown:
        now = {key for key, free in facts.items() if free and key not in done
               and problem.items[key].cost_s == 0 and any(way <= done for way in problem.items[key].alternatives)}
        grown = bool(now)
        done |= now
        added |= now
    return frozenset(_asked(problem, added, new, done))


def _asked(problem: Problem, added: set[str], new: set[str], done: set[str]) -> set[str]:
    """Of what follows freely, one removal of each single-use part and what it leads back to."""
    kept: set[str] = set()
    for part in sorted(new):
        if any(key == f"go:{part}" or (key.startswith("free:") and key.endswith(f"/{part}")) for key in done - added):
            continue
        ways = sorted(key for key in added if key == f"go:{part}" or (key.startswith("free:") and key.endswith(f"/{part}")))
        waiting = ways[:1]
        while waiting:
            key = waiting.pop()
            kept.add(key)
            way = min((way for way in problem.items[key].alternatives if way <= done), key=sorted)
            waiting.extend(need for need in way & added if need not in kept)
    return kept


def other_ways(plan: Plan, solve: Solve = own_solver, time_is_up: TimeIsUp = never_up) -> tuple[OtherWay, ...]:
    """For each act that can be done without, the best plan without it; cheapest first, each plan once."""
    forced = plan.closure.proof.forced if plan.closure.proof else frozenset()
    mine = set(plan.closure.chosen)
    found: dict[frozenset[str], OtherWay] = {}
    for key in plan.closure.chosen:
        if not is_work(plan.machine, key) and not key.startswith("pose:"):
            continue
        if key in forced or time_is_up():
            continue
        other = _without(plan, key, solve)
        if other is not None:
            theirs = set(other.chosen)
            lost, gained = _acts(plan, mine - theirs), _acts(plan, theirs - mine)
            way = OtherWay(_unlike(lost, gained), _unlike(gained, lost), other.cost_s - plan.closure.cost_s)
            if way.instead:
                found.setdefault(frozenset(way.instead), way)
    return tuple(sorted(found.values(), key=lambda way: (way.more_s, way.instead))[:MOST_OTHER_WAYS])


def _without(plan: Plan, key: str, solve: Solve) -> Closure | None:
    blocked = replace(plan.problem.items[key], alternatives=NEVER)
    problem = replace(plan.problem, items={**plan.problem.items, key: blocked})
    try:
        return solve(problem, Windows(plan.machine, problem).refuse)
    except Refused:
        return None


def _acts(plan: Plan, keys: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(key for key in keys if is_work(plan.machine, key) or key.startswith("pose:")))


def _unlike(acts: Iterable[str], others: Iterable[str]) -> tuple[str, ...]:
    """The acts that the others do not hold in another guise."""
    plain = {_plainly(act) for act in others}
    return tuple(act for act in acts if _plainly(act) not in plain)


def _plainly(act: str) -> str:
    """A part comes off alone, whether from the machine or from a unit on the bench."""
    return f"go:{act.partition('/')[2]}" if act.startswith("free:") else act


@dataclass(frozen=True)
class ExtraWork:
    """What a due task costs on top of a job, and alone; `acts`: what is done more than for the job. Not `proven`: a plan
    behind it is only the best found in the time, so the difference may be wrong either way."""

    task: str
    extra_s: int
    alone_s: int
    acts: tuple[str, ...]
    proven: bool = True


def extra_work(machine: Machine, job: Sequence[Literal], due: Mapping[str, Sequence[Literal]],
               start: Sequence[Literal] = (), solve: Solve = own_solver) -> list[ExtraWork]:
    """What each due task costs while the machine is apart for `job`: the difference of two least-work plans. Cheapest
    first. A task that cannot be done on this machine is left out."""
    problems = Problems(machine, start)
    base = _solved(problems, job, solve)
    found = []
    for task, goals in sorted(due.items()):
        try:
            alone, both = _solved(problems, goals, solve), _solved(problems, [*job, *goals], solve)
        except Refused:
            continue
        more = set(both.chosen) - set(base.chosen)
        acts = tuple(sorted(key for key in more if is_work(machine, key)))
        found.append(ExtraWork(task, both.cost_s - base.cost_s, alone.cost_s, acts, base.proven and alone.proven and both.proven))
    return sorted(found, key=lambda extra: (extra.extra_s, extra.task))


def _solved(problems: Problems, goals: Sequence[Literal], solve: Solve) -> Closure:
    problem = problems.of(goals)
    return solve(problem, Windows(problems.machine, problem).refuse)
