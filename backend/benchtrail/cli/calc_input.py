"""Reads `key=value` of a calculation by its own signature: units from the field's name, numbers as people write them.

Knows how fields are named (`lever_mm`, `target_nm`); knows no calculation.
"""

import inspect
import json
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, get_type_hints

from benchtrail.cli.calc_pack import pack_for_kit
from benchtrail.domain.quantity_text import plain_text, read_quantity_text
from benchtrail.domain.refused import Refused
from benchtrail.domain.units import convert, parse_quantity

# ending of a field's name → kind and the unit in which the calculation takes it
_ENDINGS = {
    "nm": ("torque", "N·m"), "mm": ("length", "mm"), "ml": ("volume", "ml"), "kpa": ("pressure", "kPa"),
    "mpa": ("pressure", "MPa"), "c": ("temperature", "°C"), "kg": ("mass", "kg"), "deg": ("angle", "deg"),
    "min": ("time", "min"), "h": ("time", "h"), "v": ("voltage", "V"), "percent": ("percent", "%"),
    "m": ("length", "m"),
}
# heights above the sea and strengths of metal go past what a length or a pressure at a machine may be
_BEYOND = {"m", "MPa"}
# entries of a list, as on the phone: a comma alone belongs to its number
_PARTED = re.compile(r"\s*[;\n]\s*|,\s+")
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def fields_of(calculation: Callable[..., Any]) -> dict[str, tuple[str, bool]]:
    """Field → its unit in words, and whether it must be given."""
    parameters = inspect.signature(calculation).parameters.items()
    return {name: (_unit_of(name)[1], parameter.default is inspect.Parameter.empty) for name, parameter in parameters}


def arguments_of(calculation: Callable[..., Any], pairs: Iterable[str]) -> dict[str, Any]:
    """The arguments that `key=value` texts give.

    Raises `calc_field_unreadable`, `calc_field_unknown`, `calc_field_missing`, `calc_yes_or_no`, `calc_single_number`,
    `calc_json_unreadable`, and what `parse_quantity` raises.
    """
    hints, fields = get_type_hints(calculation), fields_of(calculation)
    short = {_without_unit(name): name for name in fields}
    found: dict[str, Any] = {}
    for pair in pairs:
        key, mark, text = pair.partition("=")
        key = key.strip().replace("-", "_")
        if not mark:
            raise Refused("calc_field_unreadable", written=pair)
        name = key if key in fields else short.get(key)
        if name is None:
            raise Refused("calc_field_unknown", written=key, fields=", ".join(fields))
        found[name] = _value(text.strip(), name, str(hints[name]))
    missing = [name for name, (_, needed) in fields.items() if needed and name not in found]
    if missing:
        raise Refused("calc_field_missing", fields=", ".join(missing))
    return found


def _unit_of(name: str) -> tuple[str | None, str]:
    if name.endswith("_n_mm"):
        return None, "N/mm"
    return _ENDINGS.get(name.rpartition("_")[2], (None, "")) if "_" in name else (None, "")


def _without_unit(name: str) -> str:
    return name.rpartition("_")[0] if _unit_of(name)[0] else name


def _value(text: str, name: str, hint: str) -> Any:
    """`text` as the type that the signature asks for."""
    if "Mapping" in hint or "dict" in hint or "TypedDict" in hint or "Wrench" in hint:
        value = _json(text, name)
        return pack_for_kit(value) if name == "pack" else value
    if "bool" in hint:
        if text.lower() not in _YES_NO:
            raise Refused("calc_yes_or_no", what=name, written=text)
        return _YES_NO[text.lower()]
    if "Sequence[collections.abc.Sequence" in hint:
        return [[_number(part, name) for part in place.split(",")] for place in re.split(r"[ ;]+", text)]
    if "Sequence" in hint:
        return [_number(_one_of(part), name) for part in _PARTED.split(text) if part.strip()]
    return text if hint == "<class 'str'>" or "str" in hint else _number(text, name)


def _json(text: str, name: str) -> Any:
    """A list or record as JSON, or from a file as `@file.json`."""
    try:
        written = Path(text[1:]).read_text(encoding="utf-8") if text.startswith("@") else text
        return json.loads(written, parse_constant=_no_number)
    except (OSError, ValueError, RecursionError) as error:
        raise Refused("calc_json_unreadable", what=name, reason=str(error)) from error


def _one_of(part: str) -> str:
    """An entry of a list; `1000,500` may be one number or two. Raises `number_ambiguous`."""
    two = re.fullmatch(r"([0-9]{4,}),([0-9]{3,})", part)
    if two:
        raise Refused("number_ambiguous", written=part, candidates=f"{two[1]}.{two[2]} or {two[1]}; {two[2]}")
    return part


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is not a number")


def _number(text: str, name: str) -> float | None:
    """One number in the field's unit; a bare number is in that unit, `none` is nothing."""
    if text.lower() == "none":
        return None
    kind, unit = _unit_of(name)
    reading = read_quantity_text(text)
    if kind is None:
        if reading.value is None or reading.unit_text not in {"", ":1", "%"}:
            raise Refused("calc_single_number", what=name, written=plain_text(text))
        return _whole_if(reading.value)
    if unit in _BEYOND and reading.value is not None:
        return _whole_if(_beyond(reading.value, reading.unit_text, kind, unit))
    quantity = parse_quantity(text if reading.unit_text else f"{text} {unit}", kind)
    if quantity.value is None:
        raise Refused("calc_single_number", what=name, written=plain_text(text))
    if not reading.unit_text:
        return _whole_if(reading.value if reading.value is not None else quantity.value)
    return _whole_if(convert(quantity.value, quantity.unit, unit))


def _beyond(value: float, unit_text: str, kind: str, unit: str) -> float:
    """An amount whose limits are the calculation's own: only its unit is read as one of its kind."""
    return convert(value, parse_quantity(f"1 {unit_text}", kind).written_unit if unit_text else unit, unit)


def _whole_if(number: float) -> float:
    return int(number) if number == int(number) else number
