"""`benchtrail doctor`: is everything that is kept what it says it is."""

import sys
from pathlib import Path

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.messages import message_for
from benchtrail.services.doctor import examine


@click.command()
@click.option("--mend", is_flag=True,
              help="Look into photos that wait, clear files of broken-off writes, erase what is kept no longer.")
@home_option
def doctor(mend: bool, home: Path | None) -> None:
    """Check hashes, signatures, numbers and files; say what to do. Exit 1 when something promised is in danger."""
    with opened(home) as ports:
        ailments = examine(ports, mend)
    for one in ailments:
        click.echo(f"{'grave' if one.grave else 'note'} {one.code} {message_for(one.code, one.values)}")
    grave = sum(one.grave for one in ailments)
    click.echo(f"{grave} grave, {len(ailments) - grave} to note.")
    sys.exit(1 if grave else 0)
