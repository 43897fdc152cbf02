"""`benchtrail calc`: every bench calculation, with its working, its source and when it stops being true."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

import click

from benchtrail.cli.calc_input import arguments_of, fields_of
from benchtrail.domain.answer import Answer, Note, answer_data, in_words
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.figure_display import other_unit
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import DISPLAY_STEPS, number_text, shown
from benchtrail.domain.units import convert
from benchtrail.resources import resource_dir

# ending of a value's name → unit to show
_UNITS = {"nm": "N·m", "mm": "mm", "mm2": "mm²", "ml": "ml", "kpa": "kPa", "mpa": "MPa", "c": "°C", "kg": "kg",
          "deg": "°", "min": "min", "h": "h", "v": "V", "percent": "%", "n": "N", "l": "l"}
_BOTH = {"N·m", "kPa", "ml", "°C", "kg"}


@cache
def _texts() -> dict[str, dict[str, str]]:
    texts: dict[str, dict[str, str]] = json.loads(
        (resource_dir("shared") / "texts" / "calc.en.json").read_text(encoding="utf-8"))
    return texts


@click.command()
@click.argument("name", required=False)
@click.argument("values", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def calc(name: str | None, values: tuple[str, ...], as_json: bool) -> None:
    """Work something out: `benchtrail calc NAME field=value …`; without NAME, list all.

    Numbers take units: `target=18 lbf·ft`; without one they are in the unit of the field's name: `target_nm=25`.
    """
    if name is None:
        click.echo(_list(as_json))
        return
    calculation = CALCULATIONS.get(name.replace("-", "_"))
    if calculation is None:
        raise Refused("calc_unknown", written=name)
    if not values and any(needed for _, needed in fields_of(calculation).values()):
        click.echo(_fields(name.replace("-", "_")))
        return
    answer = calculation(**arguments_of(calculation, values))
    data = answer_data(answer)
    click.echo(json.dumps(data, ensure_ascii=False, indent=2) if as_json else _in_words(answer))


def _list(as_json: bool) -> str:
    names = _texts()["names"]
    if as_json:
        return json.dumps({name: {"words": names[name], "fields": list(fields_of(calculation))}
                           for name, calculation in CALCULATIONS.items()}, ensure_ascii=False, indent=2)
    return "\n".join(f"{name:22} {names[name]}" for name in CALCULATIONS)


def _fields(name: str) -> str:
    rows = [f"  {field:22} {unit:6} {'needed' if needed else ''}".rstrip()
            for field, (unit, needed) in fields_of(CALCULATIONS[name]).items()]
    return "\n".join([f"{name}: {_texts()['names'][name]}", "Fields:", *rows])


def _in_words(answer: Answer) -> str:
    texts = _texts()
    lines = [line for key, value in answer.values.items() for line in _value_lines(key, value)]
    lines.append(f"Working: {_sentence(texts['working'], answer.working)}")
    lines += [f"Heed: {_sentence(texts['notes'], note)}" for note in answer.notes]
    lines += [f"Source: {source.name} ({texts['marks'][source.mark]})" if source.name else
              f"Source: {texts['marks'][source.mark]}" for source in answer.sources]
    return "\n".join([*lines, *(f"Until: {_sentence(texts['notes'], note)}" for note in answer.until)])


def _sentence(table: Mapping[str, str], note: Note) -> str:
    return in_words(table[note.code], note.values)


def _value_lines(key: str, value: Any, indent: str = "") -> list[str]:
    """One value as one line; lists of records as a line each."""
    if isinstance(value, list) and any(isinstance(item, dict) for item in value):
        rows = [", ".join(f"{_label(k)} {_spoken(k, v)}" for k, v in item.items()) for item in value]
        return [f"{indent}{_label(key)}:", *(f"{indent}  {row}" for row in rows)]
    return [f"{indent}{_label(key)}: {_spoken(key, value)}"]


def _label(key: str) -> str:
    stem, _, ending = key.rpartition("_")
    return (stem if stem and ending in _UNITS else key).replace("_", " ")


def _spoken(key: str, value: Any) -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_spoken("", item) for item in value) or "none"
    if isinstance(value, dict):
        return ", ".join(f"{_label(k)} {_spoken(k, v)}" for k, v in value.items())
    if isinstance(value, str):
        return value
    return _with_both_units(value, _UNITS.get(key.rpartition("_")[2], ""))


def _with_both_units(value: float, unit: str) -> str:
    """A number with its unit word, and the same in the other system."""
    if unit not in _BOTH:
        joint = "" if unit in {"", "°"} else " "
        return f"{shown(value, unit) if unit in DISPLAY_STEPS else number_text(value)}{joint}{unit}"
    other = other_unit(unit, abs(value))
    second = f" ({shown(convert(value, unit, other), other)} {other})" if other else ""
    return f"{shown(value, unit)} {unit}{second}"
