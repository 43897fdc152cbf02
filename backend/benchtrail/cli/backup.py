"""`benchtrail backup FILE` and `benchtrail restore FILE`: the whole installation in one file, and back."""

from pathlib import Path

import click

from benchtrail.cli.home import home_option
from benchtrail.config import load_config
from benchtrail.wiring import open_archive


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@home_option
def backup(file: Path, home: Path | None) -> None:
    """Write everything (records, photos, packs, keys) to FILE; the server may go on meanwhile.

    FILE holds the signing keys and the server's secret: keep it where only you can read it.
    """
    with open_archive(load_config(home=home)) as archive:
        facts = archive.write(file)
    click.echo(f"Wrote {sum(facts['rows'].values())} records and {_files(facts)} files to {file}.")


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@home_option
def restore(file: Path, home: Path | None) -> None:
    """Put the backup FILE into a new, empty home. Phones compare with it and send again what it lacks."""
    with open_archive(load_config(home=home)) as archive:
        facts = archive.read(file)
    click.echo(f"Restored {sum(facts['rows'].values())} records and {_files(facts)} files.")


def _files(facts: dict[str, dict[str, str]]) -> int:
    return sum(not name.startswith("tables/") for name in facts["sha256"])
