"""Coolant: mixing, drain and refill, how cold it may get, the room it needs when hot.

Knows glycol by volume between 10 and 60 %; never extrapolates and never calls a mixture safe beyond that.
"""

import math

from benchtrail.domain.answer import ARITHMETIC, PRACTICE, Answer, Note, Source, Value
from benchtrail.domain.bounds import bounded, chosen, positive, whole
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit

MOST_ML = 100_000
# freezing point in °C at 10, 15 … 60 % by volume
_FREEZING = {
    "ethylene": (-3.62, -6.15, -8.98, -12.12, -15.70, -19.88, -24.80, -30.54, -37.11, -44.37, -52.02),
    "propylene": (-3.43, -5.25, -7.38, -9.97, -13.11, -16.91, -21.51, -27.03, -33.66, -41.59, -51.06),
}
_STEP, _LEAST, _MOST = 5, 10, 60
_MARGIN_K = 3
# density in kg/m³ at 20, 40, 60, 80, 90, 100 °C and 3 bar
_DENSITY_AT_C = (20, 40, 60, 80, 90, 100)
_DENSITY = {
    "water": (998.30, 992.30, 983.28, 971.88, 965.40, 958.44),
    "ethylene_30": (1045.25, 1036.78, 1026.37, 1014.00, 1007.09, 999.69),
    "ethylene_40": (1059.69, 1050.62, 1039.60, 1026.64, 1019.44, 1011.74),
    "ethylene_50": (1073.35, 1063.66, 1052.04, 1038.46, 1030.95, 1022.95),
    "ethylene_60": (1086.27, 1075.95, 1063.69, 1049.48, 1041.65, 1033.33),
    "propylene_30": (1028.35, 1018.42, 1006.45, 992.43, 984.65, 976.37),
    "propylene_40": (1036.24, 1025.30, 1012.30, 997.25, 988.95, 980.14),
    "propylene_50": (1042.87, 1030.98, 1017.04, 1001.05, 992.28, 983.00),
    "propylene_60": (1048.25, 1035.47, 1020.65, 1003.81, 994.63, 984.94),
}
FREEZE_SOURCE = Source("library", "CoolProp 8.0.0, ASHRAE glycol by volume (AEG, APG)")
_INHIBITOR_SOURCE = Source("published", "TM 5-3820-245-14&P: at least 30 %, at most 67 % by volume")
_UNTIL = (Note("old_or_mixed_coolant"), Note("basis_is_volume"))
_RECHECK = Note("run_three_minutes_recheck")


def _table(glycol: str, percent: float) -> float:
    """Freezing point between the points of the table, by straight lines."""
    points = chosen(_FREEZING, glycol, "glycol")
    place = (percent - _LEAST) / _STEP
    low = min(math.floor(place), len(points) - 2)
    return points[low] + (points[low + 1] - points[low]) * (place - low)


def _share(percent: float, what: str = "share of glycol") -> float:
    """A share by volume from 0 to 100 %."""
    return bounded(percent, what, "%", 0, 100)


def coolant_freeze(*, glycol: str, percent: float) -> Answer:
    """How cold a mixture may get: about where it freezes, and what to rely on.

    Rule: the library's table by volume, straight lines between; relied on 3 K above, rounded up. `glycol` ethylene or
    propylene; `percent` by volume from 10 to 60. Returns `freezes_c`, `rely_on_c`. Raises `glycol_outside_table`, as
    `bounded`, `choice_unknown`.
    Source: CoolProp 8.0.0; data sets differ by up to 2.7 K at 50 %. Stops being true for old or mixed coolant, and for
    shares read by mass or on the scale of the other glycol.
    """
    share = _share(percent)
    chosen(_FREEZING, glycol, "glycol")
    if not _LEAST <= share <= _MOST:
        raise Refused("glycol_outside_table", percent=with_unit(share, "%"))
    freezes = _table(glycol, share)
    values = {"freezes_c": freezes, "rely_on_c": float(math.ceil(freezes + _MARGIN_K))}
    notes = (Note("glycol_below_inhibitor", {"percent": share}),) if share < 30 else ()
    working = Note("coolant_freeze", {**values, "percent": share, "glycol": glycol})
    return Answer(values, working, (FREEZE_SOURCE, _INHIBITOR_SOURCE), _UNTIL, notes)


