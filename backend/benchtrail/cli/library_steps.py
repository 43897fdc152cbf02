"""`benchtrail library steps`: what the jobs that came back say of a procedure's steps."""

import csv
import json
import sys
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

import click

from benchtrail.cli.home import dealer_option, home_option, only_dealer, opened
from benchtrail.services.job_list import KeptRows
from benchtrail.services.records import JsonObject
from benchtrail.services.step_statistics import ProcedureStatistics, as_table, procedure_statistics

LOOK = {"trouble": "people get stuck here more than elsewhere", "slower": "takes longer than written", "faster": "is quicker than written"}


@click.command()
@click.argument("procedure")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated values instead of lines.")
@dealer_option
@home_option
def steps(procedure: str, as_json: bool, as_csv: bool, dealer: str | None, home: Path | None) -> None:
    """Usual time of each step of PROCEDURE, and where people stop, go back, skip and ask."""
    with opened(home) as ports:
        found = procedure_statistics(ports, KeptRows(), dealer or only_dealer(ports), procedure)
    if as_csv:
        csv.writer(sys.stdout, lineterminator="\n").writerows(as_table(found))
    elif as_json:
        click.echo(json.dumps(asdict(found), ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(_lines(found)))


def _lines(found: ProcedureStatistics) -> Iterator[str]:
    yield f"{found.title}, revision {found.revision}: {found.jobs} jobs of every revision, {found.finished} finished"
    yield _labour(found.labour)
    for one in found.steps:
        yield f"{one['number']:>4}  {_time(one)}  {one['say']}"
        told = [f"{words} {one[name]}" for name, words in (("stopped", "stopped"), ("back", "went back"), ("skipped", "skipped"),
                                                           ("asked", "asked"), ("outside", "outside limits")) if one[name]]
        told += [LOOK[why] for why in one["look"]]
        if told:
            yield f"{'':>6}of {one['jobs']} jobs: {', '.join(told)}"
    yield "Time runs from the end of the step before to its tick, without stops and without the time in which the phone slept or showed"
    yield "something else. The range holds the true middle with at least 95 % (from the order of the times); below 6 times nothing is said."


def _labour(labour: JsonObject) -> str:
    if labour["q50_min"] is None:
        return "Usual time: not known; no step states one and too few jobs tell it"
    whose = "mostly the author's word" if labour["mostly_author"] else f"learned from {labour['logs']} times of steps"
    left = f"; {labour['untimed']} steps have no time and are not in it" if labour["untimed"] else ""
    return (f"Usual time for {labour['variant'] or 'any machine'}: {labour['q50_min']:.0f} min, eight jobs in ten between "
            f"{labour['q10_min']:.0f} and {labour['q90_min']:.0f} min; {whose}, who wrote {labour['author_min']:.0f} min in all{left}")


def _time(one: JsonObject) -> str:
    times = one["times"]
    if times["median_min"] is None:
        return f"too few to say ({times['n']})".ljust(28)
    return f"{times['median_min']:.1f} min ({times['low_min']:.1f} to {times['high_min']:.1f}, n {times['n']})".ljust(28)
