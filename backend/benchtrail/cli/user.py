"""`benchtrail user …`: accounts of the desk."""

import sys
from pathlib import Path
from typing import cast

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.services.accounts import add_account, change_password
from benchtrail.services.records import Role

password_option = click.option("--password-stdin", is_flag=True, help="Read the password from standard input.")


@click.group()
def user() -> None:
    """Make accounts and set passwords."""


@user.command()
@click.argument("name")
@click.option("--role", type=click.Choice(["author", "reader"]), required=True,
              help="author publishes and enrols phones; reader reads.")
@click.option("--dealer", required=True, metavar="SLUG", help="The dealer's short name.")
@password_option
@home_option
def add(name: str, role: str, dealer: str, password_stdin: bool, home: Path | None) -> None:
    """Make the account NAME."""
    with opened(home) as ports:
        made = add_account(ports, dealer, name, cast(Role, role), _password(password_stdin))
        click.echo(f"Made the account {made.name}, {made.role} of {made.dealer}.")


@user.command()
@click.argument("name")
@password_option
@home_option
def password(name: str, password_stdin: bool, home: Path | None) -> None:
    """Set a new password for NAME and sign it out everywhere."""
    with opened(home) as ports:
        change_password(ports, name, _password(password_stdin))
        click.echo(f"The password of {name} is changed; every session of it has ended.")


def _password(from_stdin: bool) -> str:
    if from_stdin:
        return sys.stdin.readline().rstrip("\r\n")
    return str(click.prompt("Password", hide_input=True, confirmation_prompt=True))
