"""A published figure in both unit systems: what the source printed first, the other as an instrument shows it.

Knows which unit stands for which; knows no wording beyond number and unit.
"""

from collections.abc import Mapping
from typing import TypedDict

from benchtrail.domain.quantity_text import read_quantity_text
from benchtrail.domain.rounding import display_step, shown, snapped, stepped_text
from benchtrail.domain.units import Quantity, convert, parse_pair, with_tolerance


class Shown(TypedDict):
    """Number text and unit symbol, to be set side by side."""

    text: str
    unit: str


class ToleranceShown(TypedDict):
    """The tolerance of a single value in the units of `main` and `other`: `± 1`, `± 9`."""

    main: str
    other: str | None


class BothUnits(TypedDict):
    """A figure in the unit it was published in, in the other system, and its tolerance in both."""

    main: Shown
    other: Shown | None
    tolerance: ToleranceShown | None


LBF_FT_FROM_NM = 10 * 1.3558179483314004
_OTHER = {
    "lbf·ft": "N·m", "lbf·in": "N·m", "ozf·in": "N·m", "kgf·m": "N·m", "kgf·cm": "N·m",
    "mm": "in", "cm": "in", "m": "ft", "µm": "thou", "in": "mm", "ft": "m", "thou": "mm",
    "US fl oz": "ml", "imp fl oz": "ml", "US pt": "ml", "imp pt": "ml", "US qt": "l", "imp qt": "l", "US gal": "l",
    "imp gal": "l", "kPa": "psi", "Pa": "psi", "hPa": "psi", "MPa": "psi", "bar": "psi", "kgf/cm²": "psi", "psi": "kPa",
    "atm": "kPa", "inHg": "kPa", "mmHg": "kPa", "°C": "°F", "°F": "°C", "K": "°C", "kg": "lb", "g": "oz", "lb": "kg",
    "oz": "g", "stone": "kg", "km/h": "mph", "mph": "km/h", "m/s": "km/h",
}


def other_unit(unit: str, canonical: float) -> str | None:
    """The unit of the other system for an amount of `canonical`: torque below 10 lbf·ft goes to lbf·in."""
    if unit in {"N·m", "N·cm"}:
        return "lbf·ft" if snapped(canonical, 12) >= snapped(LBF_FT_FROM_NM, 12) else "lbf·in"
    if unit in {"ml", "l"}:
        return "US qt" if canonical >= 946.352946 else "US fl oz"
    return _OTHER.get(unit)


def figure_in_both(figure: Mapping[str, object]) -> BothUnits:
    """`figure` (`kind`, `as_published`, optional `tolerance`) as published and in the other system.

    The second is converted from the published text, never from a rounded copy; where the source itself prints a second
    unit, that one is shown. Raises what `parse_pair` and `with_tolerance` raise.
    """
    pair = parse_pair(str(figure["as_published"]), str(figure["kind"]))
    main = pair.main
    unit = other_unit(main.written_unit, _largest(main))
    printed = next((q for q in pair.others if q.written_unit == unit), pair.other)
    unit = printed.written_unit if printed else unit
    text = printed.written_text if printed else None if unit is None else _in_unit(main, unit)
    other: Shown | None = None if unit is None or text is None else {"text": text, "unit": unit}
    given = figure.get("tolerance")
    bounds = _tolerance_shown(with_tolerance(main, str(given)), unit) if given else None
    return {"main": {"text": main.written_text, "unit": _unit_word(main)}, "other": other, "tolerance": bounds}


def _unit_word(quantity: Quantity) -> str:
    """The unit, or what is counted as the source words it: `1400` and `rpm`, `12` and `clicks`."""
    return quantity.written_unit or read_quantity_text(quantity.as_written).unit_text


def _largest(quantity: Quantity) -> float:
    return max(abs(n) for n in (quantity.value, quantity.low, quantity.high) if n is not None)


def _in_unit(quantity: Quantity, unit: str) -> str:
    """The numbers of `quantity` in `unit`, in the same form: one value, a range, a bound, a tolerance."""
    def text(number: float | None) -> str:
        return "" if number is None else shown(convert(number, quantity.written_unit, unit), unit)
    if quantity.written_value is None:
        if quantity.written_low is None:
            return f"at most {text(quantity.written_high)}"
        return f"at least {text(quantity.written_low)}" if quantity.written_high is None else \
            f"{text(quantity.written_low)} to {text(quantity.written_high)}"
    rooms = _rooms_shown(quantity, unit)
    return f"{text(quantity.written_value)} {rooms}" if rooms else text(quantity.written_value)


def _rooms_shown(quantity: Quantity, unit: str) -> str:
    """The tolerance of a value in `unit`: `± 9`, or `+18/-9`; empty without one."""
    value, low, high = quantity.written_value, quantity.written_low, quantity.written_high
    if value is None or low is None or high is None:
        return ""
    if quantity.written_text.endswith("%"):
        return "±" + quantity.written_text.partition("±")[2]
    per_unit = convert(1, quantity.written_unit, unit) - convert(0, quantity.written_unit, unit)
    down, up = (snapped(room * per_unit, 12) for room in (value - low, high - value))
    step = display_step(convert(value, quantity.written_unit, unit), unit)
    if abs(up - down) < 1e-9 * max(up, 1):
        return f"± {stepped_text(up, step)}"
    return f"+{stepped_text(up, step)}/-{stepped_text(down, step)}"


def _tolerance_shown(bounded: Quantity, other: str | None) -> ToleranceShown:
    text = bounded.written_text
    opened = min(text.find(mark) for mark in ("±", "+") if mark in text)
    return {"main": text[opened:], "other": _rooms_shown(bounded, other) if other else None}
