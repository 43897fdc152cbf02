"""Operations to be ordered: modes in which each can be done, labels in hand, and what is done when a label is in hand.

A label has one value for each dimension (tool, side, pose of a family …), or None for nothing yet. Knows bit sets of
operations and labels; nothing of machines.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Label = tuple[str | None, ...]
Step = tuple[str, Label]
Values = tuple[frozenset[str], ...]


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
        self._fitting: dict[Label, list[tuple[int, int]]] = {}
        self._options: dict[tuple[Label, Values], list[Label]] = {}

    def change_cost(self, before: Label, after: Label) -> int:
        """What it costs to go from one label to another."""
        return sum(cost for cost, a, b in zip(self.costs, before, after, strict=True) if a != b)

    def fitting(self, label: Label) -> list[tuple[int, int]]:
        """(operation's bit, what it needs) of every mode for which this label will do; markers ask for none."""
        if label not in self._fitting:
            self._fitting[label] = [(1 << index, need) for index, modes in enumerate(self.modes)
                                    for need, values in modes if fits(values, label)]
        return self._fitting[label]

    def closed(self, done: int, label: Label) -> int:
        """What is done once everything that can be done with this label in hand is done."""
        left = [pair for pair in self.fitting(label) if not pair[0] & done]
        grown = True
        while grown:
            grown = False
            waiting = []
            for pair in left:
                if pair[1] & ~done:
                    waiting.append(pair)
                else:
                    done |= pair[0]
                    grown = True
            left = waiting
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
        for index, modes in enumerate(self.modes):
            if not done >> index & 1:
                for need, values in modes:
                    if not need & ~done:
                        labels.update(self.options(label, values))
        return sorted(labels, key=str)


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
        grown = True
        while grown:
            grown = False
            for bit, need in bench.fitting(label):
                if not bit & done and not need & ~done:
                    done |= bit
                    grown = True
                    steps.append((bench.operations[bit.bit_length() - 1].id, label))
    return steps


def can_be_walked(operations: Mapping[str, Operation], steps: Sequence[Step]) -> bool:
    """True if every step can be done where it stands, with the label it has in hand."""
    done: set[str] = set()
    for key, label in steps:
        modes = operations[key].modes
        if not any(mode.needs <= done and fits(_padded(mode.values, len(label)), label) for mode in modes):
            return False
        done.add(key)
    return True
