"""The variants of a model that a procedure must hold in, and which of them something concerns, in words.

Knows years, options and groups; nothing of what is simulated in a variant.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import Any

from benchtrail.domain.guards import Guard, Variant, guard_holds
from benchtrail.domain.refused import Refused

MOST_VARIANTS = 1024
NO_MODEL: Variant = {"year": 2000, "options": []}


@dataclass(frozen=True)
class VariantSpace:
    """The variants that differ in what guards can see. A variant's `year` stands for the years `spans[year]`."""

    variants: tuple[Variant, ...]
    spans: Mapping[int, tuple[int, int]]
    names: Mapping[str, str]
    groups: Mapping[str, str]


def guard_options(guard: Guard) -> set[str]:
    """The options that a guard mentions."""
    if guard is None:
        return set()
    if guard[0] == "option":
        return {guard[1]}
    return set().union(*(guard_options(inner) for inner in guard[1:] if isinstance(inner, list)))


def guard_years(guard: Guard) -> set[int]:
    """The years from which on a guard may change: for `<= 2023` and `> 2023` it is 2024."""
    if guard is None:
        return set()
    if guard[0] == "year":
        year = int(guard[2])
        return {"<": {year}, ">=": {year}, "=": {year, year + 1}}.get(guard[1], {year + 1})
    return set().union(*(guard_years(inner) for inner in guard[1:] if isinstance(inner, list)))


def usable_guard(guard: Guard, model: Mapping[str, Any] | None) -> Guard:
    """The guard; None (always) when it names an option that the model does not have, or there is no model: that is a
    finding of its own, and nothing else may follow from it."""
    known = {option["id"] for option in model["options"]} if model else set()
    return guard if model and guard_options(guard) <= known else None


def variants_of(model: Mapping[str, Any] | None, guards: Iterable[Guard], applies: Guard = None) -> VariantSpace:
    """The variants of a model that `guards` can tell apart, of those that `applies` holds in, in a stable order.

    `model` has `years` and `options`; without one there is one variant. Of a group exactly one option is fitted, if its
    own condition lets any be. Raises Refused("too_many_variants").
    """
    if model is None:
        return VariantSpace((NO_MODEL,), {2000: (2000, 2000)}, {}, {})
    options = {option["id"]: option for option in model["options"]}
    seen = [guard for guard in (*guards, applies) if guard is not None]
    kept = _mentioned(options, set().union(*(guard_options(guard) for guard in seen)))
    seen.extend(options[key]["when"] for key in kept)
    spans = _spans(model["years"], set().union(*(guard_years(guard) for guard in seen)))
    free = [key for key in kept if not options[key]["group"]]
    groups = sorted({options[key]["group"] for key in kept if options[key]["group"]})
    ways = _ways(options, free, groups)
    if len(spans) * prod(len(way) for way in ways) > MOST_VARIANTS:
        raise Refused("too_many_variants", options=len(kept), years=len(spans), limit=MOST_VARIANTS)
    found = [variant for year in sorted(spans) for variant in _fitted(year, options, ways, groups)
             if guard_holds(applies, variant)]
    names = {key: options[key]["name"] for key in kept}
    return VariantSpace(tuple(found), spans, names, {key: options[key]["group"] for key in kept if key not in free})


def _mentioned(options: Mapping[str, Mapping[str, Any]], mentioned: set[str]) -> list[str]:
    """The options mentioned, those of their groups, and those that the conditions of all these mention."""
    kept: set[str] = set()
    todo = mentioned & options.keys()
    while todo:
        kept |= todo
        groups = {options[key]["group"] for key in todo if options[key]["group"]}
        companions = {key for key, option in options.items() if option["group"] in groups}
        todo = (companions.union(*(guard_options(options[key]["when"]) for key in todo)) & options.keys()) - kept
    return sorted(kept)


def _spans(years: Sequence[int], changes: set[int]) -> dict[int, tuple[int, int]]:
    """First year of each run of years that no guard tells apart → the run."""
    first, last = years
    starts = sorted({first} | {year for year in changes if first < year <= last})
    return {start: (start, end - 1) for start, end in zip(starts, [*starts[1:], last + 1], strict=True)}


