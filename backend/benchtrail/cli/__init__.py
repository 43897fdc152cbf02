"""The command line: `benchtrail <noun> <verb>`, one file per command group."""

import click

from benchtrail import __version__


@click.group()
@click.version_option(__version__, prog_name="benchtrail")
def main() -> None:
    """Procedures that are checked like programs, followed with no signal, and answered."""
