"""`benchtrail library check`: says everything that is wrong with the texts, one line each; changes nothing."""

import json
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import click

from benchtrail.domain.findings import Finding, Severity, blocks_publishing, lacks_reason
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for
from benchtrail.resources import resource_dir
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import Library
from benchtrail.wiring import read_library

COLOURS = {Severity.BLOCK: "red", Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}


@click.command()
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
def check(paths: tuple[Path, ...], as_json: bool) -> None:
    """Check procedures and maps: files or folders, else the procedures that came with the program.

    Exit code 0: nothing that stops publishing; 1: errors, blocks, or warnings without a reason; 2: wrong usage.
    """
    try:
        files, read_picture = read_library(paths or (_own_library(),))
    except Refused as refusal:
        raise click.UsageError(str(message_for(refusal.code, refusal.values))) from None
    library = check_library(files, read_picture)
    if as_json:
        click.echo(json.dumps(_as_json(library), ensure_ascii=False, indent=2))
    else:
        for line in lines_of(library.findings):
            click.echo(line)
        for line in language_lines(library):
            click.echo(line)
        click.echo(_summary(library))
    sys.exit(1 if blocks_publishing(library.findings) else 0)


def _own_library() -> Path:
    """The procedures here if this folder has any, else those that came with the program."""
    here = Path("procedures")
    return here if here.is_dir() else resource_dir("procedures")


def _line(finding: Finding) -> str:
    """`file:line: severity code [check] message`; colours only on a terminal (click takes them away elsewhere)."""
    where, message = finding.where, message_for(finding.code, finding.values)
    word = click.style(finding.severity.name.lower(), fg=COLOURS[finding.severity], bold=True)
    step = f"step “{where.step}”, " if where.step else ""
    scope = f"{step}{finding.variants or ''}".removesuffix(", ")
    place = f"{where.file}:{where.line}: {word} {finding.code} [{finding.check}]"
    kept = f" Let stand, because: {finding.reason}" if finding.reason else ""
    return f"{place} ({scope}) {message}{kept}" if scope else f"{place} {message}{kept}"


def _summary(library: Library) -> str:
    """How many texts were read and how many findings of each severity there are."""
    procedures = sum(entry.asked for entry in library.procedures)
    maps = sum(entry.asked for entry in library.maps)
    read = f"{_count(procedures, 'procedure')}, {_count(maps, 'map')}"
    by_severity = Counter(finding.severity for finding in library.findings)
    counts = [_count(by_severity[severity], severity.name.lower()) for severity in sorted(Severity, reverse=True)
              if by_severity[severity]]
    stops = "" if blocks_publishing(library.findings) else "; nothing stops publishing"
    bare = sum(lacks_reason(finding) for finding in library.findings)
    stops = f"; {_count(bare, 'warning')} without a reason in “accepted”" if bare else stops
    return f"{read}: {', '.join(counts)}{stops}" if counts else f"{read}: no findings"


def language_lines(library: Library) -> list[str]:
    """One line for each text: whether it passes the controlled language as a whole."""
    return [f"{file}: controlled language " + (f"fails, by {_count(broken, 'note')} of S8" if broken else "passes")
            for file, broken in library.language.items()]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _as_json(library: Library) -> dict[str, object]:
    return {
        "procedures": [entry.text.head["procedure"] for entry in library.procedures if entry.asked],
        "maps": [entry.text.head["model"] for entry in library.maps if entry.asked],
        "language": {file: broken == 0 for file, broken in library.language.items()},
        "findings": [_finding_as_json(finding) for finding in library.findings],
    }


def _finding_as_json(finding: Finding) -> dict[str, object]:
    return {
        "file": finding.where.file, "line": finding.where.line, "step": finding.where.step,
        "severity": finding.severity.name.lower(), "code": finding.code, "check": finding.check,
        "variants": finding.variants, "reason": finding.reason, "values": {key: _plain(value) for key, value in finding.values.items()},
        "message": message_for(finding.code, finding.values).as_dict(),
    }


def _plain(value: object) -> object:
    return value if isinstance(value, str | int | float | bool) or value is None else str(value)


def lines_of(findings: Sequence[Finding]) -> list[str]:
    """The findings as lines; other commands of the group print them alike."""
    return [_line(finding) for finding in findings]