def coolant_for_cold(*, glycol: str, lowest_c: float) -> Answer:
    """The least share of glycol for a lowest temperature, with 3 K to spare and never below 30 %.

    Rule: the inverse of the table of `coolant_freeze` at `lowest_c` − 3, rounded up to a whole per cent. `lowest_c`
    −60 to 10. Returns `percent`, `freezes_c`. Raises `colder_than_table`, as `bounded`, `choice_unknown`. Source and
    limits as `coolant_freeze`; 30 % for the inhibitors from TM 5-3820-245-14&P.
    """
    lowest = bounded(lowest_c, "lowest temperature", "°C", -60, 10)
    points = chosen(_FREEZING, glycol, "glycol")
    wanted = lowest - _MARGIN_K
    if wanted < points[-1]:
        limit = with_unit(points[-1] + _MARGIN_K, "°C")
        raise Refused("colder_than_table", lowest=with_unit(lowest, "°C"), limit=limit)
    percent = next(p for p in range(_LEAST, _MOST + 1) if _table(glycol, p) <= wanted + 1e-9)
    share = float(max(percent, 30))
    values = {"percent": share, "freezes_c": _table(glycol, share)}
    working = Note("coolant_for_cold", {**values, "lowest_c": lowest})
    return Answer(values, working, (FREEZE_SOURCE, _INHIBITOR_SOURCE), _UNTIL)


def coolant_mix(*, total_ml: float, percent: float, product: str = "concentrate") -> Answer:
    """Concentrate and water for an amount of coolant.

    Formula: concentrate = total · share. `total_ml` above 0 to 100 000; `percent` 10 to 60 by volume; `product`
    concentrate or premix. Returns `concentrate_ml`, `water_ml`. Raises `premix_not_diluted`, `glycol_outside_table`.
    Source: arithmetic; the limits from TM 5-3820-245-14&P. Stops being true when the system still holds old coolant.
    """
    total = positive(total_ml, "amount of coolant", "ml", MOST_ML)
    share = _share(percent)
    chosen({"concentrate": 1, "premix": 1}, product, "product")
    if product == "premix":
        raise Refused("premix_not_diluted")
    if not _LEAST <= share <= _MOST:
        raise Refused("glycol_outside_table", percent=with_unit(share, "%"))
    values = {"concentrate_ml": total * share / 100, "water_ml": total * (100 - share) / 100}
    notes = (*((Note("glycol_below_inhibitor", {"percent": share}),) if share < 30 else ()), Note("use_soft_water"))
    working = Note("coolant_mix", {**values, "total_ml": total, "percent": share})
    return Answer(values, working, (ARITHMETIC, _INHIBITOR_SOURCE), (Note("old_coolant_left"),), notes)


def drain_and_refill(*, system_ml: float, drained_ml: float, old_percent: float, new_percent: float,
                     times: int = 1) -> Answer:
    """What the system holds after draining part of it and refilling, once or several times.

    Formula: c' = (c·(V − x) + n·x) / V each time. `system_ml` V above 0 to 100 000, `drained_ml` x from 0 to V,
    shares 0 to 100 %, `times` 1 to 20. Returns `percent`, `each` (after every time), `old_left_percent`. Raises
    `drained_exceeds_system`, as `bounded`.
    Source: arithmetic; the recheck after three minutes is common practice, no source. Stops being true when old fluid
    does not mix in before the next draining.
    """
    system = positive(system_ml, "whole system", "ml", MOST_ML)
    drained = bounded(drained_ml, "amount drained", "ml", 0, MOST_ML)
    if drained > system:
        raise Refused("drained_exceeds_system", drained=with_unit(drained, "ml"), system=with_unit(system, "ml"))
    now, new = _share(old_percent, "share before"), _share(new_percent, "share of the new fluid")
    each: list[Value] = []
    for _ in range(whole(times, "number of times", 1, 20)):
        now = (now * (system - drained) + new * drained) / system
        each.append(now)
    values: dict[str, Value] = {"percent": now, "each": each,
                                "old_left_percent": (1 - drained / system) ** len(each) * 100}
    working = Note("drain_and_refill", {**values, "system_ml": system, "drained_ml": drained})
    return Answer(values, working, (ARITHMETIC, PRACTICE), (Note("not_mixed_between"),), (_RECHECK,))


