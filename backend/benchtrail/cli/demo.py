"""`benchtrail demo`: the invented dealership, ready to be tried."""

import json
import socket
import sys
from pathlib import Path

import click

from benchtrail.app import create_app
from benchtrail.cli.serve import port_option, resume
from benchtrail.cli.serving import Server, stop_on_signals
from benchtrail.config import load_config
from benchtrail.messages import message_for
from benchtrail.resources import resource_dir
from benchtrail.services.links import qr_terminal
from benchtrail.services.ports import Ports
from benchtrail.services.seed_demo import DEMO_ACCOUNTS, Seed, ready_code, seed_demo
from benchtrail.wiring import read_library


@click.command()
@click.option("--home", type=click.Path(file_okay=False, path_type=Path), default=Path("benchtrail-demo"),
              show_default=True, help="Folder of the demo's data; delete it to begin anew.")
@click.option("--host", default="0.0.0.0", show_default=True, help="127.0.0.1 to be reached from this computer only.")
@port_option
def demo(home: Path, host: str, port: int) -> None:
    """Seed the invented dealership Withen Bridge Offroad, and serve it."""
    app = create_app(load_config(home=home))
    ports: Ports = app.extensions["benchtrail"]
    seed = load_seed()
    with app.app_context():
        for finding in seed_demo(ports, seed):
            words = message_for(finding.code, finding.values)
            click.echo(f"{finding.where.file}:{finding.where.line}: {finding.code} {words}", err=True)
        code = ready_code(ports, seed.slug)
    resume(app)
    server = Server(app, host, port)
    stop_on_signals(server.stop)
    server.run(lambda: _say(server.port, code, reachable=host not in ("127.0.0.1", "localhost", "::1")))
    click.echo("Stopped. The demo's data stay in " + str(home) + ".")


def load_seed() -> Seed:
    """The demo's data as they travel with the program."""
    folder = resource_dir("demo")
    photos = {path.name: path.read_bytes() for path in sorted((folder / "photos").glob("*.jpg"))}
    files, read_picture = read_library([resource_dir("procedures")])
    dealership = json.loads((folder / "dealership.json").read_text(encoding="utf-8"))
    return Seed(dealership, photos, files, read_picture)


def _say(port: int, code: str, reachable: bool) -> None:
    here, there = f"http://localhost:{port}", f"http://{_own_address()}:{port}"
    accounts = "; ".join(f"{name} ({role}), password: {password}" for name, role, password in DEMO_ACCOUNTS)
    click.echo(f"""
Benchtrail demo: the dealership Withen Bridge Offroad and the maker Hobmoor are invented.
Nothing in it is for use on a real machine.

  The phone's side   {here}
  The dealer's desk  {here}/desk
  Sign in as         {accounts}
  To enrol a phone   {code} (once, within ten minutes; the desk makes more)
""")
    if reachable:
        click.echo(f"From another device on this network: {there}\n")
        if sys.stdout.isatty():
            click.echo(qr_terminal(there))
        click.echo("Over plain http a phone can look at everything, but its browser keeps an app for use without\n"
                   "signal only over https or on localhost.\n")
    click.echo("Ctrl+C stops it.")
    sys.stdout.flush()


def _own_address() -> str:
    """This computer's address on its network; nothing is sent to find it out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737); UDP only looks up the way
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
