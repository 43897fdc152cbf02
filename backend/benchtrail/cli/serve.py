"""`benchtrail serve`: the API, the phone app and the desk."""

import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import click
from flask import Flask

from benchtrail.app import create_app
from benchtrail.cli.home import home_option
from benchtrail.cli.lan import lan_server, own_addresses
from benchtrail.cli.serving import Server, stop_on_signals
from benchtrail.config import Config, load_config
from benchtrail.services.dealers import all_dealers
from benchtrail.services.erasure import apply_retention
from benchtrail.services.links import qr_terminal
from benchtrail.services.photos import take_up_photos
from benchtrail.services.ports import Ports
from benchtrail.services.set_up import set_up_code, set_up_needed
from benchtrail.services.uploads import tidy_uploads

ERASE_EVERY_S = 3600

port_option = click.option("--port", type=click.IntRange(0, 65534), default=8420, show_default=True)
lan_option = click.option("--lan", is_flag=True, help="Serve the workshop's network over https, with a certificate of "
                          "this computer's own; phones keep an app for use without signal only then.")


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="0.0.0.0 to be reached from other devices.")
@port_option
@lan_option
@home_option
def serve(host: str, port: int, lan: bool, home: Path | None) -> None:
    """Serve the API, the phone app and the desk until stopped."""
    config = load_config(home=home)
    app = create_app(config)
    run(app, config, "0.0.0.0" if lan and host == "127.0.0.1" else host, port, lan, lambda address: None)
    click.echo("Stopped.")


def run(app: Flask, config: Config, host: str, port: int, lan: bool, say: Callable[[str], None]) -> None:
    """Serves until stopped; `say` is told the address before the address itself is printed."""
    resume(app)
    threading.Thread(target=_erase_in_time, args=(app,), daemon=True).start()
    say = partial(_say_set_up, app, say)
    if lan:
        _run_lan(app, config, host, port, say)
        return
    server = Server(app, host, port)
    stop_on_signals(server.stop)
    if host in ("0.0.0.0", "::"):
        app.config["BENCHTRAIL_NETWORK_URL"] = f"http://{own_addresses()[0]}:{server.port}"
    here = "localhost" if host in ("0.0.0.0", "::") else host
    server.run(lambda: _announce(f"http://{here}:{server.port}", app, say))


def _run_lan(app: Flask, config: Config, host: str, port: int, say: Callable[[str], None]) -> None:
    with lan_server(app, config, host, port) as lan:
        stop_on_signals(lan.server.stop)

        def ready() -> None:
            say(lan.address)
            click.echo(f"Serving at {lan.address}\n\nLet a phone trust this computer first: {lan.trust_address}")
            click.echo(f"Compare the fingerprint there with this one:\n{lan.fingerprint}\n")
            show_code(lan.trust_address)

        lan.server.run(ready)


def _announce(address: str, app: Flask, say: Callable[[str], None]) -> None:
    say(address)
    click.echo(f"Serving at {address}")
    network = app.config.get("BENCHTRAIL_NETWORK_URL")
    if network:
        click.echo(f"From another device on this network: {network}")
        show_code(network)
        click.echo("Over plain http a phone can look at everything, but its browser keeps an app for use without\n"
                   "signal only over https or on localhost: use --lan for that, or a proxy with a certificate.")
    sys.stdout.flush()


def _say_set_up(app: Flask, say: Callable[[str], None], address: str) -> None:
    """While nobody has an account: where to make the first one, and the code that proves whoever reads this screen."""
    say(address)
    with app.app_context():
        ports: Ports = app.extensions["benchtrail"]
        if set_up_needed(ports):
            click.echo(f"Nobody has an account yet. Set the server up at {address}/desk with the code {set_up_code(ports)}")


def show_code(address: str) -> None:
    """The address as a QR code, on a terminal."""
    if sys.stdout.isatty():
        click.echo(qr_terminal(address))
    sys.stdout.flush()


def _erase_in_time(app: Flask) -> None:
    """While the server runs: every hour, what is kept no longer goes. What fails is tried again an hour later."""
    ports: Ports = app.extensions["benchtrail"]
    while True:
        time.sleep(ERASE_EVERY_S)
        try:
            with app.app_context():
                apply_retention(ports)
        except Exception:
            app.logger.exception("what is kept no longer could not be erased; it is tried again in an hour")


def resume(app: Flask) -> None:
    """Takes up what an earlier stop left, and forgets uploads that nobody goes on with; erases what is kept no longer."""
    ports: Ports = app.extensions["benchtrail"]
    with app.app_context():
        take_up_photos(ports)
        apply_retention(ports)
        for dealer in all_dealers(ports):
            tidy_uploads(ports, dealer.slug)
