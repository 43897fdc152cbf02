"""Whether a reading is within its limits.

Knows limits and figures of a pack; must not know what is done about it. A figure that is not known never makes a
reading "within".
"""

import math
from collections.abc import Mapping
from typing import Any, Literal, TypedDict

from benchtrail.domain.bench_state import Pack

Verdict = Literal["within", "outside", "unknown"]
# a value typed in another unit carries the noise of its conversion; no gauge shows one part in 10^9
NOISE = 1e-9


class ReadingLimits(TypedDict):
    """Lowest and highest value that is in order, in the canonical unit; None is no limit on that side.

    `known` is False when a limit is named whose figure or number is missing.
    """

    low: float | None
    high: float | None
    known: bool


def verdict(pack: Pack, step: str, value: float) -> Verdict:
    """`within`, `outside` or `unknown`, for `value` in the canonical unit of the step's limits; limits are included.

    `unknown` when the value is no number, or the step, its limits, a limit's figure or its number is missing; but a
    value beyond a limit that is known is `outside`. Source: our derivation, see vectors verdict.
    """
    limits = reading_limits(pack, step)
    if limits is None or isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return "unknown"
    low, high = limits["low"], limits["high"]
    if low is not None and value < low - abs(low) * NOISE:
        return "outside"
    if high is not None and value > high + abs(high) * NOISE:
        return "outside"
    return "within" if limits["known"] else "unknown"


def reading_limits(pack: Pack, step: str) -> ReadingLimits | None:
    """The limits by which a step's reading is judged; None when there are none.

    They are the step's own, else the figure of the check that it measures, if that figure is a range.
    """
    found = next((entry for entry in pack["steps"] if entry["id"] == step), None)
    if found is None:
        return None
    return _stated(pack, found["limits"]) if found["limits"] else _of_check(pack, found)


def _stated(pack: Pack, limits: Mapping[str, Any]) -> ReadingLimits:
    low, high = (_end(pack, limits, side) for side in ("low", "high"))
    named = [end for side, end in (("low", low), ("high", high)) if limits[side] is not None]
    return {"low": low, "high": high, "known": bool(named) and None not in named}


def _end(pack: Pack, limits: Mapping[str, Any], side: str) -> float | None:
    """The figure's end on that side, else its value; None when it has neither, or another unit."""
    figure = pack["figures"].get(limits[side])
    if not figure or figure["unit"] != limits["unit"]:
        return None
    number: float | None = figure[side] if figure[side] is not None else figure["value"]
    return number


def _of_check(pack: Pack, step: Mapping[str, Any]) -> ReadingLimits | None:
    checks = (pack["checks"].get(action["object"]) for action in step["do"] if action["verb"] == "measure")
    figure = next((pack["figures"].get(check["figure"]) for check in checks if check and check["figure"]), None)
    if not figure or figure["low"] is None or figure["high"] is None:
        return None
    return {"low": figure["low"], "high": figure["high"], "known": True}
