"""`benchtrail dealer …`: the dealerships of this server."""

from pathlib import Path

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.services.dealers import add_dealer, all_dealers
from benchtrail.services.erasure import apply_retention, set_retention


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


@dealer.command()
@click.argument("slug")
@click.argument("days")
@click.option("--by", default="command line", show_default=True, help="Who sets it.")
@home_option
def retention(slug: str, days: str, by: str, home: Path | None) -> None:
    """Keep the contents of SLUG's closed jobs for DAYS after the last news of them, or `for-good`.

    What is over is erased now, at every start of the server, and by `benchtrail doctor --mend`.
    """
    if days != "for-good" and not days.isdecimal():
        raise click.BadParameter("a whole number of days, or for-good", param_hint="DAYS")
    with opened(home) as ports:
        set_retention(ports, slug, None if days == "for-good" else int(days), by)
        erased = [job for dealer_slug, job in apply_retention(ports) if dealer_slug == slug]
    click.echo(f"{slug}: kept {'for good' if days == 'for-good' else f'for {days} days after the last news of a closed job'}; "
               f"{len(erased)} erased now.")