def drain_for_target(*, system_ml: float, now_percent: float, target_percent: float,
                     refill_percent: float = 100.0) -> Answer:
    """How much to drain and replace to bring a system to a share.

    Formula: x = V·(target − now) / (refill − now). Arguments as `drain_and_refill`. Returns `drain_ml`, `refill_ml`.
    Raises `target_not_between`, as `bounded`.
    Source: arithmetic. Stops being true when the drained part is not a fair sample of the whole.
    """
    system = positive(system_ml, "whole system", "ml", MOST_ML)
    now, target = _share(now_percent, "share now"), _share(target_percent, "share wanted")
    refill = _share(refill_percent, "share of the refill")
    if target != now and not (now < target <= refill or refill <= target < now):
        raise Refused("target_not_between", target=with_unit(target, "%"), now=with_unit(now, "%"),
                      refill=with_unit(refill, "%"))
    drain = 0.0 if target == now else system * (target - now) / (refill - now)
    values = {"drain_ml": drain, "refill_ml": drain}
    working = Note("drain_for_target", {**values, "system_ml": system, "now_percent": now, "target_percent": target,
                                        "refill_percent": refill})
    return Answer(values, working, (ARITHMETIC, PRACTICE), (Note("not_mixed_between"),), (_RECHECK,))


def expansion_room(*, system_ml: float, fluid: str, from_c: float = 20.0, to_c: float = 90.0) -> Answer:
    """How much more room a filling needs when hot.

    Formula: room = V·(ρ(from)/ρ(to) − 1), densities by straight lines between table points. `system_ml` above 0 to
    100 000 cold; `fluid` water, ethylene_30 … ethylene_60, propylene_30 … propylene_60 (% by volume); temperatures 20
    to 100 °C, rising. Returns `room_ml`, `per_litre_ml`. Raises `temperatures_not_rising`, as `bounded`,
    `choice_unknown`.
    Source: CoolProp 8.0.0 at 3 bar. Stops being true with air in the system, hoses that swell, other coolant.
    """
    system = positive(system_ml, "whole system", "ml", MOST_ML)
    cold, hot = bounded(from_c, "cold temperature", "°C", 20, 100), bounded(to_c, "hot temperature", "°C", 20, 100)
    if hot < cold:
        raise Refused("temperatures_not_rising", low=with_unit(cold, "°C"), high=with_unit(hot, "°C"))
    points = chosen(_DENSITY, fluid, "fluid")
    per_litre = 1000 * (_density(points, cold) / _density(points, hot) - 1)
    values = {"room_ml": system * per_litre / 1000, "per_litre_ml": per_litre}
    source = Source("library", "CoolProp 8.0.0, densities at 3 bar")
    working = Note("expansion_room", {**values, "system_ml": system, "from_c": cold, "to_c": hot})
    return Answer(values, working, (source,), (Note("air_in_system"),))


def _density(points: tuple[float, ...], at_c: float) -> float:
    low = max(n for n, t in enumerate(_DENSITY_AT_C[:-1]) if t <= at_c)
    share = (at_c - _DENSITY_AT_C[low]) / (_DENSITY_AT_C[low + 1] - _DENSITY_AT_C[low])
    return points[low] + (points[low + 1] - points[low]) * share
