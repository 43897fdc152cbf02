"""An answer of a calculation as lines of text: values with both units, working, what to heed, source, until when.

Knows how values are named (`set_nm`, `left_ml`); knows no calculation.
"""

import re
from collections.abc import Mapping
from typing import Any

from benchtrail.domain.answer import Answer, Note, in_words
from benchtrail.domain.figure_display import other_unit
from benchtrail.domain.rounding import DISPLAY_STEPS, number_text, shown
from benchtrail.domain.units import convert
from benchtrail.messages import calc_texts

# ending of a value's name → unit to show, the longest first
_UNITS = {"n_mm": "N/mm", "nm": "N·m", "mm": "mm", "mm2": "mm²", "ml": "ml", "kpa": "kPa", "mpa": "MPa", "c": "°C", "kg": "kg",
          "deg": "°", "min": "min", "h": "h", "v": "V", "percent": "%", "n": "N", "l": "l"}
_BOTH = {"N·m", "kPa", "ml", "°C", "kg", "mm"}
_LABELS = {
    "line_1_5_mm": "length at 1.5 %", "line_3_mm": "length at 3 %", "at_limit_mm": "length at the limit", "stop_at_ml": "stop at the mark",
    "q10_min": "quicker one time in ten", "q50_min": "in the middle", "q90_min": "longer one time in ten", "k": "nut factor",
    "k_low": "nut factor from", "k_high": "nut factor to", "mean_ln": "middle of the logarithms", "sd_min": "spread",
    "left_ml": "left over", "static_percent": "static share of the travel", "rider_percent": "share of the travel with the rider",
    "off_percent": "off by", "error_percent": "error of the wrench", "share_percent": "share", "older": "of it from older meters",
    "limit_percent": "limit", "overdue_percent": "overdue by",
}
# values that are codes of ours, said in plain words
_CODES = re.compile(r"(?:verdict|state|by|kind|shape|meter|from|check)$")


def answer_in_words(answer: Answer) -> str:
    """The whole answer, the values first."""
    texts = calc_texts()
    lines = [line for key, value in answer.values.items() for line in _lines(key, value, "")]
    lines.append(f"Working: {_sentence(texts['working'], answer.working)}")
    lines += [f"Heed: {_sentence(texts['notes'], note)}" for note in answer.notes]
    lines += [f"Source: {source.name} ({texts['marks'][source.mark]})" if source.name else
              f"Source: {texts['marks'][source.mark]}" for source in answer.sources]
    return "\n".join([*lines, *(f"Until: {_sentence(texts['notes'], note)}" for note in answer.until)])


def _sentence(table: Mapping[str, str], note: Note) -> str:
    return in_words(table[note.code], note.values)


def _is_records(value: object) -> bool:
    return isinstance(value, list) and any(isinstance(item, dict) for item in value)


def _lines(key: str, value: Any, indent: str) -> list[str]:
    """One value as one line; a list of records as a line each, with their own lists below them."""
    if not _is_records(value):
        return [f"{indent}{_label(key)}: {_spoken(key, value)}"]
    lines = [f"{indent}{_label(key)}:"]
    for item in value:
        said = {name: one for name, one in item.items() if one is not None and not _is_records(one)}
        plain = ", ".join(f"{_label(name)} {_spoken(name, one)}" for name, one in said.items())
        lines.append(f"{indent}  {plain}")
        lines += [line for name, one in item.items() if _is_records(one) for line in _lines(name, one, f"{indent}    ")]
    return lines


def _ending(key: str) -> str | None:
    """The ending that names the unit, if something stands before it."""
    return next((ending for ending in _UNITS if key.endswith(f"_{ending}")), None)


def _label(key: str) -> str:
    ending = _ending(key)
    return _LABELS.get(key, (key[: -len(ending) - 1] if ending else key).replace("_", " "))


def _spoken(key: str, value: Any) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_spoken("", item) for item in value) or "none"
    if isinstance(value, dict):
        return ", ".join(f"{_label(name)} {_spoken(name, one)}" for name, one in value.items())
    if isinstance(value, str):
        return value.replace("_", " ") if _CODES.search(key) else value
    return _with_both_units(value, _UNITS.get(_ending(key) or "", ""))


def _with_both_units(value: float, unit: str) -> str:
    """A number with its unit word, and the same in the other system."""
    first = f"{shown(value, unit) if unit in DISPLAY_STEPS else number_text(value)}{'' if unit in {'', '°'} else ' '}{unit}"
    other = other_unit(unit, abs(value)) if unit in _BOTH and value != 0 else None
    return f"{first} ({shown(convert(value, unit, other), other)} {other})" if other else first
