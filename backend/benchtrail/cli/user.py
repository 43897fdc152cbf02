"""`benchtrail user …`: accounts of the desk."""

import sys
from pathlib import Path
from typing import cast

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.clock import as_text
from benchtrail.services.accounts import add_account, change_password
from benchtrail.services.people import change_role, make_password_code, people_of
from benchtrail.services.records import Role

password_option = click.option("--password-stdin", is_flag=True, help="Read the password from standard input.")

ROLES = ("owner", "author", "reviewer", "reader")
ROLE_HELP = "owner: people and all else; author: writes, publishes, enrols phones; reviewer: reviews; reader: reads."


@click.group()
def user() -> None:
    """Make accounts and set passwords."""


@user.command()
@click.argument("name")
@click.option("--role", type=click.Choice(ROLES), required=True, help=ROLE_HELP)
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


@user.command(name="list")
@click.option("--dealer", required=True, metavar="SLUG", help="The dealer's short name.")
@home_option
def list_all(dealer: str, home: Path | None) -> None:
    """List the accounts of a dealer: name, role, state, signed-in browsers."""
    with opened(home) as ports:
        for one in people_of(ports, dealer):
            click.echo(f"{one.account.name}\t{one.account.role}\t{one.state}\t{one.sessions}")


@user.command()
@click.argument("name")
@click.option("--dealer", required=True, metavar="SLUG", help="The dealer's short name.")
@click.option("--role", type=click.Choice(ROLES), required=True, help=ROLE_HELP)
@home_option
def role(name: str, dealer: str, role: str, home: Path | None) -> None:
    """Give NAME another role; it holds at once."""
    with opened(home) as ports:
        made = change_role(ports, dealer, name, cast(Role, role), "command line")
        click.echo(f"{made.name} is now {made.role} of {made.dealer}.")


@user.command()
@click.argument("name")
@click.option("--dealer", required=True, metavar="SLUG", help="The dealer's short name.")
@home_option
def reset(name: str, dealer: str, home: Path | None) -> None:
    """Make a code with which NAME sets a new password, at /desk/password, within a day."""
    with opened(home) as ports:
        code, kept = make_password_code(ports, dealer, name, "command line")
        click.echo(f"{code}\tfor {kept.name}, once, until {as_text(kept.expires_at)}")


def _password(from_stdin: bool) -> str:
    if from_stdin:
        return sys.stdin.readline().rstrip("\r\n")
    return str(click.prompt("Password", hide_input=True, confirmation_prompt=True))
