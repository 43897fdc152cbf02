"""The command line: `benchtrail <noun> <verb>`, one file per command group."""

import importlib
import sys
from typing import Any

import click

from benchtrail import __version__
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for

# command → the module and name of its group or command; loaded only when asked for, so that `--help` stays quick
COMMANDS = {
    "backup": "benchtrail.cli.backup:backup",
    "calc": "benchtrail.cli.calc:calc",
    "db": "benchtrail.cli.db:db",
    "dealer": "benchtrail.cli.dealer:dealer",
    "demo": "benchtrail.cli.demo:demo",
    "doctor": "benchtrail.cli.doctor:doctor",
    "job": "benchtrail.cli.job:job",
    "library": "benchtrail.cli.publish:library",  # publish.py adds its command to the group of library.py
    "map": "benchtrail.cli.map_commands:map_commands",
    "pack": "benchtrail.cli.pack:pack",
    "restore": "benchtrail.cli.backup:restore",
    "serve": "benchtrail.cli.serve:serve",
    "user": "benchtrail.cli.user:user",
}


class CommandLine(click.Group):
    """Finds commands by name; says what the domain refused in its three sentences, with exit code 1."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        place = COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, _, name = place.partition(":")
        command: click.Command = getattr(importlib.import_module(module), name)
        return command

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except Refused as refusal:
            message = message_for(refusal.code, refusal.values)
            click.echo(f"{message.happened}\n{message.means}\n{message.do}", err=True)
            sys.exit(1)


@click.group(cls=CommandLine)
@click.version_option(__version__, prog_name="benchtrail")
def main() -> None:
    """Procedures that are checked like programs, followed with no signal, and answered."""