def _ways(options: Mapping[str, Mapping[str, Any]], free: Sequence[str],
          groups: Sequence[str]) -> list[list[list[str]]]:
    """What can be chosen: each free option or not, of each group one or none."""
    members = [[key for key in sorted(options) if options[key]["group"] == group] for group in groups]
    return [[[], [key]] for key in free] + [[[], *([key] for key in keys)] for keys in members]


def _fitted(year: int, options: Mapping[str, Mapping[str, Any]], ways: Sequence[Sequence[Sequence[str]]],
            groups: Sequence[str]) -> Iterator[Variant]:
    """Every choice of options in a year in which each option's own condition holds."""
    for chosen in product(*ways):
        variant: Variant = {"year": year, "options": sorted(key for keys in chosen for key in keys)}
        if all(guard_holds(options[key]["when"], variant) for key in variant["options"]) and all(
                _group_full(variant, options, group) for group in groups):
            yield variant


def _group_full(variant: Variant, options: Mapping[str, Mapping[str, Any]], group: str) -> bool:
    """True if one option of the group is fitted, or none of them could be."""
    members = [key for key, option in options.items() if option["group"] == group]
    return any(key in variant["options"] for key in members) or not any(
        guard_holds(options[key]["when"], variant) for key in members)


def describe_variants(space: VariantSpace, subset: Collection[int]) -> str | None:
    """Which variants a subset (of indexes into `space.variants`) is, in words; None when it is all of them.

    Such as “only from 2024 with skid plate”. Every variant named is in the subset and every one of the subset is named.
    """
    chosen = set(subset)
    if len(chosen) == len(space.variants):
        return None
    if not chosen:
        return "in no variant"
    parts, left = [], set(chosen)
    while left:
        cube = _widest(space, min(left), chosen)
        left -= cube.covered
        parts.append(_words(space, cube))
    return "only " + "; or ".join(parts)


@dataclass(frozen=True)
class _Cube:
    """Years from `first` to `last` (spans' starts) and what is said of options: fitted or not."""

    first: int
    last: int
    said: tuple[tuple[str, bool], ...]
    covered: frozenset[int]


def _widest(space: VariantSpace, seed: int, chosen: set[int]) -> _Cube:
    """A wide statement true of the variant `seed` and of no variant outside `chosen`: says as little as it can."""
    variant = space.variants[seed]
    said = {key: key in variant["options"] for key in space.names}
    years = sorted(space.spans)
    low = high = years.index(variant["year"])
    for key in sorted(said, key=lambda key: (said[key], key)):
        fewer = {other: value for other, value in said.items() if other != key}
        if _covered(space, years[low], years[high], fewer) <= chosen:
            said = fewer
    while low > 0 and _covered(space, years[low - 1], years[high], said) <= chosen:
        low -= 1
    while high < len(years) - 1 and _covered(space, years[low], years[high + 1], said) <= chosen:
        high += 1
    return _Cube(years[low], years[high], tuple(sorted(said.items())),
                 frozenset(_covered(space, years[low], years[high], said)))


def _covered(space: VariantSpace, first: int, last: int, said: Mapping[str, bool]) -> set[int]:
    return {n for n, variant in enumerate(space.variants) if first <= variant["year"] <= last
            and all((key in variant["options"]) is value for key, value in said.items())}


def _words(space: VariantSpace, cube: _Cube) -> str:
    """A statement in words: years first, then what is fitted, then what is not."""
    fitted = [space.names[key] for key, value in cube.said if value]
    missing = [space.names[key] for key, value in cube.said if not value and not _implied(space, cube, key)]
    words = [_year_words(space, cube), f"with {' and '.join(fitted)}" if fitted else "",
             f"without {' and '.join(missing)}" if missing else ""]
    return " ".join(word for word in words if word)


def _implied(space: VariantSpace, cube: _Cube, key: str) -> bool:
    """True if another option of the same group is said to be fitted."""
    group = space.groups.get(key)
    return group is not None and any(value and space.groups.get(other) == group for other, value in cube.said)


def _year_words(space: VariantSpace, cube: _Cube) -> str:
    years = sorted(space.spans)
    first, last = space.spans[cube.first][0], space.spans[cube.last][1]
    at_start, at_end = cube.first == years[0], cube.last == years[-1]
    if at_start and at_end:
        return ""
    if first == last:
        return f"{first}"
    if at_end:
        return f"from {first}"
    return f"up to {last}" if at_start else f"{first} to {last}"
