"""Rounding once, half away from zero, to what an instrument can show.

Knows steps by unit; calculations themselves never round and nothing here knows a formula.
"""

import math

# unit → (below this value, step) pairs, the last one open. A step is about 1 % of the value or what the finest usual
# instrument shows, whichever is coarser: rounding then costs at most 0.5 %, an eighth of a wrench's own 4 %.
DISPLAY_STEPS: dict[str, tuple[tuple[float, float], ...]] = {
    "N·m": ((50, 0.1), (100, 0.5), (math.inf, 1)),
    "N·cm": ((math.inf, 1),),
    "lbf·ft": ((50, 0.1), (100, 0.5), (math.inf, 1)),
    "lbf·in": ((20, 0.5), (math.inf, 1)),
    "kgf·m": ((10, 0.01), (math.inf, 0.1)),
    "kgf·cm": ((100, 0.5), (math.inf, 1)),
    "ozf·in": ((math.inf, 1),),
    "mm": ((10, 0.01), (1000, 0.1), (math.inf, 1)),
    "cm": ((100, 0.1), (math.inf, 1)),
    "m": ((10, 0.01), (math.inf, 1)),
    "µm": ((math.inf, 1),),
    "in": ((1, 0.001), (10, 0.01), (math.inf, 0.1)),
    "ft": ((10, 0.01), (math.inf, 0.1)),
    "thou": ((10, 0.1), (math.inf, 1)),
    "ml": ((10, 0.1), (math.inf, 1)),
    "l": ((10, 0.01), (math.inf, 0.1)),
    "US fl oz": ((math.inf, 0.1),),
    "imp fl oz": ((math.inf, 0.1),),
    "US pt": ((math.inf, 0.01),),
    "US qt": ((math.inf, 0.01),),
    "US gal": ((math.inf, 0.01),),
    "imp pt": ((math.inf, 0.01),),
    "imp qt": ((math.inf, 0.01),),
    "imp gal": ((math.inf, 0.01),),
    "kPa": ((100, 0.5), (math.inf, 1)),
    "bar": ((10, 0.01), (math.inf, 0.1)),
    "psi": ((20, 0.1), (100, 0.5), (math.inf, 1)),
    "kgf/cm²": ((10, 0.01), (math.inf, 0.1)),
    "°C": ((math.inf, 1),),
    "°F": ((math.inf, 1),),
    "kg": ((10, 0.01), (100, 0.1), (math.inf, 1)),
    "g": ((10, 0.1), (math.inf, 1)),
    "lb": ((10, 0.01), (100, 0.1), (math.inf, 1)),
    "oz": ((math.inf, 0.1),),
    "deg": ((math.inf, 1),),
    "min": ((10, 0.1), (math.inf, 1)),
    "h": ((math.inf, 0.1),),
    "V": ((math.inf, 0.01),),
    ":1": ((math.inf, 0.1),),
    "%": ((10, 0.1), (math.inf, 1)),
    "km/h": ((math.inf, 1),),
    "mph": ((math.inf, 1),),
}


def snapped(value: float, digits: int = 15) -> float:
    """`value` at `digits` significant digits, so that 28.999999999999996 from 0.29 × 100 reads 29."""
    return float(f"{value:.{digits - 1}e}")


def round_half_away(value: float, step: float) -> float:
    """`value` rounded to a whole number of `step` (above 0), halves away from zero.

    The quotient is first snapped to 12 digits: 2.675 in steps of 0.01 is 2.68, as a person computes it, although
    binary holds a little less. Source: our own rule, see vectors `rounding`. Stops being true past 12 digits.
    """
    steps = math.floor(snapped(abs(value) / step, 12) + 0.5)
    rounded = snapped(steps * step)
    return -rounded if value < 0 and rounded > 0 else rounded


def decimals_of(step: float) -> int:
    """How many decimals a multiple of `step` needs, 0 to 9: 0.5 → 1, 0.01 → 2, 5 → 0."""
    return next((n for n in range(9) if abs(step * 10**n - max(round(step * 10**n), 1)) < 1e-6), 9)


def stepped_text(value: float, step: float) -> str:
    """`value` rounded to `step`, with the decimals of that step: 20.337 in 0.1 → `20.3`, 20 → `20.0`."""
    return f"{round_half_away(value, step):.{decimals_of(step)}f}"


def number_text(value: float) -> str:
    """`value` with at most 6 significant digits and no needless zeros, never in powers of ten."""
    if not math.isfinite(value):
        return "not a number"
    if value == 0:
        return "0"
    exponent = int(f"{abs(value):.5e}".partition("e")[2])
    decimals = min(max(5 - exponent, 0), 9)
    text = stepped_text(value, float(f"1e-{decimals}"))
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text


def display_step(value: float, unit: str) -> float:
    """The step in which a usual instrument shows `value` in `unit`; 0.01 for a unit without an entry."""
    pairs = DISPLAY_STEPS.get(unit, ((math.inf, 0.01),))
    return next(step for below, step in pairs if abs(value) < below or below == math.inf)


def shown(value: float, unit: str) -> str:
    """`value` as an instrument shows it, without its unit word: 20.337 N·m → `20.3`."""
    return stepped_text(value, display_step(value, unit))


def with_unit(value: float, unit: str) -> str:
    """Number and unit for a sentence, not rounded to an instrument: `0.5 mm`, `32:1`, `12`."""
    joint = "" if unit in {"", ":1"} else " "
    return f"{number_text(value)}{joint}{unit}"
