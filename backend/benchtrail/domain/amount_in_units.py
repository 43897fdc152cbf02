"""One amount in every unit of its kind; two units printed side by side are held against each other.

Knows which units people use for which kind; factors and spellings are in `units`.
"""

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Value
from benchtrail.domain.bounds import as_written
from benchtrail.domain.refused import Refused
from benchtrail.domain.spellings import KINDS
from benchtrail.domain.units import convert, parse_pair

_UNITS_OF = {
    "torque": ("N·m", "kgf·m", "kgf·cm", "N·cm", "lbf·ft", "lbf·in"),
    "length": ("mm", "cm", "m", "in", "thou", "ft"),
    "volume": ("ml", "l", "US fl oz", "US pt", "US qt", "US gal", "imp fl oz", "imp pt", "imp gal"),
    "pressure": ("kPa", "bar", "kgf/cm²", "MPa", "psi"),
    "temperature": ("°C", "°F"),
    "mass": ("kg", "g", "lb", "oz", "stone"),
    "speed": ("km/h", "mph"),
    "time": ("min", "h"),
}
# beyond rounding, two printed units that agree differ by less
_AGREE_PERCENT = 0.05


def amount_in_units(*, text: str) -> Answer:
    """An amount in the other units of its kind, from the text as it is printed.

    Rule: exact factors; a second printed unit is compared with the first, less what the rounding of its digits
    explains. `text` one value with its unit, or the same value in two units: `18 ft-lb`, `10 N·m / 88 lbf·in`. Returns
    `kind`, `written` and `unit` as read, `value` in `canonical`, `rows` of `unit` and `value`, not rounded;
    `beyond_percent` the difference of a printed pair beyond rounding, none without one; `agrees`. Raises
    `calc_single_number`, and what `parse_pair` raises.
    Source: exact definitions. Stops being true when the source means another unit than it was read as.
    """
    if not isinstance(text, str):
        raise Refused("quantity_unreadable", written=as_written(text))
    pair = parse_pair(text)
    main = pair.main
    if main.written_value is None:
        raise Refused("calc_single_number", what="amount", written=text)
    units = [unit for unit in _UNITS_OF.get(main.kind, (KINDS[main.kind],)) if unit != main.written_unit]
    rows: list[Value] = [{"unit": unit, "value": convert(main.written_value, main.written_unit, unit)} for unit in units]
    beyond = pair.beyond_rounding_percent
    canonical = KINDS[main.kind]
    values: dict[str, Value] = {
        "kind": main.kind, "written": main.written_text, "unit": main.written_unit,
        "value": convert(main.written_value, main.written_unit, canonical), "canonical": canonical, "rows": rows,
        "beyond_percent": beyond, "agrees": None if beyond is None else beyond < _AGREE_PERCENT,
    }
    notes = (Note("printed_units_differ"),) if values["agrees"] is False else ()
    return Answer(values, Note("amount_in_units", values), (ARITHMETIC,), (Note("other_unit_meant"),), notes)
