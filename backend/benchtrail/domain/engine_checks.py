"""Battery at rest and compression: readings that compare, not diagnose.

Knows common practice for batteries and plain ratios between cylinders; limits for a verdict are the maker's.
"""

from collections.abc import Sequence

from benchtrail.domain.answer import ARITHMETIC, PRACTICE, Answer, Note, Value
from benchtrail.domain.bounds import EDGE, bounded, chosen, positive, several
from benchtrail.domain.refused import Refused

# least rest voltage of a 12 V lead-acid battery → word
_REST_VOLTS = ((12.6, "full"), (12.4, "three_quarters"), (12.2, "half"), (12.0, "quarter"), (0.0, "flat"))
_LEAST_REST_H = 2.0


def battery_rest(*, voltage_v: float, rested_h: float, battery: str = "lead_acid_12v") -> Answer:
    """What the rest voltage of a lead-acid 12 V battery tells, as common practice has it.

    Rule: 12.6 V full, 12.4 three quarters, 12.2 half, 12.0 a quarter, below flat, after at least 2 h without charge or
    load. `voltage_v` 0 to 16; `rested_h` from 0 to 10 000; `battery` lead_acid_12v or lithium_12v. Returns `state`,
    unknown when it has not rested or reads above 13.2 V. Raises `battery_table_missing` for lithium, as `bounded`.
    Source: common practice, no source. Stops being true in cold, for a sulphated battery, and says nothing under load.
    """
    volts = bounded(voltage_v, "rest voltage", "V", 0, 16)
    rested = bounded(rested_h, "hours at rest", "h", 0, 10_000)
    chosen({"lead_acid_12v": 1, "lithium_12v": 1}, battery, "battery")
    if battery == "lithium_12v":
        raise Refused("battery_table_missing")
    known = rested >= _LEAST_REST_H and volts <= 13.2
    state = next(word for least, word in _REST_VOLTS if volts >= least) if known else "unknown"
    values: dict[str, Value] = {"state": state, "voltage_v": volts}
    notes = (Note("battery_not_rested"),) if not known else (Note("battery_flat"),) if state == "flat" else ()
    until = (Note("battery_cold_or_old"), Note("load_test_decides"))
    return Answer(values, Note("battery_rest", {**values, "rested_h": rested}), (PRACTICE,), until, notes)


def compression_compare(*, readings_kpa: Sequence[float], least_share_percent: float | None = None,
                        least_kpa: float | None = None) -> Answer:
    """How the compression readings of the cylinders, or of one cylinder over time, compare.

    Formula: share = lowest / highest. `readings_kpa` 1 to 12 gauge readings, above 0 to 5000; `least_share_percent`
    (1 to 100) and `least_kpa` as the maker gives them. Returns `share_percent`, `lowest_kpa`, `highest_kpa`,
    `mean_kpa`, `verdict` within, outside, unknown (without a limit). Raises as `bounded`, `positive`, `several`.
    Source: arithmetic; the limits are the maker's. Stops being true with a closed throttle, a cold engine, a weak
    battery, a decompressor that stays open.
    """
    taken = [positive(value, "compression reading", "kPa", 5000) for value in several(readings_kpa, "readings", 1, 12)]
    lowest, highest = min(taken), max(taken)
    share = lowest / highest * 100
    fails = []
    if least_share_percent is not None:
        fails.append(share < bounded(least_share_percent, "least share", "%", 1, 100) - EDGE)
    if least_kpa is not None:
        fails.append(lowest < positive(least_kpa, "least compression", "kPa", 5000))
    verdict = "unknown" if not fails else "outside" if any(fails) else "within"
    values: dict[str, Value] = {"share_percent": share, "lowest_kpa": lowest, "highest_kpa": highest,
                                "mean_kpa": sum(taken) / len(taken), "verdict": verdict}
    notes = (Note("limit_missing"),) if verdict == "unknown" else ()
    until = (Note("throttle_open_engine_warm"), Note("decompressor_shut"))
    return Answer(values, Note("compression_compare", values), (ARITHMETIC,), until, notes)
