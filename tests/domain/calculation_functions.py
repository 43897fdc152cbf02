"""What vectors of calculations call: units, rounding, and every bench calculation.

A calculation's vector gets its `values`; `pick` in the input names the one or ones of interest, `whole` gives the
answer with working, sources, notes.
"""

from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from benchtrail.domain.answer import Answer, answer_data, in_words
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.calendar_file import calendar_file
from benchtrail.domain.figure_display import figure_in_both
from benchtrail.domain.rounding import number_text, round_half_away, shown
from benchtrail.domain.units import convert, parse_pair, parse_quantity, with_tolerance


def parse_tolerance(text: str, kind: str, tolerance: str) -> dict[str, Any]:
    return asdict(with_tolerance(parse_quantity(text, kind), tolerance))


def answering(calculation: Callable[..., Answer]) -> Callable[..., Any]:
    def call(pick: str | list[str] | None = None, **arguments: Any) -> Any:
        data = answer_data(calculation(**arguments))
        values: Any = data["values"]
        if pick == "whole":
            return data
        if isinstance(pick, list):
            return {name: values[name] for name in pick}
        return values if pick is None else values[pick]
    return call


def calculation_functions() -> dict[str, Callable[..., Any]]:
    return {
        "parse_quantity": lambda text, kind=None: asdict(parse_quantity(text, kind)),
        "parse_pair": lambda text, kind=None: asdict(parse_pair(text, kind)),
        "parse_tolerance": parse_tolerance,
        "convert": convert,
        "round_half_away": round_half_away,
        "shown": shown,
        "number_text": number_text,
        "in_words": in_words,
        "calendar_file": calendar_file,
        "figure_in_both": lambda figure: dict(figure_in_both(figure)),
        **{name: answering(calculation) for name, calculation in CALCULATIONS.items()},
    }
