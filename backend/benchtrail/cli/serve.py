"""`benchtrail serve`: the API, the phone app and the desk."""

from pathlib import Path

import click
from flask import Flask

from benchtrail.app import create_app
from benchtrail.cli.home import home_option
from benchtrail.cli.serving import Server, stop_on_signals
from benchtrail.config import load_config
from benchtrail.services.dealers import all_dealers
from benchtrail.services.photos import take_up_photos
from benchtrail.services.ports import Ports
from benchtrail.services.uploads import tidy_uploads

port_option = click.option("--port", type=click.IntRange(0, 65535), default=8420, show_default=True)


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="0.0.0.0 to be reached from other devices.")
@port_option
@home_option
def serve(host: str, port: int, home: Path | None) -> None:
    """Serve the API, the phone app and the desk until stopped."""
    app = create_app(load_config(home=home))
    resume(app)
    server = Server(app, host, port)
    stop_on_signals(server.stop)
    server.run(lambda: click.echo(f"Serving at http://{host}:{server.port}"))
    click.echo("Stopped.")


def resume(app: Flask) -> None:
    """Takes up what an earlier stop left, and forgets uploads that nobody goes on with."""
    ports: Ports = app.extensions["benchtrail"]
    with app.app_context():
        take_up_photos(ports)
        for dealer in all_dealers(ports):
            tidy_uploads(ports, dealer.slug)
