"""Sag, spring rate, fork oil: what a tape measure tells about the suspension.

Knows lengths and weights; the wanted sag is the machine's own data and is never assumed.
"""

import math

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Source, Value
from benchtrail.domain.bounds import EDGE, bounded, positive
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import round_half_away, with_unit

_UNTIL = (Note("measured_on_level_ground"), Note("friction_not_averaged"))


def sag(*, free_mm: float, own_weight_mm: float, rider_mm: float | None = None, travel_mm: float | None = None,
        static_low_mm: float | None = None, static_high_mm: float | None = None, rider_low_mm: float | None = None,
        rider_high_mm: float | None = None) -> Answer:
    """Static sag and sag with the rider, against the machine's own limits.

    Formula: static = free − own weight; rider = free − with rider. Lengths between the same two marks, 10 to 3000 mm:
    `free_mm` wheel hanging, `own_weight_mm` machine alone, `rider_mm` rider on in gear; `travel_mm` of the wheel;
    limits as published, if any. Returns `static_mm`, `rider_sag_mm`, their share of travel, `static_verdict` and
    `rider_verdict`: within, too_little, too_much, unknown (without limits never judged). Raises `sag_backwards`, as
    `bounded`.
    Source: arithmetic; limits from the maker only. Stops being true on a slope or with binding suspension.
    """
    free = bounded(free_mm, "length with the wheel hanging", "mm", 10, 3000)
    own = bounded(own_weight_mm, "length under its own weight", "mm", 10, 3000)
    rider = None if rider_mm is None else bounded(rider_mm, "length with the rider", "mm", 10, 3000)
    travel = None if travel_mm is None else positive(travel_mm, "wheel travel", "mm", 1000)
    if own > free or (rider is not None and rider > own):
        raise Refused("sag_backwards")
    static, ridden = free - own, None if rider is None else free - rider
    values: dict[str, Value] = {
        "static_mm": static, "rider_sag_mm": ridden,
        "static_percent": None if travel is None else static / travel * 100,
        "rider_percent": None if travel is None or ridden is None else ridden / travel * 100,
        "static_verdict": _verdict(static, static_low_mm, static_high_mm),
        "rider_verdict": _verdict(ridden, rider_low_mm, rider_high_mm)}
    working = Note("sag", {**values, "free_mm": free, "own_weight_mm": own, "rider_mm": rider})
    return Answer(values, working, (ARITHMETIC,), _UNTIL, _spring_hint(values))


def _verdict(value: float | None, low: float | None, high: float | None) -> str:
    if value is None or (low is None and high is None):
        return "unknown"
    least = 0.0 if low is None else bounded(low, "lower limit of the sag", "mm", 0, 1000)
    most = 1000.0 if high is None else bounded(high, "upper limit of the sag", "mm", least, 1000)
    return "too_little" if value < least - EDGE else "too_much" if value > most + EDGE else "within"


def _spring_hint(values: dict[str, Value]) -> tuple[Note, ...]:
    """With the rider's sag right, static sag tells whether the spring is too soft or too hard."""
    if values["rider_verdict"] == "within" and values["static_verdict"] == "too_little":
        return (Note("spring_too_soft"),)
    if values["rider_verdict"] == "within" and values["static_verdict"] == "too_much":
        return (Note("spring_too_hard"),)
    return ()


def spring_rate(*, rate_n_mm: float, static_mm: float, rider_sag_mm: float, static_wanted_mm: float,
                rider_wanted_mm: float, step_n_mm: float = 2.0) -> Answer:
    """The spring rate at which the rider's weight gives the wanted difference of sag.

    Formula: k' = k·(rider − static) / (rider wanted − static wanted), rounded to the step on sale. `rate_n_mm` above
    0 to 500; sags 0 to 1000 mm; `step_n_mm` 0.1 to 50. Returns `needed_n_mm`, `buy_n_mm`, `steps` (from the present
    one). Raises `sag_difference_missing`, as `bounded`.
    Source: our derivation for a linear spring. Stops being true for progressive springs and strongly rising linkages.
    """
    rate = positive(rate_n_mm, "spring rate", "N/mm", 500)
    static, ridden, static_wanted, ridden_wanted = (
        bounded(value, what, "mm", 0, 1000) for value, what in
        ((static_mm, "static sag"), (rider_sag_mm, "sag with the rider"), (static_wanted_mm, "wanted static sag"),
         (rider_wanted_mm, "wanted sag with the rider")))
    step = bounded(step_n_mm, "step of springs on sale", "N/mm", 0.1, 50)
    if ridden <= static or ridden_wanted <= static_wanted:
        raise Refused("sag_difference_missing")
    needed = rate * (ridden - static) / (ridden_wanted - static_wanted)
    buy = max(round_half_away(needed, step), step)
    values = {"needed_n_mm": needed, "buy_n_mm": buy, "steps": (buy - rate) / step}
    source = Source("arithmetic", "our derivation for a linear spring")
    working = Note("spring_rate", {**values, "rate_n_mm": rate, "static_mm": static, "rider_sag_mm": ridden,
                                   "static_wanted_mm": static_wanted, "rider_wanted_mm": ridden_wanted})
    return Answer(values, working, (source,), (Note("spring_not_linear"), Note("maker_offers_rates")))


def fork_oil_by_air_gap(*, gap_mm: float, wanted_gap_mm: float, inner_diameter_mm: float,
                        rod_diameter_mm: float = 0.0) -> Answer:
    """Oil to add to or take from a fork leg for a wanted air gap.

    Formula: ml = π/4·(D² − d²)·(gap − wanted)/1000. Gaps 0 to 500 mm, fork fully in and spring out;
    `inner_diameter_mm` D of the tube where the oil stands, 10 to 100; `rod_diameter_mm` d standing in it, from 0 and
    less than D. Returns `add_ml` (negative: take out). Raises `rod_fills_tube`, as `bounded`.
    Source: arithmetic. Stops being true with the spring in, the fork out, or air in the damper: pump it first.
    """
    gap, wanted = bounded(gap_mm, "air gap", "mm", 0, 500), bounded(wanted_gap_mm, "wanted air gap", "mm", 0, 500)
    tube = bounded(inner_diameter_mm, "inner diameter of the tube", "mm", 10, 100)
    rod = bounded(rod_diameter_mm, "diameter of the rod", "mm", 0, 100)
    if rod >= tube:
        raise Refused("rod_fills_tube", rod=with_unit(rod, "mm"), tube=with_unit(tube, "mm"))
    values = {"add_ml": math.pi / 4 * (tube**2 - rod**2) * (gap - wanted) / 1000}
    working = Note("fork_oil_by_air_gap", {**values, "gap_mm": gap, "wanted_gap_mm": wanted, "tube_mm": tube})
    return Answer(values, working, (ARITHMETIC,), (Note("fork_in_spring_out"), Note("air_in_damper")))
