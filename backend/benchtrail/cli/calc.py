"""`benchtrail calc`: every bench calculation, with its working, its source and when it stops being true."""

import json
from pathlib import Path

import click

from benchtrail.cli.calc_input import arguments_of, fields_of
from benchtrail.cli.calc_words import answer_in_words
from benchtrail.clock import SystemClock
from benchtrail.domain.answer import Answer, answer_data
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.calendar_file import calendar_file
from benchtrail.domain.refused import Refused
from benchtrail.messages import calc_texts


@click.command()
@click.argument("name", required=False)
@click.argument("values", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@click.option("--calendar", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
              help="Also write the days that service_due or service_list found as an iCalendar file.")
def calc(name: str | None, values: tuple[str, ...], as_json: bool, calendar: Path | None) -> None:
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
    if calendar is not None:
        _write_calendar(answer, calendar)
    click.echo(json.dumps(data, ensure_ascii=False, indent=2) if as_json else answer_in_words(answer))


def _write_calendar(answer: Answer, file: Path) -> None:
    """The likely due days, one entry each. Raises `no_due_day`, `calendar_not_written`."""
    rows = answer.values.get("rows", [dict(answer.values)])
    entries = [{"uid": f"{row.get('id', 'service')}-{row['due_date']}@benchtrail", "date": row["due_date"],
                "summary": str(row.get("id", "Service")), "description": f"Between {row['due_from']} and {row['due_to']}"}
               for row in (rows if isinstance(rows, list) else []) if isinstance(row, dict) and row.get("due_date")]
    if not entries:
        raise Refused("no_due_day")
    try:
        file.write_bytes(calendar_file(entries, f"{SystemClock().now():%Y%m%dT%H%M%SZ}").encode())
    except OSError as error:
        raise Refused("calendar_not_written", file=str(file), reason=error.strerror or str(error)) from error


def _list(as_json: bool) -> str:
    names = calc_texts()["names"]
    if as_json:
        return json.dumps({name: {"words": names[name], "fields": list(fields_of(calculation))}
                           for name, calculation in CALCULATIONS.items()}, ensure_ascii=False, indent=2)
    return "\n".join(f"{name:22} {names[name]}" for name in CALCULATIONS)


def _fields(name: str) -> str:
    rows = [f"  {field:22} {unit:6} {'needed' if needed else ''}".rstrip()
            for field, (unit, needed) in fields_of(CALCULATIONS[name]).items()]
    return "\n".join([f"{name}: {calc_texts()['names'][name]}", "Fields:", *rows])
