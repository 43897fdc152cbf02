"""The installation that a command works on: its folder, its app, its ports."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import click

from benchtrail.app import create_app
from benchtrail.config import load_config
from benchtrail.domain.refused import Refused
from benchtrail.services.dealers import all_dealers
from benchtrail.services.ports import Ports

Command = TypeVar("Command", bound=Callable[..., Any])


def home_option(command: Command) -> Command:
    """Adds `--home DIR`."""
    words = "Folder of the data; else BENCHTRAIL_HOME, else ./benchtrail-data."
    return click.option("--home", type=click.Path(file_okay=False, path_type=Path), help=words)(command)


def dealer_option(command: Command) -> Command:
    """Adds `--dealer SLUG`."""
    return click.option("--dealer", metavar="SLUG", help="The dealer's short name; not needed when the server has only one.")(command)


@contextmanager
def opened(home: Path | None) -> Iterator[Ports]:
    """The ports of the installation, inside an application context."""
    # at once: a command ends before a thread in the background would have looked into a photo
    app = create_app(replace(load_config(home=home), photos_at_once=True))
    with app.app_context():
        ports: Ports = app.extensions["benchtrail"]
        yield ports
        ports.storage.close()


def only_dealer(ports: Ports) -> str:
    """The one dealer of this server. Raises Refused("dealer_not_named")."""
    dealers = all_dealers(ports)
    if len(dealers) != 1:
        raise Refused("dealer_not_named", count=len(dealers))
    return dealers[0].slug
