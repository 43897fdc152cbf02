"""`benchtrail db …`: the database's form."""

from pathlib import Path

import click

from benchtrail.cli.home import home_option, opened


@click.group()
def db() -> None:
    """Look after the database."""


@db.command()
@home_option
def upgrade(home: Path | None) -> None:
    """Bring the tables up to date. `serve` and `demo` do the same at their start."""
    with opened(home):
        click.echo("The database is up to date.")
