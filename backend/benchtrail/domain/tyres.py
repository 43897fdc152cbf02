"""Tyre pressure where it will be warmer, colder or higher: absolute pressure and kelvin inside, gauge outside.

Knows the gas law and the standard atmosphere; knows nothing of which pressure is right for a tyre.
"""

from benchtrail.domain.answer import Answer, Note, Source
from benchtrail.domain.bounds import bounded
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit

SEA_LEVEL_KPA = 101.325
_SOURCES = (
    Source("memory", "ideal gas at constant volume"),
    Source("library", "US Standard Atmosphere 1976, as fluids 1.3.1 computes it; formula in a restatement"),
)
_UNTIL = (Note("tyre_warm_from_riding"), Note("weather_pressure_differs"), Note("tyre_keeps_volume"))


def air_pressure_kpa(altitude_m: float) -> float:
    """Pressure of the standard atmosphere at a height above the sea, −500 to 6000 m.

    Formula: p = 101.325·(1 − 0.0065·H/288.15)^5.255876, H = r·z/(r + z) with r = 6 356 766 m.
    """
    height = 6_356_766 * altitude_m / (6_356_766 + altitude_m)
    return float(SEA_LEVEL_KPA * (1 - 0.0065 * height / 288.15) ** 5.255876)


def _scale(from_c: float, to_c: float, from_m: float, to_m: float) -> tuple[float, float, float]:
    """Ratio of absolute temperatures there and here, air pressure here and there."""
    here_c, there_c = (bounded(value, "temperature", "°C", -40, 90) for value in (from_c, to_c))
    here_m, there_m = (bounded(value, "altitude", "m", -500, 6000) for value in (from_m, to_m))
    return (there_c + 273.15) / (here_c + 273.15), air_pressure_kpa(here_m), air_pressure_kpa(there_m)


def tyre_reads(*, pressure_kpa: float, from_c: float, to_c: float, from_altitude_m: float = 0.0,
               to_altitude_m: float = 0.0) -> Answer:
    """What a gauge will read there on a tyre set here, nothing let out.

    Formula: p2 = (p1 + a1)·T2/T1 − a2, kelvin, a from the standard atmosphere. `pressure_kpa` gauge 0 to 1000;
    temperatures −40 to 90 °C; altitudes −500 to 6000 m. Returns `reads_kpa`, `change_kpa`. Raises `tyre_goes_flat`
    when it would read below 0, as `bounded`.
    Source: ideal gas from memory; US Standard Atmosphere 1976 by library. Stops being true for a tyre warm from
    riding.
    """
    gauge = bounded(pressure_kpa, "tyre pressure", "kPa", 0, 1000)
    ratio, air_here, air_there = _scale(from_c, to_c, from_altitude_m, to_altitude_m)
    reads = (gauge + air_here) * ratio - air_there
    if reads < 0:
        raise Refused("tyre_goes_flat", pressure=with_unit(gauge, "kPa"))
    values = {"reads_kpa": reads, "change_kpa": reads - gauge}
    working = Note("tyre_reads", {**values, "pressure_kpa": gauge, "air_here_kpa": air_here, "air_there_kpa": air_there,
                                  "from_c": from_c, "to_c": to_c})
    return Answer(values, working, _SOURCES, _UNTIL)


def tyre_set_here(*, wanted_kpa: float, from_c: float, to_c: float, from_altitude_m: float = 0.0,
                  to_altitude_m: float = 0.0) -> Answer:
    """What to set here so that the gauge reads the wanted pressure there: the inverse of `tyre_reads`.

    Formula: p1 = (p2 + a2)·T1/T2 − a1. Arguments, source and limits as there. Returns `set_kpa`, `change_kpa`.
    """
    wanted = bounded(wanted_kpa, "wanted tyre pressure", "kPa", 0, 1000)
    ratio, air_here, air_there = _scale(from_c, to_c, from_altitude_m, to_altitude_m)
    setting = (wanted + air_there) / ratio - air_here
    if setting < 0:
        raise Refused("tyre_goes_flat", pressure=with_unit(wanted, "kPa"))
    values = {"set_kpa": setting, "change_kpa": wanted - setting}
    working = Note("tyre_set_here", {**values, "wanted_kpa": wanted, "air_here_kpa": air_here,
                                     "air_there_kpa": air_there, "from_c": from_c, "to_c": to_c})
    return Answer(values, working, _SOURCES, _UNTIL)
