"""Serves the app with waitress until it is told to stop. Knows sockets and signals; nothing of the app.

A stop is graceful: no new connections, what was begun is finished (at most ten seconds), then the end.
"""

import logging
import signal
import socket
import threading
import time
from collections.abc import Callable
from types import FrameType
from typing import Any

from flask import Flask
from waitress import create_server, wasyncore  # type: ignore[import-untyped]
from waitress.channel import HTTPChannel  # type: ignore[import-untyped]

from benchtrail.domain.refused import Refused

THREADS = 8
GRACE_S = 10.0
BODY_BYTES = 16 * 1024 * 1024


class Server:
    """One listening server; `stop` may be called from any thread or a signal handler."""

    def __init__(self, app: Flask, host: str, port: int, https: bool = False) -> None:
        # Requests that wait for a thread are no fault; waitress would report each.
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)
        self._channels: dict[int, Any] = {}
        self._stopping = threading.Event()
        self._socket = _listening(host, port)
        self._server = create_server(
            app, map=self._channels, sockets=[self._socket], threads=THREADS, ident=None, channel_timeout=120,
            clear_untrusted_proxy_headers=False,  # the app itself knows how many proxies to believe
            max_request_body_size=BODY_BYTES, url_scheme="https" if https else "http",
        )

    @property
    def port(self) -> int:
        """The port that is listened at, also when 0 was asked for."""
        return int(self._socket.getsockname()[1])

    def run(self, ready: Callable[[], None] = lambda: None) -> None:
        """Serves until stopped."""
        ready()
        while not self._stopping.is_set():
            wasyncore.loop(timeout=0.5, map=self._channels, count=1)
        self._finish()

    def stop(self) -> None:
        """Asks the server to stop; `run` returns when what was begun is finished."""
        self._stopping.set()

    def _finish(self) -> None:
        for channel in list(self._channels.values()):
            if getattr(channel, "accepting", False):
                # The server's own close would also close the trigger that answers under way still need.
                wasyncore.dispatcher.close(channel)
        end = time.monotonic() + GRACE_S
        while time.monotonic() < end and any(_busy(channel) for channel in list(self._channels.values())):
            wasyncore.loop(timeout=0.05, map=self._channels, count=1)
        self._server.task_dispatcher.shutdown(cancel_pending=True, timeout=1)
        wasyncore.close_all(self._channels)


def _listening(host: str, port: int) -> socket.socket:
    """A socket that listens; made here because waitress leaves one open when it cannot."""
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        family, _, _, _, address = min(found, key=lambda one: one[0] != socket.AF_INET)
        return socket.create_server((str(address[0]), port), family=family, backlog=1024)
    except (OSError, OverflowError) as error:
        raise Refused("port_not_free", host=host, port=port, reason=str(error)) from error


def _busy(channel: Any) -> bool:
    return isinstance(channel, HTTPChannel) and bool(channel.requests or channel.total_outbufs_len)


def stop_on_signals(stop: Callable[[], None]) -> None:
    """SIGTERM and SIGINT stop gracefully; a second one ends at once."""

    def handle(number: int, _frame: FrameType | None) -> None:
        signal.signal(number, signal.SIG_DFL)
        stop()

    for name in ("SIGTERM", "SIGINT"):
        signal.signal(getattr(signal, name), handle)
