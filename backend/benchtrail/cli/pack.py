"""`benchtrail pack …`: published packs as files."""

import json
from pathlib import Path

import click

from benchtrail.cli.home import home_option, opened
from benchtrail.domain.refused import Refused
from benchtrail.services.verify_pack import verify_pack, verify_pack_with_key


@click.group()
def pack() -> None:
    """Look at published packs."""


@pack.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--key", type=click.Path(exists=True, dir_okay=False, path_type=Path),
              help="The dealer's public key (JWK), for a pack of another server; needs --signature.")
@click.option("--signature", help="The signature that the manifest names for the pack.")
@home_option
def verify(file: Path, key: Path | None, signature: str | None, home: Path | None) -> None:
    """Check that FILE is a pack that the dealer signed: form, name, signature. Exit 1 when it is not."""
    content = file.read_bytes()
    with opened(home) as ports:
        if key:
            verified = verify_pack_with_key(ports, content, file.stem, read_jwk(key), signature or "")
        else:
            verified = verify_pack(ports, content, file.stem)
    standing = {True: ", in force", False: ", no longer in force", None: ""}[verified.in_force]
    named = f"{verified.kind} {verified.id}, revision {verified.revision}"
    click.echo(f"good: {named}, signed by {verified.dealer}{standing}\n{verified.sha256}")


def read_jwk(path: Path) -> dict[str, str]:
    """A public key from a file. Raises Refused("public_key_unreadable")."""
    try:
        made = json.loads(path.read_bytes())
        return {name: str(made[name]) for name in ("kty", "crv", "x", "y")}
    except (ValueError, KeyError, TypeError) as error:
        raise Refused("public_key_unreadable", path=str(path)) from error
