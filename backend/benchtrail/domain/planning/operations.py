"""Operations to be ordered: modes in which each can be done, labels in hand, and what is done when a label is in hand.

A label has one value for each dimension (tool, side, pose of a family …), or None for nothing yet. Knows bit sets of
operations and labels; nothing of machines.
"""

from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

Label = tuple[str | None, ...]
Step = tuple[str, Label]
Values = tuple[frozenset[str], ...]
# sets of done operations for which what is ready next is kept
MOST_KEPT = 50_000


@dataclass(frozen=True)
class Mode:
    """One way to do an operation: what must be done before, and for each dimension the values that will do (empty: any)."""

    needs: frozenset[str] = frozenset()
    values: Values = ()


@dataclass(frozen=True)
class Operation:
    """An operation with its modes. A `marker` is a fact that is there as soon as it can be; it is not work.
    `late`: safety joints, disturbed as late as can be; `early`: valves and drains, as early as can be."""

    id: str
    modes: tuple[Mode, ...]
    marker: bool = False
    late: bool = False
    early: bool = False


class Bench:
    """Operations by number, with bit sets for what they need; `costs` of one change in each dimension."""

    def __init__(self, operations: Sequence[Operation], costs: Sequence[int], start: Label | None = None) -> None:
        number = {operation.id: index for index, operation in enumerate(operations)}
        self.operations, self.costs = operations, tuple(costs)
        self.start: Label = start or (None,) * len(costs)
        self.everything = (1 << len(operations)) - 1
        self.modes: list[list[tuple[int, Values]]] = [
            [(sum(1 << number[need] for need in mode.needs), _padded(mode.values, len(costs))) for mode in operation.modes]
            for operation in operations]
        # every mode of every operation in one row: (operation, what it needs, values), and the modes that need an operation
        self.row = [(index, need, values) for index, modes in enumerate(self.modes) for need, values in modes]
        self.of_mode = [index for index, _, _ in self.row]
        self._asking: list[list[int]] = [[] for _ in operations]
        self._own = [0] * len(operations)
        for mode, (index, need, _) in enumerate(self.row):
            self._own[index] |= 1 << mode
            for other in bits(need):
                self._asking[other].append(mode)
        self._ready: dict[int, int] = {}
        self._fitting: dict[Label, int] = {}
        self._options: dict[tuple[Label, Values], list[Label]] = {}

    def change_cost(self, before: Label, after: Label) -> int:
        """What it costs to go from one label to another."""
        return sum(cost for cost, a, b in zip(self.costs, before, after, strict=True) if a != b)

    def fitting(self, label: Label) -> int:
        """The modes for which this label will do; markers ask for none."""
        if label not in self._fitting:
            self._fitting[label] = sum(1 << mode for mode, (_, _, values) in enumerate(self.row) if fits(values, label))
        return self._fitting[label]

    def ready(self, done: int) -> int:
        """The modes of what is left that need nothing more, whatever is in hand."""
        found = self._ready.get(done)
        if found is None:
            found = sum(1 << mode for mode, (index, need, _) in enumerate(self.row)
                        if not need & ~done and not done >> index & 1)
            self._keep(done, found)
        return found

    def _keep(self, done: int, ready: int) -> None:
        if len(self._ready) >= MOST_KEPT:
            self._ready.clear()
        self._ready[done] = ready

    def closed(self, done: int, label: Label) -> int:
        """What is done once everything that can be done with this label in hand is done."""
        ready, fitting = self.ready(done), self.fitting(label)
        now = ready & fitting
        if not now:
            return done
        while now:
            index = self.row[now.bit_length() - 1][0]
            done |= 1 << index
            ready &= ~self._own[index]
            for mode in self._asking[index]:
                other, need, _ = self.row[mode]
                if not need & ~done and not done >> other & 1:
                    ready |= 1 << mode
            now = ready & fitting
        self._keep(done, ready)
        return done

    def options(self, label: Label, values: Values) -> list[Label]:
        """The labels that will do for a mode, changing no more than it asks for."""
        key = (label, values)
        if key not in self._options:
            options: list[Label] = [()]
            for value, allowed in zip(label, values, strict=True):
                choices = [value] if not allowed or value in allowed else sorted(allowed)
                options = [(*chosen, choice) for chosen in options for choice in choices]
            self._options[key] = options
        return self._options[key]

    def next_labels(self, done: int, label: Label) -> list[Label]:
        """Labels that let one more operation be done, in a stable order."""
        labels: set[Label] = set()
        for mode in bits(self.ready(done)):
            labels.update(self.options(label, self.row[mode][2]))
        return sorted(labels, key=str)


def bits(members: int) -> Iterator[int]:
    """The numbers in a bit set, ascending."""
    while members:
        low = members & -members
        members ^= low
        yield low.bit_length() - 1


def fits(values: Values, label: Label) -> bool:
    """True if the label will do for a mode with these values."""
    return all(not allowed or value in allowed for allowed, value in zip(values, label, strict=True))


def _padded(values: Values, dimensions: int) -> Values:
    return values + (frozenset(),) * (dimensions - len(values))


def walked(bench: Bench, labels: Sequence[Label]) -> list[Step]:
    """The steps when these labels are taken in hand one after another."""
    done = 0
    steps: list[Step] = []
    for label in (bench.start, *labels):
        fitting = [bench.row[mode][:2] for mode in bits(bench.fitting(label))]
        grown = True
        while grown:
            grown = False
            for index, need in fitting:
                if not done >> index & 1 and not need & ~done:
                    done |= 1 << index
                    grown = True
                    steps.append((bench.operations[index].id, label))
    return steps


def can_be_done(operation: Operation, done: AbstractSet[str], label: Label) -> bool:
    """True if an operation can be done after others, with the label in hand."""
    return any(mode.needs <= done and fits(_padded(mode.values, len(label)), label) for mode in operation.modes)


def can_be_walked(operations: Mapping[str, Operation], steps: Sequence[Step]) -> bool:
    """True if every step can be done where it stands, with the label it has in hand."""
    done: set[str] = set()
    for key, label in steps:
        if not can_be_done(operations[key], done, label):
            return False
        done.add(key)
    return True
