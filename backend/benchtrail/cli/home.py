"""The installation that a command works on: its folder, its app, its ports."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

from benchtrail.app import create_app
from benchtrail.config import Config, load_config
from benchtrail.services.ports import Ports

Command = TypeVar("Command", bound=Callable[..., Any])


def home_option(command: Command) -> Command:
    """Adds `--home DIR`."""
    words = "Folder of the data; else BENCHTRAIL_HOME, else ./benchtrail-data."
    return click.option("--home", type=click.Path(file_okay=False, path_type=Path), help=words)(command)


@contextmanager
def opened(home: Path | None) -> Iterator[Ports]:
    """The ports of the installation, inside an application context."""
    with opened_config(load_config(home=home)) as ports:
        yield ports


@contextmanager
def opened_config(config: Config) -> Iterator[Ports]:
    """The same, from settings that are loaded already."""
    app = create_app(config)
    with app.app_context():
        ports: Ports = app.extensions["benchtrail"]
        yield ports
        ports.storage.close()
