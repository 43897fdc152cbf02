"""Checks of what goes into a calculation: a number that is one, inside its limits, with the limit named when it is not.

Knows no formula; every boundary of the calculations goes through here, so that no NaN is ever computed with.
"""

import math
from collections.abc import Mapping, Sequence
from typing import TypeVar

from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import number_text, with_unit

T = TypeVar("T")

# a reading this close to a limit is on it: 2.62 − 2.57 is 0.05 to a person, a little more to a computer
EDGE = 1e-9


def bounded(value: object, what: str, unit: str, low: float, high: float) -> float:
    """`value` as a number from `low` to `high`, both included. `what` and `unit` name it in the message.

    Raises `number_needed`, `amount_too_low`, `amount_too_high`.
    """
    number = _number(value, what)
    if number < low:
        raise Refused("amount_too_low", what=what, value=with_unit(number, unit), limit=with_unit(low, unit))
    if number > high:
        raise Refused("amount_too_high", what=what, value=with_unit(number, unit), limit=with_unit(high, unit))
    return number


def positive(value: object, what: str, unit: str, high: float) -> float:
    """`value` as a number above 0 and at most `high`. Raises as `bounded`, and `amount_not_positive`."""
    number = bounded(value, what, unit, -math.inf, high)
    if number < EDGE:
        raise Refused("amount_not_positive", what=what, value=with_unit(number, unit))
    return number


def whole(value: object, what: str, low: int, high: int) -> int:
    """`value` as a whole number from `low` to `high`. Raises as `bounded`, and `whole_number_needed`."""
    number = bounded(value, what, "", low, high)
    if number != math.floor(number):
        raise Refused("whole_number_needed", what=what, value=with_unit(number, ""))
    return int(number)


def chosen(table: Mapping[str, T], key: object, what: str) -> T:
    """The entry of `table` named `key`. Raises `choice_unknown` with the choices there are."""
    if not isinstance(key, str) or key not in table:
        raise Refused("choice_unknown", what=what, written=as_written(key), choices=", ".join(table))
    return table[key]


def as_written(value: object) -> str:
    """What was given, for a message: text as it is, a number in digits, anything else in a word."""
    if isinstance(value, str):
        return value
    if value is None or isinstance(value, bool):
        return {None: "nothing", True: "yes", False: "no"}[value]
    return number_text(value) if isinstance(value, int | float) else "a list"


def several(values: object, what: str, least: int, most: int) -> Sequence[object]:
    """`values` as a list of `least` to `most` entries. Raises `list_needed`, `list_length`."""
    if not isinstance(values, list | tuple):
        raise Refused("list_needed", what=what)
    if not least <= len(values) <= most:
        raise Refused("list_length", what=what, count=str(len(values)), least=str(least), most=str(most))
    return values


def record_field(record: object, name: str, what: str) -> object:
    """The field `name` of a record, None where it is missing. Raises `record_needed`."""
    if not isinstance(record, Mapping):
        raise Refused("record_needed", what=what)
    value: object = record.get(name)
    return value


def _number(value: object, what: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused("number_needed", what=what)
    return float(value)
