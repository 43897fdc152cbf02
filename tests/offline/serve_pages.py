"""Serves an installation with pages from another folder than the packaged ones: `serve_pages.py HOME WEB PORT [later]`.

A process of its own, so that a test can kill it. `later`: photos are looked into in the background, as `benchtrail serve` does.
"""

import sys
from dataclasses import replace
from pathlib import Path

from benchtrail.app import create_app
from benchtrail.cli.serving import Server, stop_on_signals
from benchtrail.config import load_config

home, web, port = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
config = replace(load_config(environment={}, home=home), web=web, photos_at_once="later" not in sys.argv)
server = Server(create_app(config), "127.0.0.1", port)
stop_on_signals(server.stop)
server.run(lambda: print(server.port, flush=True))
