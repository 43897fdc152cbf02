"""`benchtrail library …`: the dealer's texts. The commands of the group are in files of their own."""

import click

from benchtrail.cli.library_check import check


@click.group()
def library() -> None:
    """Check and publish procedures and maps."""


library.add_command(check)
