"""Quantities with units: reads what people type, converts exactly, keeps what was written.

Knows spellings, factors and canonical units; knows no formula of the trade. Pint is the authority for factors and is
used nowhere else: text never reaches it, because it reads `Nm` as a textile unit and `ft lb` as a length times a mass.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

import pint

from benchtrail.domain.quantity_text import plain_text, read_quantity_text
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import snapped, with_unit
from benchtrail.domain.spellings import CANDIDATES, KINDS, SYMBOL_OF, UNITS, spelling_key

# our symbol → Pint's expression; checked against published factors in tests/reference
_PINT_NAMES = {
    "N·m": "newton*meter", "N·cm": "newton*centimeter", "lbf·ft": "force_pound*foot", "lbf·in": "force_pound*inch",
    "kgf·m": "kilogram_force*meter", "kgf·cm": "kilogram_force*centimeter", "ozf·in": "force_ounce*inch",
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "µm": "micrometer", "in": "inch", "ft": "foot",
    "thou": "thou",
    "ml": "milliliter", "l": "liter", "US fl oz": "fluid_ounce", "imp fl oz": "imperial_fluid_ounce", "US pt": "pint",
    "US qt": "quart", "US gal": "gallon", "imp pt": "imperial_pint", "imp qt": "imperial_quart",
    "imp gal": "imperial_gallon",
    "kPa": "kilopascal", "Pa": "pascal", "hPa": "hectopascal", "MPa": "megapascal", "bar": "bar", "psi": "psi",
    "kgf/cm²": "kilogram_force/centimeter**2", "atm": "standard_atmosphere", "inHg": "inch_Hg", "mmHg": "millimeter_Hg",
    "°C": "kelvin", "°F": "delta_degree_Fahrenheit", "K": "kelvin",
    "kg": "kilogram", "g": "gram", "lb": "pound", "oz": "ounce", "stone": "stone",
    "deg": "degree", "turn": "turn", "rad": "radian", "min": "minute", "s": "second", "h": "hour", "d": "day",
    "V": "volt", "mV": "millivolt", "km/h": "kilometer/hour", "mph": "mile/hour", "m/s": "meter/second",
}
# °C = (reading − zero) · factor
_ZERO_AT = {"°C": 0.0, "°F": 32.0, "K": 273.15}

# canonical magnitudes that no job of this trade reaches: beyond them a digit or a unit slipped
_LIMITS = {
    "torque": (0, 20_000), "length": (0, 1e6), "volume": (0, 1e6), "pressure": (0, 1e5),
    "temperature": (-273.15, 2_000),
    "mass": (0, 10_000), "angle": (0, 36_000), "time": (0, 5.3e6), "voltage": (0, 1_000), "ratio": (0, 1_000),
    "percent": (0, 1_000), "speed": (0, 500), "count": (0, 1e6),
}


@dataclass(frozen=True)
class Quantity:
    """A quantity as read. `value`, `low`, `high` in the kind's canonical `unit`; `written_*` in the unit as written.

    A plain value has `value` only; a range `low` and `high`; a value with tolerance all three; a bound one of the two.
    """

    kind: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    as_written: str
    written_value: float | None
    written_low: float | None
    written_high: float | None
    written_unit: str
    written_text: str


@dataclass(frozen=True)
class Pair:
    """A quantity and the same in further printed units, `other` the first of these.

    `difference_percent`: the worst of them against the first; `beyond_rounding_percent`: what of it the rounding of the
    printed digits cannot explain, 0 when it explains all. None without a second unit.
    """

    main: Quantity
    other: Quantity | None
    others: tuple[Quantity, ...]
    difference_percent: float | None
    beyond_rounding_percent: float | None


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    """The one registry, with exact fractions; made on first use because it takes a fifth of a second."""
    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def unit_factor(symbol: str) -> float:
    """How many canonical units one `symbol` is (of temperatures: one degree's worth), the double nearest the exact."""
    kind = unit_kind(symbol)
    if kind in {"ratio", "percent", "count"}:
        return 1.0
    exact = _registry().Quantity(Fraction(1), _PINT_NAMES[symbol]).to(_PINT_NAMES[KINDS[kind]]).magnitude
    return float(exact)


def unit_kind(symbol: str) -> str:
    """The kind of a unit symbol of ours. Raises `unit_unknown`."""
    if not isinstance(symbol, str) or symbol not in UNITS:
        raise Refused("unit_unknown", written=symbol if isinstance(symbol, str) else "nothing")
    return UNITS[symbol][0]


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """`value` in `to_unit`, not rounded; symbols as in `spellings.UNITS`. Temperatures are readings, not differences.

    Raises `unit_unknown`, `units_of_two_kinds` (30 N·m is never 30 J).
    """
    kinds = unit_kind(from_unit), unit_kind(to_unit)
    if kinds[0] != kinds[1]:
        raise Refused("units_of_two_kinds", first=from_unit, second=to_unit)
    if from_unit == to_unit:
        return value
    if kinds[0] == "temperature":
        celsius = (value - _ZERO_AT[from_unit]) * unit_factor(from_unit)
        return celsius / unit_factor(to_unit) + _ZERO_AT[to_unit]
    return value * unit_factor(from_unit) / unit_factor(to_unit)


def find_unit(text: str, kind: str | None) -> str:
    """The symbol of a typed unit.

    Raises `unit_missing`, `unit_ambiguous` (both with candidates), `unit_unknown`, `unit_other_kind`.
    """
    key = spelling_key(plain_text(text))
    if not key and kind != "count":
        raise Refused("unit_missing", candidates=_examples(kind))
    candidates = CANDIDATES.get(kind or "", {}).get(key)
    if candidates is None and kind and key not in SYMBOL_OF:
        candidates = CANDIDATES[""].get(key)
    if candidates:
        raise Refused("unit_ambiguous", written=text, candidates=" or ".join(candidates))
    symbol = "" if not key else SYMBOL_OF.get(key)
    if symbol is None:
        raise Refused("unit_unknown", written=text)
    if kind and UNITS[symbol][0] != kind:
        raise Refused("unit_other_kind", written=text, found=UNITS[symbol][0], kind=kind)
    return symbol


def _examples(kind: str | None) -> str:
    symbols = [symbol for symbol, (of, _) in UNITS.items() if symbol and (kind is None or of == kind)]
    return ", ".join(symbols[:4])


def parse_quantity(text: str, kind: str | None = None) -> Quantity:
    """The quantity that `text` says; with `kind`, only of that kind.

    Takes values, ranges (`30–40 mm`), tolerances (`10 ± 1 N·m`), bounds (`at least 1.0 mm`), fractions, decimal commas.
    Canonical numbers are kept to 15 significant digits. Raises `Refused` with the codes of `read_quantity_text` and
    `find_unit`, and `quantity_out_of_range` for negative or absurd amounts, `kind_unknown`.
    """
    if kind is not None and kind not in KINDS:
        raise Refused("kind_unknown", kind=kind)
    reading = read_quantity_text(text)
    symbol = find_unit(reading.unit_text, kind)
    if reading.clock and symbol != "h":
        raise Refused("number_unreadable", written=reading.text)
    found = UNITS[symbol][0]
    low, value, high = (_canonical(number, symbol) for number in (reading.low, reading.value, reading.high))
    _within_reason(found, [n for n in (low, value, high) if n is not None])
    return Quantity(found, value, low, high, KINDS[found], text,
                    reading.value, reading.low, reading.high, symbol, reading.text)


def _canonical(number: float | None, symbol: str) -> float | None:
    return None if number is None else snapped(convert(number, symbol, KINDS[UNITS[symbol][0]]))


def _within_reason(kind: str, numbers: list[float]) -> None:
    least, most = _LIMITS[kind]
    for number in numbers:
        if not least <= number <= most:
            unit = KINDS[kind]
            raise Refused("quantity_out_of_range", value=with_unit(number, unit), kind=kind,
                          low=with_unit(least, unit), high=with_unit(most, unit))


def with_tolerance(quantity: Quantity, tolerance: str) -> Quantity:
    """`quantity`, a single value, with the bounds that `tolerance` gives: `± 1 N·m`, `± 10 %`, `+2/-1 N·m`.

    Raises `tolerance_needs_value` for a range or bound, and what `parse_quantity` raises.
    """
    if quantity.written_value is None:
        raise Refused("tolerance_needs_value", written=quantity.as_written)
    text = plain_text(tolerance)
    text = text if text[:1] in {"±", "+", "-"} else f"± {text}"
    number = _digits_of(quantity)
    joined = parse_quantity(f"{number} {_with_own_unit(text, quantity.written_unit)}", quantity.kind)
    if joined.written_unit != quantity.written_unit or joined.low is None:
        raise Refused("units_mixed", first=quantity.written_unit, second=joined.written_unit)
    return replace(quantity, low=joined.low, high=joined.high, written_low=joined.written_low,
                   written_high=joined.written_high, written_text=joined.written_text)


def _digits_of(quantity: Quantity) -> str:
    return quantity.written_text.split(" ±")[0].split(" +")[0]


def _with_own_unit(text: str, unit: str) -> str:
    """A tolerance without a unit, or in per cent, takes the unit of its value."""
    return f"{text} {unit}" if text[-1:] in "0123456789%" else text


def parse_pair(text: str, kind: str | None = None) -> Pair:
    """A quantity with its further printed units: `10 N·m / 88 lbf·in`, `18 N·m (1.8 kgf·m, 13 lbf·ft)`.

    A text with one unit gives `other` None. Raises what `parse_quantity` raises, and `pair_of_two_kinds`.
    """
    first, further = _split_pair(plain_text(text))
    main = parse_quantity(first, kind)
    others = tuple(parse_quantity(part, kind) for part in further)
    for part, other in zip(further, others, strict=True):
        if other.kind != main.kind:
            raise Refused("pair_of_two_kinds", first=first, second=part)
    differences = [gap for other in others for gap in _gaps(main, other)]
    if not differences:
        return Pair(main, others[0] if others else None, others, None, None)
    worst = max((plain for plain, _ in differences), key=abs)
    return Pair(main, others[0], others, worst, max(beyond for _, beyond in differences))


def _split_pair(text: str) -> tuple[str, list[str]]:
    """The first quantity and the texts of the further ones."""
    if text[-1:] in {")", "]"}:
        opened = max(text.rfind("("), text.rfind("["))
        inside = text[opened + 1:-1]
        if opened > 0 and not inside.strip(" ").startswith(("+", "±")):
            return text[:opened].strip(" "), [part.strip(" ") for part in re.split("[,;] ", inside)]
    parts = [part.strip(" ") for part in re.split(" / |; | = | or |, ", text)]
    return (parts[0], parts[1:]) if all(re.match("[0-9]", part) for part in parts) else (text, [])


def _gaps(main: Quantity, other: Quantity) -> list[tuple[float, float]]:
    """Differences in percent of each number the two share: plain, and beyond the rounding of the printed digits."""
    room = _half_step(main) + _half_step(other)
    numbers = [(main.value, other.value), (main.low, other.low), (main.high, other.high)]
    shared = [(a, b) for a, b in numbers if a is not None and b is not None and a != 0]
    return [((b - a) / a * 100, max(abs(b - a) - room, 0.0) / abs(a) * 100) for a, b in shared]


def _half_step(quantity: Quantity) -> float:
    """Half of the last printed digit, in the canonical unit: 88 lbf·in may be 87.5 to 88.5."""
    words = [word for word in quantity.written_text.split(" ") if re.match("[0-9]", word)]
    decimals = max((len(word.partition(".")[2]) for word in words), default=0)
    return 0.5 * 10.0**-decimals * unit_factor(quantity.written_unit)
