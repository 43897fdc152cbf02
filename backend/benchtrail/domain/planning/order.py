"""The order with the fewest changes of tool, side and pose: exact search over closed sets, with a beam as a fallback.

With a label in hand everything that it lets be done is done: doing more never makes anything impossible here, and moving
an operation forward never costs more. Source: our derivation (planning note 2.3); checked against all orders of small
sets and against shortest common supersequences. It stops being true where doing something takes a possibility away: such
conditions must be turned into needs before.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush

from benchtrail.domain.planning.operations import Bench, Label, Operation, Step, can_be_done, walked
from benchtrail.domain.planning.order_bounds import OrderBounds
from benchtrail.domain.planning.problem import TimeIsUp, never_up
from benchtrail.domain.refused import Refused

BEAM = 300
MOST_STATES = 300_000
State = tuple[int, Label]
Trail = tuple[Label, ...]


@dataclass(frozen=True)
class Ordered:
    """Steps with the label in hand at each. `cost` of all changes; proven that no order costs less than `bound`."""

    steps: tuple[Step, ...]
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        """True if no order is better."""
        return self.cost == self.bound


def least_changes(operations: Sequence[Operation], costs: Sequence[int], time_is_up: TimeIsUp = never_up,
                  beam: int = BEAM, start: Label | None = None) -> Ordered:
    """The order of all operations with the least cost of changes; `costs` of one change in each dimension.

    `start`: what is in hand before the first operation.

    Safety operations stand as late and valves and drains as early as that cost allows. Raises Refused("order_circular").
    """
    bench = Bench(operations, costs, start)
    bounds = OrderBounds(bench)
    found = _beam_search(bench, bounds, beam, time_is_up)
    if found is None:
        raise Refused("order_circular", operations=", ".join(sorted(_stuck(bench))))
    best_cost, trail = found
    bound, better = _exact_search(bench, bounds, best_cost, time_is_up)
    steps = walked(bench, better if better is not None else trail)
    cost = bound if better is not None else best_cost
    return Ordered(tuple(_settled(operations, steps)), cost, bound)


def _exact_search(bench: Bench, bounds: OrderBounds, upper: int, time_is_up: TimeIsUp) -> tuple[int, Trail | None]:
    """(lower bound, trail of a better order or None). The bound equals `upper` when that is the best there is."""
    label = bench.start
    done = bench.closed(0, label)
    known: dict[State, int] = {(done, label): 0}
    parents: dict[State, State] = {}
    heap = [(bounds.least(done, label), 0, 0, (done, label))]
    number = 0
    seen: dict[Label, list[tuple[int, int]]] = {}
    while heap:
        least, _, _, state = heappop(heap)
        if least >= upper:
            return upper, None
        if _outdone(seen.setdefault(state[1], []), known[state], state[0]):
            continue
        if state[0] == bench.everything:
            return least, _trail(parents, state)
        if len(known) > MOST_STATES or time_is_up():
            return least, None
        for label in bench.next_labels(*state):
            cost = known[state] + bench.change_cost(state[1], label)
            done = bench.closed(state[0], label)
            after = (done, label)
            if cost < known.get(after, upper):
                known[after], parents[after] = cost, state
                number += 1
                heappush(heap, (cost + bounds.least(done, label), -cost, number, after))
    return upper, None


def _outdone(seen: list[tuple[int, int]], cost: int, done: int) -> bool:
    """True if, with the same label, as much or more was done before for no more; else the state is noted."""
    if any(other_cost <= cost and done | other == other for other_cost, other in seen):
        return True
    seen.append((cost, done))
    return False


def _trail(parents: dict[State, State], state: State) -> Trail:
    labels: list[Label] = []
    while state in parents:
        labels.append(state[1])
        state = parents[state]
    return tuple(reversed(labels))


def _beam_search(bench: Bench, bounds: OrderBounds, width: int, time_is_up: TimeIsUp) -> tuple[int, Trail] | None:
    """A good order: level by level, the `width` most promising states; once the time is up one of them only. None if some
    operation can never be done."""
    label = bench.start
    done = bench.closed(0, label)
    level: dict[State, tuple[int, Trail]] = {(done, label): (0, ())}
    best: tuple[int, Trail] | None = None
    while level:
        finished = [entry for (done, _), entry in level.items() if done == bench.everything]
        best = min([*finished, *([best] if best else [])], key=lambda entry: entry[0], default=None)
        following: dict[State, tuple[int, Trail]] = {}
        for (done, label), (cost, trail) in level.items():
            for after in bench.next_labels(done, label) if done != bench.everything else ():
                state = (bench.closed(done, after), after)
                entry = (cost + bench.change_cost(label, after), (*trail, after))
                if state not in following or entry[0] < following[state][0]:
                    following[state] = entry
        ranked = sorted(following.items(), key=lambda pair: pair[1][0] + bounds.least(*pair[0]))
        width = 1 if width > 1 and time_is_up() else width
        level = dict(ranked[:width])
        if best is not None:
            level = {state: entry for state, entry in level.items() if entry[0] < best[0]}
    return best


def _stuck(bench: Bench) -> list[str]:
    """Operations that wait for each other."""
    done, grown = 0, True
    while grown:
        grown = False
        for index, needs in enumerate(bench.modes):
            if not done >> index & 1 and any(not need & ~done for need, _ in needs):
                done, grown = done | 1 << index, True
    return [operation.id for index, operation in enumerate(bench.operations) if not done >> index & 1]


def _settled(operations: Sequence[Operation], steps: list[Step]) -> list[Step]:
    """The same changes, with valves and drains moved forward and safety operations back as far as their label allows."""
    by_id = {operation.id: operation for operation in operations}
    for key in [key for key, _ in steps if by_id[key].early]:
        steps = _forward(by_id, steps, key)
    for key in [key for key, _ in reversed(steps) if by_id[key].late]:
        steps = _back(by_id, steps, key)
    return steps


def _forward(by_id: dict[str, Operation], steps: list[Step], key: str) -> list[Step]:
    """The step at the first place where it can stand beside a label that will do: what comes later has no less done."""
    now = next(index for index, (other, _) in enumerate(steps) if other == key)
    done: set[str] = set()
    for place in range(now):
        for label in _beside(steps[:now], place):
            if can_be_done(by_id[key], done, label):
                return [*steps[:place], (key, label), *steps[place:now], *steps[now + 1:]]
        done.add(steps[place][0])
    return steps


def _back(by_id: dict[str, Operation], steps: list[Step], key: str) -> list[Step]:
    """The step at the last place where it can stand: before what cannot be done without it."""
    now = next(index for index, (other, _) in enumerate(steps) if other == key)
    rest = steps[:now] + steps[now + 1:]
    done = {other for other, _ in steps[:now]}
    last = now
    while last < len(rest) and can_be_done(by_id[rest[last][0]], done, rest[last][1]):
        done.add(rest[last][0])
        last += 1
    for place in range(last, now, -1):
        for label in _beside(rest, place):
            if can_be_done(by_id[key], done, label):
                return [*rest[:place], (key, label), *rest[place:]]
        done.discard(rest[place - 1][0])
    return steps


def _beside(steps: Sequence[Step], place: int) -> list[Label]:
    """The labels in hand just before and just after a place."""
    return [steps[index][1] for index in (place - 1, place) if 0 <= index < len(steps)]


def with_needs(operation: Operation, more: frozenset[str]) -> Operation:
    """The operation with further needs in every mode."""
    modes = tuple(replace(mode, needs=mode.needs | (more - {operation.id})) for mode in operation.modes)
    return replace(operation, modes=modes)
