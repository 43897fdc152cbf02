"""`benchtrail demo`: the invented dealership, ready to be tried."""

import json
from pathlib import Path

import click

from benchtrail.app import create_app
from benchtrail.cli.serve import lan_option, port_option, run
from benchtrail.config import load_config
from benchtrail.messages import message_for
from benchtrail.resources import resource_dir
from benchtrail.services.ports import Ports
from benchtrail.services.seed_demo import DEMO_ACCOUNTS, Seed, ready_code, seed_demo
from benchtrail.wiring import read_library


@click.command()
@click.option("--home", type=click.Path(file_okay=False, path_type=Path), default=Path("benchtrail-demo"),
              show_default=True, help="Folder of the demo's data; delete it to begin anew.")
@click.option("--host", default="0.0.0.0", show_default=True, help="127.0.0.1 to be reached from this computer only.")
@port_option
@lan_option
def demo(home: Path, host: str, port: int, lan: bool) -> None:
    """Seed the invented dealership Withen Bridge Offroad, and serve it."""
    config = load_config(home=home)
    app = create_app(config)
    ports: Ports = app.extensions["benchtrail"]
    seed = load_seed()
    with app.app_context():
        for finding in seed_demo(ports, seed):
            words = message_for(finding.code, finding.values)
            click.echo(f"{finding.where.file}:{finding.where.line}: {finding.code} {words}", err=True)
        code = ready_code(ports, seed.slug)
    run(app, config, host, port, lan, lambda address: _say(address, code))
    click.echo(f"Stopped. The demo's data stay in {home}.")


def load_seed() -> Seed:
    """The demo's data as they travel with the program."""
    folder = resource_dir("demo")
    photos = {path.name: path.read_bytes() for path in sorted((folder / "photos").glob("*.jpg"))}
    files, read_picture = read_library([resource_dir("procedures")])
    dealership = json.loads((folder / "dealership.json").read_text(encoding="utf-8"))
    return Seed(dealership, photos, files, read_picture)


def _say(address: str, code: str) -> None:
    accounts = "; ".join(f"{name} ({role}), password: {password}" for name, role, password in DEMO_ACCOUNTS)
    click.echo(f"""
Benchtrail demo: the dealership Withen Bridge Offroad and the maker Hobmoor are invented.
Nothing in it is for use on a real machine. The passwords are known to everyone. Ctrl+C stops it.

  The phone's side   {address}
  The dealer's desk  {address}/desk
  Sign in as         {accounts}
  To enrol a phone   {code} (once, within ten minutes; the desk makes more)
""")
