"""How many changes of tool, side and pose are still unavoidable: lower bounds for the order of operations.

Along any chain of operations that must follow each other all changes are paid, and every value that something else asks
for, that is not in hand and that the chain never takes, is taken up at least once more. Source: our derivation from the
two bounds of planning note 2.2; checked against all orders of small sets.
"""

from collections.abc import Iterable, Iterator

from benchtrail.domain.planning.operations import Bench, Label, bits


class OrderBounds:
    """Bounds for one bench. Chains follow what every mode of an operation needs, through markers."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        size = len(bench.operations)
        self.before = self._musts()
        after = [[other for other in range(size) if self.before[other] >> index & 1] for index in range(size)]
        self.after = [self._nearest(successors) for successors in after]
        self.several = [index for index, modes in enumerate(bench.modes) if len(modes) > 1]
        values = sorted({(dimension, value) for modes in bench.modes for _, mode in modes
                         for dimension, allowed in enumerate(mode) for value in allowed})
        self.bits = {value: 1 << number for number, value in enumerate(values)}
        self.of_dimension = [sum(bit for (dimension, _), bit in self.bits.items() if dimension == each)
                             for each in range(len(bench.costs))]
        self.wanted = [(self.bits[dimension, value], mask) for dimension in range(len(bench.costs))
                       for value, mask in self._wanted(dimension).items()]
        self._held: dict[Label, int] = {}
        self._costs: dict[int, int] = {}
        self._entries: dict[Label, dict[int, tuple[int, int]]] = {}

    def _musts(self) -> list[int]:
        """For each operation the bit set of operations that come before it in every order."""
        must = [self.bench.everything] * len(self.bench.operations)
        changed = True
        while changed:
            changed = False
            for index, modes in enumerate(self.bench.modes):
                common = self.bench.everything
                for need, _ in modes:
                    common &= need | _union(must, need)
                if common != must[index]:
                    must[index], changed = common, True
        return must

    def _nearest(self, successors: list[int]) -> list[int]:
        """Successors that no other successor comes before: the longest chains go through these."""
        among = sum(1 << other for other in successors)
        return [other for other in successors if not self.before[other] & among & ~(1 << other)]

    def _wanted(self, dimension: int) -> dict[str, int]:
        """Value → the bit set of operations that ask for this one value in every mode."""
        found: dict[str, int] = {}
        for index, modes in enumerate(self.bench.modes):
            allowed = {values[dimension] for _, values in modes}
            only = allowed.pop() if len(allowed) == 1 else frozenset()
            if len(only) == 1:
                value = next(iter(only))
                found[value] = found.get(value, 0) | 1 << index
        return found

    def least(self, done: int, label: Label) -> int:
        """No order of what is left changes for less."""
        left = self.bench.everything & ~done
        missing = self._missing(left, label)
        every = dearest = self._cost(missing)
        entries = self._entries.setdefault(label, {})
        for index in self._next(done, left):
            cost, held = entries[index] if index in entries else self._enter(index, label)
            if cost + every > dearest:
                dearest = max(dearest, cost + self._cost(missing & ~held))
        return dearest

    def _next(self, done: int, left: int) -> Iterator[int]:
        """What is left and must wait for nothing that is left."""
        ready, of_mode = self.bench.ready(done), self.bench.of_mode
        while ready:
            low = ready & -ready
            ready ^= low
            yield of_mode[low.bit_length() - 1]
        for index in self.several:
            if left >> index & 1 and not self.before[index] & left:
                yield index

    def _missing(self, left: int, label: Label) -> int:
        """The values that something left asks for and that are not in hand."""
        missing = 0
        for bit, mask in self.wanted:
            if mask & left:
                missing |= bit
        return missing & ~self._in_hand(label)

    def _in_hand(self, label: Label) -> int:
        if label not in self._held:
            self._held[label] = _union_of(self.bits.get((dimension, value), 0) for dimension, value in enumerate(label) if value)
        return self._held[label]

    def _cost(self, values: int) -> int:
        """What taking up each of these values once costs."""
        if values not in self._costs:
            self._costs[values] = sum(cost * (values & mask).bit_count()
                                      for cost, mask in zip(self.bench.costs, self.of_dimension, strict=True))
        return self._costs[values]

    def _enter(self, index: int, label: Label) -> tuple[int, int]:
        """Cost of doing one operation next and of the dearest chain after it, and the values that the chain may take."""
        entries = self._entries.setdefault(label, {})
        if index not in entries:
            found = []
            for _, values in self.bench.modes[index]:
                for option in self.bench.options(label, values):
                    cost, held = self._tail(index, option)
                    found.append((self.bench.change_cost(label, option) + cost, held))
            entries[index] = min(found)[0], _union_of(held for _, held in found) | self._values_of(index)
        return entries[index]

    def _tail(self, index: int, label: Label) -> tuple[int, int]:
        return max((self._enter(other, label) for other in self.after[index]), default=(0, 0))

    def _values_of(self, index: int) -> int:
        return _union_of(self.bits[dimension, value] for _, values in self.bench.modes[index]
                         for dimension, allowed in enumerate(values) for value in allowed)


def _union_of(masks: Iterable[int]) -> int:
    union = 0
    for mask in masks:
        union |= mask
    return union


def _union(sets: list[int], members: int) -> int:
    return _union_of(sets[index] for index in bits(members))
