"""`benchtrail serve`: the API, the phone app and the desk."""

from pathlib import Path

import click

from benchtrail.app import create_app
from benchtrail.cli.home import home_option
from benchtrail.cli.serving import Server, stop_on_signals
from benchtrail.config import load_config

port_option = click.option("--port", type=click.IntRange(0, 65535), default=8420, show_default=True)


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="0.0.0.0 to be reached from other devices.")
@port_option
@home_option
def serve(host: str, port: int, home: Path | None) -> None:
    """Serve the API, the phone app and the desk until stopped."""
    server = Server(create_app(load_config(home=home)), host, port)
    stop_on_signals(server.stop)
    server.run(lambda: click.echo(f"Serving at http://{host}:{server.port}"))
    click.echo("Stopped.")
