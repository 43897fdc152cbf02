"""Why a goal cannot be reached: the item that nothing can do, or the circle of items that wait for each other."""

from benchtrail.domain.planning.problem import Problem
from benchtrail.domain.refused import Refused


def out_of_reach(problem: Problem) -> frozenset[str]:
    """Items that can never be done, however much is done before."""
    missing = {(item.id, n): len(way) for item in problem.items.values() for n, way in enumerate(item.alternatives)}
    uses: dict[str, list[tuple[str, int]]] = {}
    for item in problem.items.values():
        for n, way in enumerate(item.alternatives):
            for need in way:
                uses.setdefault(need, []).append((item.id, n))
    done: set[str] = set()
    ready = [head for (head, _), count in missing.items() if count == 0]
    while ready:
        head = ready.pop()
        if head in done:
            continue
        done.add(head)
        for use in uses.get(head, []):
            missing[use] -= 1
            if missing[use] == 0:
                ready.append(use[0])
    return frozenset(problem.items.keys() - done)


def why_out_of_reach(problem: Problem) -> Refused:
    """The refusal to raise: `plan_circular_access` with the circle in words, or `plan_out_of_reach` with the item.

    Follows, from the first goal that cannot be done, the first need of the first way that cannot be done, until an
    item has no way at all or comes round again.
    """
    blocked = out_of_reach(problem)
    goal = min(problem.goals & blocked)
    trail = [goal]
    while True:
        ways = problem.items[trail[-1]].alternatives
        if not ways:
            return Refused("plan_out_of_reach", goal=goal, item=trail[-1])
        need = min(n for n in min(ways, key=sorted) if n in blocked)
        if need in trail:
            circle = [*trail[trail.index(need):], need]
            return Refused("plan_circular_access", goal=goal, circle=" → ".join(circle))
        trail.append(need)
