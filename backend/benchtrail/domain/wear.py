"""Measured against a limit: chain, disc, pad, ring gap, anything with a least or a most.

Knows limits as the machine's own data; without one nothing is called good.
"""

import math
from collections.abc import Sequence

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Source, Value
from benchtrail.domain.bounds import EDGE, bounded, positive, several, whole
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit

_LIMIT_FROM_MAKER = Note("limit_from_maker")


def limit_check(*, readings: Sequence[float], at_least: float | None = None, at_most: float | None = None,
                most_spread: float | None = None, unit: str = "mm") -> Answer:
    """Whether all readings lie within the published limits, and what is left before the nearest one.

    Rule: the worst reading decides; a spread above `most_spread` fails too. `readings` 1 to 40, −1000 to 100 000 in
    `unit`, as measured round the disc, along the pad, across the bore. Returns `verdict` within, outside or unknown
    (without any limit), `least`, `most`, `spread`, `left` (none without a limit). Raises `limits_swapped`, as
    `bounded`.
    Source: arithmetic; the limits are the maker's. Stops being true for wear that was not measured at its worst
    place.
    """
    taken = [bounded(value, "reading", unit, -1000, 1e5) for value in several(readings, "readings", 1, 40)]
    low = None if at_least is None else bounded(at_least, "lower limit", unit, -1000, 1e5)
    high = None if at_most is None else bounded(at_most, "upper limit", unit, -1000, 1e5)
    spread_limit = None if most_spread is None else bounded(most_spread, "largest spread", unit, 0, 1e5)
    if low is not None and high is not None and low > high:
        raise Refused("limits_swapped", low=with_unit(low, unit), high=with_unit(high, unit))
    least, most = min(taken), max(taken)
    rooms = [room for room in (None if low is None else least - low, None if high is None else high - most,
                               None if spread_limit is None else spread_limit - (most - least)) if room is not None]
    verdict = "unknown" if not rooms else "within" if min(rooms) >= -EDGE else "outside"
    values: dict[str, Value] = {"verdict": verdict, "least": least, "most": most, "spread": most - least,
                                "left": min(rooms) if rooms else None}
    working = Note("limit_check", {**values, "unit": unit, "at_least": low, "at_most": high})
    notes = (Note("limit_missing"),) if verdict == "unknown" else ()
    return Answer(values, working, (ARITHMETIC,), (Note("worst_place_measured"), _LIMIT_FROM_MAKER), notes)


def chain_wear(*, measured_mm: float, pitches: int, pitch_mm: float, limit_percent: float | None = None,
               sprocket_teeth: int | None = None, fixed_centres: bool = False) -> Answer:
    """How far a chain has stretched, against the limit and the two usual lines.

    Formula: stretch = measured/(n·P) − 1. `measured_mm` pin centre to pin centre, tight run; `pitches` n 5 to 200;
    `pitch_mm` P 4 to 40; `limit_percent` the maker's, 0.1 to 10; else 3 %, from 67 teeth 200/N %, for fixed centres
    1.5 %. Returns `stretch_percent`, `limit_percent`, `verdict` within or outside, `at_limit_mm`, `line_1_5_mm`,
    `line_3_mm`. Raises `chain_miscounted` below −0.5 % or above 8 %, as `bounded`.
    Source: ANSI/ASME B29.1 as cited by a maker, in a restatement; off-road chain slack has no published standard.
    Stops being true for a slack run, edges read instead of centres, or hooked sprockets.
    """
    count, pitch = whole(pitches, "number of pitches", 5, 200), bounded(pitch_mm, "chain pitch", "mm", 4, 40)
    measured = positive(measured_mm, "measured length", "mm", 10_000)
    new = count * pitch
    stretch = (measured / new - 1) * 100
    if not -0.5 <= stretch <= 8:
        raise Refused("chain_miscounted", measured=with_unit(measured, "mm"), new=with_unit(new, "mm"))
    limit = _chain_limit(limit_percent, sprocket_teeth, fixed_centres)
    values: dict[str, Value] = {
        "stretch_percent": stretch, "limit_percent": limit,
        "verdict": "within" if stretch <= limit + EDGE else "outside",
        "at_limit_mm": new * (1 + limit / 100), "line_1_5_mm": new * 1.015, "line_3_mm": new * 1.03}
    working = Note("chain_wear", {**values, "measured_mm": measured, "pitches": count, "pitch_mm": pitch})
    source = Source("restated", "ANSI/ASME B29.1 as a chain maker cites it: 3 %, above 66 teeth 200/N %, fixed 1.5 %")
    notes = () if values["verdict"] == "within" else (Note("renew_sprockets_too"),)
    return Answer(values, working, (source,), (Note("chain_pulled_tight"), _LIMIT_FROM_MAKER), notes)


def _chain_limit(given: float | None, teeth: int | None, fixed: bool) -> float:
    if given is not None:
        return bounded(given, "limit of the maker", "%", 0.1, 10)
    general = 1.5 if fixed else 3.0
    return general if teeth is None else min(general, 200 / whole(teeth, "sprocket teeth", 8, 200))


def ring_gap_from_bore(*, gap_mm: float, measured_bore_mm: float, ring_bore_mm: float) -> Answer:
    """What a ring end gap measured in a worn part of the bore would be where the ring runs.

    Formula: gap' = gap + π·(D' − D). `gap_mm` from 0 to 10; bores 20 to 200 mm. Returns `gap_mm`, `per_hundredth_mm`
    (gap for each 0.01 mm of bore). Raises `gap_below_nothing`, as `bounded`.
    Source: arithmetic. Stops being true for a ring that was not square in the bore; the limit is the maker's.
    """
    gap = bounded(gap_mm, "ring end gap", "mm", 0, 10)
    here = bounded(measured_bore_mm, "bore where measured", "mm", 20, 200)
    there = bounded(ring_bore_mm, "bore where the ring runs", "mm", 20, 200)
    corrected = gap + math.pi * (there - here)
    if corrected < 0:
        raise Refused("gap_below_nothing", gap=with_unit(corrected, "mm"))
    values = {"gap_mm": corrected, "per_hundredth_mm": math.pi / 100}
    working = Note("ring_gap_from_bore", {**values, "measured_mm": gap, "here_mm": here, "there_mm": there})
    return Answer(values, working, (ARITHMETIC,), (Note("ring_square_in_bore"), _LIMIT_FROM_MAKER))
