"""`benchtrail library …`: the dealer's texts. The commands of the group are in files of their own."""

import click


@click.group()
def library() -> None:
    """Check and publish procedures and maps."""
