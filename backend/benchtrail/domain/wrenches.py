"""Which of one's own torque wrenches to take for a figure, and what to set on its scale.

Knows ranges, steps and check dates of hand torque tools; knows nothing of bolts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypedDict

from benchtrail.domain.answer import Answer, Note, Source, Value
from benchtrail.domain.bounds import EDGE, bounded, chosen, positive, record_field, several
from benchtrail.domain.dates import add_months, iso_date
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import round_half_away, snapped
from benchtrail.domain.torque import MOST_NM
from benchtrail.domain.units import convert

SOURCES = (
    Source("published", "TM 1-1500-204-23-9, chapter 8: ±4 % from 20 % of full scale, best 30 to 80 %, step to 10 %"),
    Source("restated", "ISO 6789:2003: ±4 % above 10 N·m full scale, else ±6 %; ISO 6789-1:2017: from the lowest mark"),
    Source("published", "FAA AC 43.13-1B, paragraph 7-40: checked each year and after a drop"),
)
_UNTIL = (Note("wrench_dropped_or_overloaded"), Note("pull_not_smooth"))
_SCALES = {"N·m": "N·m", "lbf·ft": "lbf·ft", "lbf·in": "lbf·in", "kgf·m": "kgf·m", "kgf·cm": "kgf·cm", "N·cm": "N·cm"}
_RANKS = ("good", "usable", "low_fifth", "step_too_coarse", "misses_tolerance", "below_range", "above_range")
_CHECKS = ("in_date", "unknown", "overdue", "dropped")
_USABLE = {"good", "usable", "low_fifth"}


class Wrench(TypedDict, total=False):
    """A wrench as its owner describes it; `low`, `high`, `step` in its own `unit`, `step` 0 when it has no steps."""

    name: str
    low: float
    high: float
    unit: str
    step: float
    checked: str | None
    dropped: bool


@dataclass(frozen=True)
class _Tool:
    name: str
    low: float
    high: float
    unit: str
    step: float
    checked: date | None
    dropped: bool


def choose_wrench(*, target_nm: float, wrenches: Sequence[Wrench], factor: float = 1.0, low_nm: float | None = None,
                  high_nm: float | None = None, today: str | None = None) -> Answer:
    """The wrench to take, what to set on its scale, and what is said of each of the others.

    Formula: set = target · factor, rounded to the scale's step; applied = set / factor. `target_nm` above 0 to 2000;
    `factor` from `torque_at_wrench` (1 without adapter), 0.05 to 20; `low_nm`, `high_nm` the published limits if any;
    `today` as YYYY-MM-DD, without it no check is called overdue. Returns `best` (name or none) and `rows`, best first:
    `name`, `verdict`, `usable`, `set`, `unit`, `applied_nm`, `off_percent`, `share_percent`, `error_percent`, `check`.
    Raises `wrench_range_empty` and what `bounded`, `positive`, `several`, `chosen`, `iso_date` raise.
    Sources: see `SOURCES`. Stops being true after a drop, an overload or a jerky pull.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    share = bounded(factor, "adapter factor", "", 0.05, 20)
    least = bounded(low_nm, "lower limit", "N·m", 0, MOST_NM) if low_nm is not None else None
    most = bounded(high_nm, "upper limit", "N·m", 0, MOST_NM) if high_nm is not None else None
    day = None if today is None else iso_date(today, "today")
    tools = [_tool(wrench) for wrench in several(wrenches, "torque wrenches", 1, 40)]
    rows = sorted((_row(tool, target, share, least, most, day) for tool in tools), key=_rank)
    best = rows[0] if rows[0]["usable"] else None
    working = Note("choose_wrench", {"target_nm": target, **best}) if best else Note("no_wrench", {"target_nm": target})
    values: dict[str, Value] = {"best": best["name"] if best else None, "rows": [dict(row) for row in rows]}
    return Answer(values, working, SOURCES, _UNTIL, _notes(best))


def _tool(wrench: object) -> _Tool:
    """The wrench with its fields checked."""
    unit = chosen(_SCALES, record_field(wrench, "unit", "torque wrench"), "unit of the wrench's scale")
    high = positive(record_field(wrench, "high", "torque wrench"), "highest mark of the wrench", unit, 20_000)
    low = bounded(record_field(wrench, "low", "torque wrench"), "lowest mark of the wrench", unit, 0, 20_000)
    step = bounded(record_field(wrench, "step", "torque wrench") or 0, "scale step", unit, 0, high)
    if low >= high:
        raise Refused("wrench_range_empty", name=str(record_field(wrench, "name", "torque wrench")))
    checked = record_field(wrench, "checked", "torque wrench")
    when = None if checked is None else iso_date(checked, "last check")
    name = str(record_field(wrench, "name", "torque wrench") or "wrench")
    return _Tool(name, low, high, unit, step, when, record_field(wrench, "dropped", "torque wrench") is True)


def _row(tool: _Tool, target: float, factor: float, low_nm: float | None, high_nm: float | None,
         today: date | None) -> dict[str, Value]:
    wanted = snapped(convert(target * factor, "N·m", tool.unit), 12)
    setting = round_half_away(wanted, tool.step) if tool.step else wanted
    applied = convert(setting, tool.unit, "N·m") / factor
    verdict = _verdict(tool, wanted, setting)
    misses = (low_nm is not None and applied < low_nm - EDGE) or (high_nm is not None and applied > high_nm + EDGE)
    if verdict in _USABLE and misses:
        verdict = "misses_tolerance"
    full_scale_nm = convert(tool.high, tool.unit, "N·m")
    return {"name": tool.name, "verdict": verdict, "usable": verdict in _USABLE, "set": setting, "unit": tool.unit,
            "applied_nm": applied, "off_percent": (applied - target) / target * 100,
            "share_percent": setting / tool.high * 100, "error_percent": 4 if full_scale_nm > 10 else 6,
            "check": _check(tool, today)}


def _verdict(tool: _Tool, wanted: float, setting: float) -> str:
    """Where the setting lies: outside the marks, too coarse a step, below a fifth, in the best part, else usable."""
    if wanted < tool.low or setting < tool.low:
        return "below_range"
    if wanted > tool.high or setting > tool.high:
        return "above_range"
    if tool.step > 0.1 * wanted:
        return "step_too_coarse"
    share = setting / tool.high
    return "low_fifth" if share < 0.2 else "good" if 0.3 <= share <= 0.8 else "usable"


def _check(tool: _Tool, today: date | None) -> str:
    if tool.dropped:
        return "dropped"
    if tool.checked is None:
        return "unknown"
    return "overdue" if today is not None and today > add_months(tool.checked, 12) else "in_date"


def _rank(row: dict[str, Value]) -> tuple[int, int, float]:
    """Fit first, then the state of the check, then how far the step leaves the setting from the target."""
    off = row["off_percent"]
    return (_RANKS.index(str(row["verdict"])), _CHECKS.index(str(row["check"])),
            round_half_away(abs(off), 1e-9) if isinstance(off, float) else 0.0)


def _notes(best: dict[str, Value] | None) -> tuple[Note, ...]:
    if best is None:
        return (Note("no_wrench_fits"),)
    notes = [Note("wrench_low_fifth")] if best["verdict"] == "low_fifth" else []
    if best["check"] != "in_date":
        notes.append(Note(f"wrench_check_{best['check']}"))
    return tuple(notes)
