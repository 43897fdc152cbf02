"""`benchtrail library …`: the dealer's texts. The commands of the group are in files of their own."""

import click

from benchtrail.cli.library_check import check
from benchtrail.cli.library_steps import steps
from benchtrail.cli.library_way_out import way_out


@click.group()
def library() -> None:
    """Check and publish procedures and maps."""


library.add_command(check)
library.add_command(way_out)
library.add_command(steps)
