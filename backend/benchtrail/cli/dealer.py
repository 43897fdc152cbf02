"""`benchtrail dealer …`: the dealerships of this server."""

from pathlib import Path

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.services.dealers import add_dealer, all_dealers


@click.group()
def dealer() -> None:
    """Make and list dealerships."""


@dealer.command()
@click.argument("slug")
@click.option("--name", required=True, help="The name that customers know.")
@click.option("--invented", is_flag=True, help="Say on every page that the dealer is invented.")
@home_option
def add(slug: str, name: str, invented: bool, home: Path | None) -> None:
    """Make the dealership SLUG, with its signing key."""
    with opened(home) as ports:
        made = add_dealer(ports, slug, name, invented)
        click.echo(f"Made {made.name} ({made.slug}). Keep a copy of its signing key; its thumbprint is {made.kid}.")


@dealer.command(name="list")
@home_option
def list_all(home: Path | None) -> None:
    """List the dealerships."""
    with opened(home) as ports:
        for one in all_dealers(ports):
            click.echo(f"{one.slug}\t{one.name}\t{one.kid}")
