"""`benchtrail library way-out`: where a procedure can be stopped, and the shortest way out from each step."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from benchtrail.domain.bench_state import GUARDED_TABLES
from benchtrail.domain.findings import blocks_publishing
from benchtrail.domain.guards import Variant, guard_holds
from benchtrail.domain.refused import Refused
from benchtrail.domain.variants import describe_variants, variants_of
from benchtrail.messages import message_for, way_texts
from benchtrail.services.compile_library import compile_library
from benchtrail.services.plan import check_variant, read_variant, variant_words
from benchtrail.services.ways_out import ways_out
from benchtrail.wiring import read_library

Data = dict[str, Any]
AIMS = {"leave": "to leave it standing", "push": "to push it"}


@click.command(name="way-out")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--variant", metavar="year=…,option=…", help="One variant; else each that the procedure tells apart.")
@click.option("--step", "wanted", metavar="STEP", help="The whole way out after this step, row by row; “start” for before the first.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
def way_out(file: Path, variant: str | None, wanted: str | None, as_json: bool) -> None:
    """Show where the procedure in FILE can be stopped: for the night, or to push the machine away.

    Exit code 0: shown; 1: the text cannot be compiled, or has no such step or variant; 2: wrong usage.
    """
    pack = _pack(file)
    found = [{"variant": words, **ways_out(pack, each, way_texts())} for words, each in _variants(pack, variant)]
    steps = {str(stop["after"] or "start") for told in found for stop in told["stops"]}
    if wanted is not None and wanted not in steps:
        raise Refused("way_out_step_unknown", step=wanted[:80], procedure=pack["procedure"])
    if as_json:
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for told in found:
        click.echo(f"{told['title']}: {told['variant']}")
        for line in _lines(told["stops"], wanted):
            click.echo(line)


def _pack(file: Path) -> Any:
    files, read_picture = read_library([file])
    library = compile_library(files, read_picture)
    entry = next((entry for entry in library.procedures if entry.asked), None)
    if entry is None or entry.compiled is None:
        for finding in library.findings:
            words = message_for(finding.code, finding.values)
            click.echo(f"{finding.where.file}:{finding.where.line}: {finding.severity.name.lower()} {finding.code} {words}", err=True)
        if not blocks_publishing(library.findings):
            raise Refused("way_out_no_procedure", file=str(file)[:120])
        sys.exit(1)
    return entry.compiled.pack


def _variants(pack: Any, written: str | None) -> list[tuple[str, Variant | None]]:
    if pack["model"] is None:
        return [("any machine", None)]
    if written is not None:
        variant = read_variant(written)
        check_variant(pack["model"], variant)
        if not guard_holds(pack["applies"], variant):
            raise Refused("goal_not_in_variant", goals=pack["title"], variant=variant_words(pack["model"], variant))
        return [(variant_words(pack["model"], variant), variant)]
    guards = [*(entry.get("when") for table in GUARDED_TABLES for entry in pack[table].values()),
              *(step["when"] for step in pack["steps"])]
    space = variants_of(pack["model"], guards, pack["applies"])
    return [((describe_variants(space, [n]) or "all variants").removeprefix("only "), each) for n, each in enumerate(space.variants)]


def _lines(stops: list[Data], wanted: str | None) -> Iterator[str]:
    for stop in stops:
        name = str(stop["after"] or "start")
        if wanted is None:
            yield f"  {stop['number']:3} {name:28} leave: {_short(stop['leave']):44} push: {_short(stop['push'])}"
        elif name == wanted:
            yield from _whole(stop)


def _short(way: Data) -> str:
    if way["now"]:
        return "as it is" + (f", {len(way['see_to'])} to see to" if way["see_to"] else "")
    if way["shorter"] is None:
        return "not known" if way["unknown"] else "no way on this map"
    told = way[way["shorter"]]
    return f"{_count(told['rows'])}, {_time(told)}"


def _time(told: Data) -> str:
    if not told["untimed"]:
        return f"about {told['minutes']:g} min"
    return f"time not known ({told['untimed']} without one)"


def _count(rows: list[Data]) -> str:
    """Steps further and things to make good, as “2 on”, “back by 3” or “2 on and 3 back”."""
    acts = sum(row["act"] is not None for row in rows)
    steps = len(rows) - acts
    if not steps:
        return f"back by {acts}"
    return f"{steps} on and {acts} back" if acts else f"{steps} on"


def _whole(stop: Data) -> Iterator[str]:
    yield f"  After step {stop['number']}, “{stop['say']}”:" if stop["after"] else "  Before the first step:"
    for aim, words in AIMS.items():
        way = stop[aim]
        yield f"  {words[:1].upper()}{words[1:]}: {_short(way)}."
        yield from (f"    {line}" for line in (*way["against"], *way["unknown"]))
        for kind, heading in (("on", "Further"), ("back", "Back"), ("mixed", "Further and back")):
            told = way[kind]
            if told:
                shorter = way["shorter"] == kind
                yield f"    {heading}, {_count(told['rows'])}, {_time(told)}{':' if shorter else '.'}"
                yield from (f"      {n}. {_row(row)}" for n, row in enumerate(told["rows"] if shorter else [], 1))
        best = way[way["shorter"]] if way["shorter"] in ("on", "back", "mixed") else way
        yield from (f"    See to this: {line}" for line in best["see_to"])


def _row(row: Data) -> str:
    """The words of a row; of an act also where the procedure tells it."""
    told = f" (as in step {row['steps'][-1]})" if row["act"] and row["steps"] else ""
    return f"{row['words']}{told}"
