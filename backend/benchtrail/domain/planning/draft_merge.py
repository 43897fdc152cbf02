"""One procedure from the steps of every variant: equal steps once, the others under guards, each variant in its order.

Knows steps and sets of variants; nothing of machines. Every variant reads exactly the steps drafted for it, in their order.
"""

from collections.abc import Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from benchtrail.domain.variants import VariantSpace

T = TypeVar("T", bound=Hashable)


@dataclass
class Merged(Generic[T]):
    """One entry and the variants that have it, by their numbers."""

    entry: T
    variants: set[int]


def merged(sequences: Sequence[tuple[int, Sequence[T]]]) -> list[Merged[T]]:
    """All sequences in one, equal entries shared where the longest common run of entries lets them be."""
    found: list[Merged[T]] = []
    for variant, sequence in sequences:
        pairs = _common([entry.entry for entry in found], sequence)
        woven: list[Merged[T]] = []
        here = there = 0
        for place, own in [*pairs, (len(found), len(sequence))]:
            woven += found[here:place]
            woven += [Merged(entry, {variant}) for entry in sequence[there:own]]
            if place < len(found):
                found[place].variants.add(variant)
                woven.append(found[place])
            here, there = place + 1, own + 1
        found = woven
    return found


def _common(one: Sequence[T], two: Sequence[T]) -> list[tuple[int, int]]:
    """Places of a longest common subsequence."""
    longest = [[0] * (len(two) + 1) for _ in range(len(one) + 1)]
    for i in range(len(one) - 1, -1, -1):
        for j in range(len(two) - 1, -1, -1):
            same = longest[i + 1][j + 1] + 1 if one[i] == two[j] else 0
            longest[i][j] = max(same, longest[i + 1][j], longest[i][j + 1])
    pairs: list[tuple[int, int]] = []
    i = j = 0
    while i < len(one) and j < len(two):
        if one[i] == two[j] and longest[i][j] == longest[i + 1][j + 1] + 1:
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif longest[i + 1][j] >= longest[i][j + 1]:
            i += 1
        else:
            j += 1
    return pairs


def guard_words(space: VariantSpace, subset: Collection[int], among: Collection[int]) -> str | None:
    """A guard, as a dealer writes it, that holds in `subset` and in no other of the variants `among`; None for all."""
    chosen, left = set(subset), set(subset)
    if chosen >= set(among):
        return None
    parts: list[str] = []
    while left:
        words, covered = _widest(space, min(left), chosen, set(among))
        left -= covered
        parts.append(words)
    return parts[0] if len(parts) == 1 else " or ".join(f"({part})" for part in parts)


def _widest(space: VariantSpace, seed: int, chosen: set[int], among: set[int]) -> tuple[str, set[int]]:
    """A wide statement true of one variant and of none outside `chosen`, with the variants that it covers."""
    variant, years = space.variants[seed], sorted(space.spans)
    said = {key: key in variant["options"] for key in space.names}
    low = high = years.index(variant["year"])
    for key in sorted(said, key=lambda key: (said[key], key)):
        fewer = {other: value for other, value in said.items() if other != key}
        if _covered(space, years[low:high + 1], fewer, among) <= chosen:
            said = fewer
    while low > 0 and _covered(space, years[low - 1:high + 1], said, among) <= chosen:
        low -= 1
    while high < len(years) - 1 and _covered(space, years[low:high + 2], said, among) <= chosen:
        high += 1
    return _words(space, years, low, high, said), _covered(space, years[low:high + 1], said, among)


def _covered(space: VariantSpace, years: Sequence[int], said: dict[str, bool], among: set[int]) -> set[int]:
    return {number for number in among if space.variants[number]["year"] in years
            and all((key in space.variants[number]["options"]) is value for key, value in said.items())}


def _words(space: VariantSpace, years: Sequence[int], low: int, high: int, said: dict[str, bool]) -> str:
    first, last = years[low], space.spans[years[high]][1]
    parts = [f"year >= {first}"] if low > 0 else []
    parts += [f"year <= {last}"] if high < len(years) - 1 else []
    parts += [key if value else f"not {key}" for key, value in sorted(said.items(), key=lambda pair: not pair[1])]
    return " and ".join(parts) or "all"


def step_ids(actions: Iterable[Sequence[str]]) -> list[str]:
    """A kebab-case id for each step from what it does, no id twice: the same again after a change of the map."""
    used: dict[str, int] = {}
    found = []
    for do in actions:
        named = [action for action in do if not action.startswith("aid ")] or do
        words = [word for word in named[-1].replace("_", "-").split() if word not in ("to", "stage")]
        words = words[:2] if words[0] == "fill" else words
        name = "-".join(words)[:70].strip("-.")
        used[name] = used.get(name, 0) + 1
        found.append(name if used[name] == 1 else f"{name}-again" if used[name] == 2 else f"{name}-again-{used[name] - 1}")
    return found
