"""Takes TLS connections and passes their bytes to the server on this computer. Knows bytes; no HTTP.

The server sees connections from this computer; `client_of` tells it by their port who is behind each, so that slowing
down guessing by address still works.
"""

import asyncio
import contextlib
import ssl
import threading
from collections.abc import Callable
from typing import Any

from benchtrail.domain.refused import Refused

PIECE = 64 * 1024
Wsgi = Callable[[dict[str, Any], Any], Any]


class TlsRelay:
    """Listens with TLS in a thread of its own."""

    def __init__(self, host: str, port: int, target_port: int, context: ssl.SSLContext) -> None:
        self._place, self._target, self._context = (host, port), target_port, context
        self._clients: dict[int, str] = {}
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, name="tls", daemon=True)
        self.port = port

    def start(self) -> None:
        """Listens from now on. Raises Refused("port_not_free")."""
        self._thread.start()
        try:
            asyncio.run_coroutine_threadsafe(self._listen(), self._loop).result(timeout=10)
        except OSError as error:
            host, port = self._place
            raise Refused("port_not_free", host=host, port=port, reason=str(error)) from error

    async def _listen(self) -> None:
        self._loop.set_exception_handler(lambda loop, context: None)  # a phone that does not trust us yet hangs up
        self._server = await asyncio.start_server(self._serve, *self._place, ssl=self._context)
        self.port = self._server.sockets[0].getsockname()[1]

    def stop(self) -> None:
        """Takes no new connections and lets go of those that are open."""
        asyncio.run_coroutine_threadsafe(self._close(), self._loop).result(timeout=10)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(timeout=10)
        self._loop.close()

    async def _close(self) -> None:
        self._server.close()
        mine = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
        for task in mine:
            task.cancel()
        await asyncio.gather(*mine, return_exceptions=True)

    def client_of(self, port: int) -> str | None:
        """The address behind a connection that reached the server from this port of ours."""
        return self._clients.get(port)

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        own_port = 0
        try:
            inner_reader, inner_writer = await asyncio.open_connection("127.0.0.1", self._target)
            own_port = inner_writer.get_extra_info("sockname")[1]
            self._clients[own_port] = str(writer.get_extra_info("peername")[0])
            await asyncio.gather(_pump(reader, inner_writer), _pump(inner_reader, writer))
        except (OSError, asyncio.CancelledError):
            pass  # either side hung up; both ends are let go below
        finally:
            self._clients.pop(own_port, None)
            writer.close()


async def _pump(source: asyncio.StreamReader, target: asyncio.StreamWriter) -> None:
    try:
        while piece := await source.read(PIECE):
            target.write(piece)
            await target.drain()
    finally:
        with contextlib.suppress(OSError):
            target.close()


def with_clients(app: Wsgi, relay: TlsRelay) -> Wsgi:
    """The app, told who is behind each relayed connection."""

    def relayed(environ: dict[str, Any], start_response: Any) -> Any:
        client = relay.client_of(int(environ.get("REMOTE_PORT") or 0))
        if client:
            environ["REMOTE_ADDR"] = client
        return app(environ, start_response)

    return relayed
