"""Checks an answer of the planner by itself: that it can be done, what it costs, and that nothing cheaper exists.

Shares no code with the solver: it derives and weighs on its own, from ids, and follows the proof from the root. It takes
the no-goods of the answer as given. Small on purpose, so that it can be read in one sitting.
"""

from collections.abc import Iterable, Iterator

from benchtrail.domain.planning.closure import Closure, Proof
from benchtrail.domain.planning.problem import NoGood, Problem
from benchtrail.domain.planning.search import ProofNode

Ids = frozenset[str]
Cuts = list[Ids]


def faults_of(problem: Problem, answer: Closure) -> list[str]:
    """What is wrong with an answer, as short codes with the item; empty when all of it holds."""
    faults = list(_faults_of_plan(problem, answer))
    if answer.proven and answer.proof is not None:
        faults += _faults_of_proof(problem, answer, answer.proof)
    return faults


def _faults_of_plan(problem: Problem, answer: Closure) -> Iterator[str]:
    """Every item once, each after all that its way needs, by a way that it has; goals reached; the sum right."""
    done: set[str] = set()
    for item in answer.chosen:
        way = answer.ways.get(item)
        if item in done:
            yield f"twice {item}"
        if way is None or way not in problem.items[item].alternatives:
            yield f"no_such_way {item}"
        elif not way <= done:
            yield f"too_early {item}"
        done.add(item)
    yield from (f"goal_missed {goal}" for goal in sorted(problem.goals - done))
    cost_s = sum(problem.items[item].cost_s for item in done)
    if cost_s != answer.cost_s or not answer.bound_s <= cost_s:
        yield f"cost {cost_s}"
    if any(no_good.together <= done and not no_good.unless & done for no_good in answer.no_goods):
        yield "no_good"


def _faults_of_proof(problem: Problem, answer: Closure, proof: Proof) -> list[str]:
    weights = packed_weights(problem)
    weight = sum(weights[item] for item in answer.chosen)
    faults = [f"not_forced {item}" for item in sorted(proof.forced) if _reachable(problem, problem.goals, frozenset([item]))]
    todo: list[tuple[ProofNode, Ids, Ids, Cuts]] = [(proof.root, frozenset(), frozenset(), [])]
    while todo:
        node, paid, blocked, shown = todo.pop()
        claim = _Claim(problem, answer.no_goods, weights, proof.forced | paid, problem.goals | paid, blocked, shown)
        faults += claim.faults(node, weight)
        if node.item is not None and node.with_item is not None and node.without_item is not None:
            out, cuts = blocked | node.dropped, [members for members, _ in node.cuts]
            todo.append((node.with_item, paid | {node.item}, out, cuts))
            todo.append((node.without_item, paid, out | {node.item}, cuts))
    return faults


class _Claim:
    """What a node of the proof claims under its branchings. `shown`: cuts shown above it; they hold here too, without
    what is blocked here, since here there is less to work with and no less to reach."""

    def __init__(self, problem: Problem, no_goods: Iterable[NoGood], weights: dict[str, int], paid: Ids, goals: Ids,
                 blocked: Ids, shown: Cuts) -> None:
        self.problem, self.no_goods, self.weights = problem, no_goods, weights
        self.paid, self.goals, self.blocked = paid, goals, blocked
        self.shown = {members - blocked for members in shown}

    def faults(self, node: ProofNode, weight: int) -> list[str]:
        faults, used = [], dict.fromkeys(self.problem.items, 0)
        for members, amount in node.cuts:
            if members & self.paid or amount < 0 or not (members in self.shown or self._is_cut(members)):
                faults.append(f"no_cut {sorted(members)}")
            for item in members:
                used[item] += amount
        faults += [f"overpaid {item}" for item, amount in used.items() if amount > self.weights[item]]
        bound = sum(self.weights[item] for item in self.paid) + sum(amount for _, amount in node.cuts)
        faults += [f"not_too_dear {item}" for item in node.dropped
                   if item in self.paid or bound + self.weights[item] - used[item] < weight]
        if node.item is None and bound < weight and not self._is_cut(frozenset()):
            faults.append("not_closed")
        return faults

    def _is_cut(self, members: Ids) -> bool:
        """No plan here does without all of them: the goals are out of reach, or a no-good is left standing."""
        return not _reachable(self.problem, self.goals, members | self.blocked) or any(
            no_good.together <= self.paid and no_good.unless - self.blocked <= members for no_good in self.no_goods)


def _reachable(problem: Problem, goals: Ids, without: Ids) -> bool:
    """True if all goals can be done without the items named."""
    missing: dict[tuple[str, int], int] = {}
    uses: dict[str, list[tuple[str, int]]] = {}
    for entry in problem.items.values():
        for number, way in enumerate(entry.alternatives):
            missing[entry.id, number] = len(way)
            for need in way:
                uses.setdefault(need, []).append((entry.id, number))
    done: set[str] = set()
    ready = [item for (item, _), count in missing.items() if count == 0]
    while ready:
        item = ready.pop()
        if item in done or item in without:
            continue
        done.add(item)
        for use in uses.get(item, ()):
            missing[use] -= 1
            if missing[use] == 0:
                ready.append(use[0])
    return goals <= done


def packed_weights(problem: Problem) -> dict[str, int]:
    """Cost, seals, safety joints, tray and id in one whole number that orders plans as the tie rule says."""
    items = [problem.items[key] for key in sorted(problem.items)]
    seals, safety, tray = (1 + sum(getattr(item, name) for item in items) for name in ("seals", "safety", "tray"))
    packed = [((item.cost_s * seals + item.seals) * safety + item.safety) * tray + item.tray for item in items]
    return {item.id: weight * 2 ** len(items) + 2**rank
            for rank, (item, weight) in enumerate(zip(items, packed, strict=True))}
