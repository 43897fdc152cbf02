"""Least work with a time limit: the planner's own search first, then HiGHS on what it could not settle in time.

Knows how a least-work problem is written as a mixed-integer program. The answer of either is an ordinary `Closure`, which
`domain.planning.verify` checks.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from time import monotonic

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.csgraph import connected_components

from benchtrail.domain.planning.closure import Closure, Shrink, least_closure
from benchtrail.domain.planning.graph import Graph, derivation, graph_of, with_goals
from benchtrail.domain.planning.improve import trimmed
from benchtrail.domain.planning.problem import NoGood, Problem, Refuse, TimeIsUp, cost_of, ties_of, time_up
from benchtrail.domain.planning.reduce import Reduced, reduced
from benchtrail.domain.planning.unreachable import why_out_of_reach
from benchtrail.domain.refused import Refused

SECONDS = 30.0
OWN_SECONDS = 1.5
SHRINK_SHARE = 0.4
Term = tuple[int, float]
Row = tuple[list[Term], float]


def timer(seconds: float, now: Callable[[], float] = monotonic) -> TimeIsUp:
    """A clock that says when `seconds` are over."""
    end = now() + seconds
    return lambda: now() >= end


def least_work(problem: Problem, refuse: Refuse, seconds: float = SECONDS) -> Closure:
    """The cheapest closure found within about `seconds`, with its proof or an honest bound. Making the problem smaller may
    take a part of them, and is done once.

    Raises what `least_closure` raises.
    """
    end = monotonic() + seconds
    shrink = _Shrinker(timer(seconds * SHRINK_SHARE))
    try:
        own = least_closure(problem, _once_asked(min(seconds, OWN_SECONDS)), refuse, shrink)
    except Refused as refusal:
        left = end - monotonic()
        other = solved_by_program(problem, refuse, left, None, shrink) if refusal.code == "plan_time_up" and left > 0 else None
        if other is None:
            raise
        return other
    left = end - monotonic()
    if own.proven or left <= 0:
        return own
    other = solved_by_program(replace(problem, no_goods=own.no_goods), refuse, left, own.cost_s, shrink)
    return _better(problem, own, other) if other else own


def _once_asked(seconds: float) -> TimeIsUp:
    """A clock that begins to run when it is first asked."""
    clocks: list[TimeIsUp] = []

    def time_is_up() -> bool:
        if not clocks:
            clocks.append(timer(seconds))
        return clocks[0]()
    return time_is_up


class _Shrinker:
    """Reduces the graph of one problem, once for what must stay in it."""

    def __init__(self, time_is_up: TimeIsUp) -> None:
        self.time_is_up = time_is_up
        self.known: dict[frozenset[int], Reduced | None] = {}

    def __call__(self, graph: Graph, keep: frozenset[int]) -> Reduced | None:
        if keep not in self.known:
            self.known[keep] = reduced(graph, keep, self.time_is_up)
        return self.known[keep]


def _better(problem: Problem, one: Closure, other: Closure) -> Closure:
    """The cheaper plan with the higher bound; of equal ones the one with fewer ties."""
    best = min(one, other, key=lambda answer: (answer.cost_s, ties_of(problem, answer.chosen), answer.chosen))
    bound_s = max(one.bound_s, other.bound_s)
    return replace(best, bound_s=bound_s, proven=bound_s >= best.cost_s, proof=None, no_goods=other.no_goods)


@dataclass
class _Program:
    """Columns: the relevant items, one for each way of items with several, ranks of items in circles."""

    graph: Graph
    small: Reduced
    column: dict[int, int]
    columns: int
    ranks: dict[int, tuple[int, int]]
    rows: list[Row]
    no_goods: list[tuple[list[int], list[int]]]


def solved_by_program(problem: Problem, refuse: Refuse | None = None, seconds: float = SECONDS,
                      no_dearer_s: int | None = None, shrink: Shrink = reduced) -> Closure | None:
    """The cheapest closure by HiGHS; ties by seals, safety joints and tray are settled by a second program.

    `no_dearer_s`: the cost of a plan already known. None if HiGHS found no plan in time. A plan that `refuse` answers
    with a no-good is shut out and the program solved again. Raises as `least_closure` does for goals out of reach.
    """
    graph, _ = graph_of(problem)
    end = monotonic() + seconds
    no_goods = list(problem.no_goods)
    while True:
        number = {name: item for item, name in enumerate(graph.names)}
        kept = frozenset(number[name] for no_good in no_goods for name in no_good.unless)
        small = shrink(graph, kept)
        if small is None:
            raise why_out_of_reach(problem)
        program = _program(small, [*_no_good_rows(no_goods, number)])
        found = _cheapest(problem, program, end, no_dearer_s)
        if found is None:
            return None
        chosen, bound_s = found
        no_good = refuse(frozenset(graph.names[item] for item in chosen)) if refuse else None
        if no_good is None:
            return _closure(problem, graph, chosen, bound_s, no_goods)
        no_goods.append(no_good)


def _no_good_rows(no_goods: list[NoGood], number: dict[str, int]) -> Iterator[tuple[list[int], list[int]]]:
    for no_good in no_goods:
        yield [number[name] for name in sorted(no_good.together)], [number[name] for name in sorted(no_good.unless)]


def _program(small: Reduced, no_goods: list[tuple[list[int], list[int]]]) -> _Program:
    graph = small.graph
    column = {item: number for number, item in enumerate(sorted(small.relevant))}
    program = _Program(graph, small, column, len(column), {}, [], no_goods)
    component, sizes = _circles(graph)
    arcs: dict[tuple[int, int], list[int]] = {}
    for item in sorted(small.relevant):
        _add_item(program, item, component, arcs)
    for need, item in arcs:
        for end in (need, item):
            if end not in program.ranks:
                program.ranks[end] = (program.columns, int(sizes[component[end]]))
                program.columns += 1
    for (need, item), ways in sorted(arcs.items()):
        most = program.ranks[item][1]
        terms: list[Term] = [(program.ranks[item][0], 1), (program.ranks[need][0], -1), *((way, -most) for way in ways)]
        program.rows.append((terms, 1 - most))
    for together, unless in no_goods:
        if all(item in column for item in together):
            plus: list[Term] = [(column[item], 1) for item in unless if item in column]
            program.rows.append(([*plus, *((column[item], -1) for item in together)], 1 - len(together)))
    return program


def _circles(graph: Graph) -> tuple[list[int], list[int]]:
    """The circle (strongly connected set) of every item and the size of each: only inside one are ranks needed."""
    pairs = [(head, need) for head, needs in zip(graph.heads, graph.needs, strict=True) for need in needs]
    size = graph.goal + 1
    heads, needs = ([pair[end] for pair in pairs] for end in (0, 1))
    links = csr_matrix((np.ones(len(pairs)), (heads, needs)), shape=(size, size))
    _, component = connected_components(links, directed=True, connection="strong")
    return component.tolist(), np.bincount(component).tolist()


def _add_item(program: _Program, item: int, component: list[int], arcs: dict[tuple[int, int], list[int]]) -> None:
    """A chosen item goes one of its ways, and what a way needs is chosen; needs shared by ways are counted together,
    which makes the program tighter."""
    graph, own = program.graph, program.column[item]
    ways = graph.ways[item]
    columns = [own] if len(ways) == 1 else [*range(program.columns, program.columns + len(ways))]
    program.columns += len(ways) if len(ways) > 1 else 0
    by_need: dict[int, list[int]] = {}
    for way, column in zip(ways, columns, strict=True):
        for need in graph.needs[way]:
            by_need.setdefault(need, []).append(column)
            if component[need] == component[item]:
                arcs.setdefault((need, item), []).append(column)
    for need, asking in by_need.items():
        if need not in program.small.forced:
            program.rows.append(([(program.column[need], 1), *((column, -1) for column in asking)], 0))
    if len(ways) != 1:
        program.rows.append(([*((column, 1) for column in columns), (own, -1)], 0))
        program.rows.append(([(own, 1), *((column, -1) for column in columns)], 0))


def _cheapest(problem: Problem, program: _Program, end: float, no_dearer_s: int | None) -> tuple[frozenset[int], int] | None:
    items = [problem.items[program.graph.names[item]] for item in sorted(program.column)]
    costs = [float(item.cost_s) for item in items]
    rows = program.rows
    if no_dearer_s is not None:
        rows = [*rows, (_terms(costs, -1), -float(no_dearer_s))]
    first = _solved(program, costs, rows, end)
    if first is None:
        return None
    chosen, bound = first
    cost_s = sum(round(costs[program.column[item]]) for item in chosen)
    seals, safety, tray = (1 + sum(getattr(item, name) for item in items) for name in ("seals", "safety", "tray"))
    ties = [float((item.seals * safety + item.safety) * tray + item.tray) for item in items]
    if seals * safety * tray < 10**9 and bound > cost_s - 1:
        second = _solved(program, ties, [*program.rows, (_terms(costs, -1), -float(cost_s))], end)
        if second is not None and sum(round(costs[program.column[item]]) for item in second[0]) <= cost_s:
            chosen = second[0]
    return chosen, min(cost_s, int(np.ceil(bound - 1e-6)))


def _terms(costs: list[float], sign: int) -> list[Term]:
    return [(column, sign * cost) for column, cost in enumerate(costs) if cost]


def _solved(program: _Program, costs: list[float], rows: list[Row], end: float) -> tuple[frozenset[int], float] | None:
    """The items of the best solution, trimmed to a plan, and the bound that HiGHS proved."""
    seconds = end - monotonic()
    if seconds <= 0:
        return None
    objective = np.zeros(program.columns)
    objective[: len(costs)] = costs
    lower, upper, whole = np.zeros(program.columns), np.ones(program.columns), np.ones(program.columns)
    goals = program.graph.needs[program.graph.ways[program.graph.goal][0]]
    for item in {*program.small.forced, *goals}:
        lower[program.column[item]] = 1
    for column, most in program.ranks.values():
        upper[column], whole[column] = most, 0
    result = milp(objective, constraints=_constraints(rows, program.columns), bounds=Bounds(lower, upper),
                  integrality=whole, options={"time_limit": seconds, "mip_rel_gap": 0})
    if result.x is None:
        return None
    allowed = [program.column.get(item, -1) >= 0 and result.x[program.column[item]] > 0.5
               for item in range(program.graph.goal)]
    plan = _plan_of(program, [*allowed, True])
    bound = result.fun if result.mip_dual_bound is None else result.mip_dual_bound
    return None if plan is None else (plan, float(bound))


def _plan_of(program: _Program, allowed: list[bool]) -> frozenset[int] | None:
    """The items of a solution that its goals need, and of those that lift a no-good one each."""
    graph = program.graph
    while True:
        order = derivation(graph, allowed, [graph.goal])
        if not order or order[-1][0] != graph.goal:
            return None
        plan = trimmed(graph, order, program.small.forced)
        lifting = {min(item for item in unless if allowed[item]) for together, unless in program.no_goods
                   if plan.issuperset(together) and plan.isdisjoint(unless) and any(allowed[item] for item in unless)}
        if not lifting:
            return plan
        graph = with_goals(graph, sorted(lifting))


def _constraints(rows: list[Row], columns: int) -> LinearConstraint:
    places = [(number, column, factor) for number, (terms, _) in enumerate(rows) for column, factor in terms]
    numbers, at, factors = ([place[part] for place in places] for part in range(3))
    matrix = coo_matrix((factors, (numbers, at)), shape=(len(rows), columns)).tocsr()
    return LinearConstraint(matrix, np.array([least for _, least in rows]), np.inf)


def _closure(problem: Problem, graph: Graph, chosen: frozenset[int], bound_s: int, no_goods: list[NoGood]) -> Closure:
    allowed = [item in chosen or item == graph.goal for item in range(graph.goal + 1)]
    order = [(item, way) for item, way in derivation(graph, allowed) if item != graph.goal]
    names = tuple(graph.names[item] for item, _ in order)
    ways = {graph.names[item]: frozenset(graph.names[need] for need in graph.needs[way]) for item, way in order}
    cost_s = cost_of(problem, names)
    if set(names) < {graph.names[item] for item in chosen}:
        raise time_up(problem.goals, bound_s)
    return Closure(names, ways, cost_s, min(bound_s, cost_s), bound_s >= cost_s, 0, tuple(no_goods))
