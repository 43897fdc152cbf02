"""`benchtrail library publish PATH…`: checks the texts, signs and publishes what has no errors."""

import sys
from pathlib import Path

import click

from benchtrail.cli.home import dealer_option, home_option, only_dealer, opened
from benchtrail.cli.library import library
from benchtrail.cli.library_check import lines_of
from benchtrail.services.publish_library import publish_files
from benchtrail.wiring import read_library


@library.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(path_type=Path))
@dealer_option
@click.option("--by", default="command line", show_default=True, help="Who publishes.")
@click.option("--note", default="", help="What changed, in a sentence; else each text's own change note.")
@home_option
def publish(paths: tuple[Path, ...], dealer: str | None, by: str, note: str, home: Path | None) -> None:
    """Publish every map and procedure under PATHS, or none when a finding stands in the way.

    Exit 0 when all is published (or was before), 1 when findings block it.
    """
    with opened(home) as ports:
        files, read_picture = read_library(paths)
        outcome = publish_files(ports, dealer or only_dealer(ports), files, read_picture, by, note)
    for line in lines_of(outcome.findings):
        click.echo(line)
    if outcome.refused:
        click.echo(f"{len(outcome.findings)} findings; nothing was published.", err=True)
        sys.exit(1)
    for one in outcome.published:
        done = "published" if one.new else "unchanged"
        click.echo(f"{done} {one.kind} {one.id} revision {one.revision} {one.sha256}")
