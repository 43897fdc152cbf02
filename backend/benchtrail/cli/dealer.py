"""`benchtrail dealer …`: the dealerships of this server."""

import json
import os
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.domain.refused import Refused
from benchtrail.messages import dealer_file_texts, dealer_plan_words
from benchtrail.services.dealer_export import export_dealer
from benchtrail.services.dealer_import import Plan, import_dealer, plan_import
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


@dealer.command(name="export")
@click.argument("slug")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--by", default="command line", show_default=True, help="Who takes it out.")
@home_option
def put_out(slug: str, file: Path, by: str, home: Path | None) -> None:
    """Write everything of SLUG to FILE, a zip of open formats that another server takes in. The server may go on meanwhile.

    FILE holds no passwords and no signing key, but the names of customers and their photos.
    """
    passing = file.with_name(f".{file.name}.passing-{os.getpid()}")
    try:
        if file.exists():
            raise FileExistsError(17, "it is there already")
        with open(os.open(passing, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as out, opened(home) as ports:
            made = export_dealer(ports, slug, by, out)
            out.flush()
            os.fsync(out.fileno())
        os.rename(passing, file)
    except OSError as error:
        raise Refused("dealer_file_not_written", path=str(file), reason=error.strerror or str(error)) from error
    finally:
        passing.unlink(missing_ok=True)
    click.echo(f"Wrote {sum(made.rows.values())} records and {made.files} files to {file}.")
    for name in made.missing:
        click.echo(f"Missing on this server, and so in the file: {name}", err=True)


@dealer.command(name="import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Prove the file and say what would be done; change nothing.")
@click.option("--new-key", is_flag=True, help="Make a new signing key, and sign everything anew, when the old one is not to be had.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
@click.option("--by", default="command line", show_default=True, help="Who takes it in.")
@home_option
def take_in(file: Path, dry_run: bool, new_key: bool, as_json: bool, by: str, home: Path | None) -> None:
    """Take in a dealership from FILE that another server wrote. Every hash and signature in it is worked out anew first.

    A dealership that is here already is never touched. The signing key is not in the file: put the old server's
    keys/SLUG.pem into this one's keys folder before.
    """
    with file.open("rb") as source, opened(home) as ports:
        plan, codes = (plan_import(ports, source, new_key), []) if dry_run else import_dealer(ports, source, by, new_key)
    if as_json:
        made = asdict(plan) | {"done": not dry_run, "codes": {kept.name: code for code, kept in codes}}
        click.echo(json.dumps(made, ensure_ascii=False))
        return
    click.echo("The file is whole and true. Nothing was changed; this would be taken in:" if dry_run else "Taken in:")
    for line in _plan_lines(plan):
        click.echo(f"  {line}")
    for code, kept in codes:
        click.echo(f"{code}\tfor {kept.name} to set a password at /desk/password, once, within a day")


def _plan_lines(plan: Plan) -> Iterator[str]:
    words = dealer_file_texts()
    yield f"{plan.name} ({plan.slug}), written {plan.made_at} by {plan.made_by}, sealed with the key {plan.kid}"
    yield ", ".join(f"{count} {words['tables'].get(name, name)}" for name, count in plan.rows.items() if name != "dealers")
    yield from dealer_plan_words(asdict(plan))
