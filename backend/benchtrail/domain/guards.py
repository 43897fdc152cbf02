"""Guards: whether something applies to a machine of a given year with given options.

Knows the compiled form (shared/README.md §2); nothing of models, nor which years and options there are.
"""

import operator
from collections.abc import Callable
from typing import Any, TypedDict

from benchtrail.domain.refused import Refused

Guard = list[Any] | None

COMPARISONS: dict[str, Callable[[int, int], bool]] = {
    "<": operator.lt, "<=": operator.le, "=": operator.eq, ">=": operator.ge, ">": operator.gt,
}


class Variant(TypedDict):
    """One valid choice of a model: its year, and the ids of the fitted options, sorted."""

    year: int
    options: list[str]


def guard_holds(guard: Guard, variant: Variant | None) -> bool:
    """True if what carries `guard` applies to `variant`; with no variant (the machine is unknown) nothing is left out.

    Raises Refused("guard_unknown") for a form that this version does not know: guessing could hide a step.
    """
    if guard is None or variant is None:
        return True
    match guard:
        case ["all", *inner]:
            return all(guard_holds(each, variant) for each in inner)
        case ["any", *inner]:
            return any(guard_holds(each, variant) for each in inner)
        case ["not", inner]:
            return not guard_holds(inner, variant)
        case ["year", str(sign), int(year)] if sign in COMPARISONS:
            return COMPARISONS[sign](variant["year"], year)
        case ["option", str(option)]:
            return option in variant["options"]
    raise Refused("guard_unknown", guard=str(guard[0] if guard else guard)[:40])
