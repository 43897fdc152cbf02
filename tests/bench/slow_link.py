"""An emulated link: a TCP proxy with a rate and a delay in each direction. Knows bytes and time; nothing of what passes.

All connections share the link, as they would on a phone. What waits in the proxy is kept below a quarter of a second, so that the
sender feels the link and not a buffer.
"""

from __future__ import annotations

import contextlib
import queue
import socket
import threading
import time

PIECE = 4 * 1024
LONGEST_QUEUE_S = 0.25
BUFFER = 16 * 1024


class Line:
    """One direction: bytes leave one after another at the rate. `passed` counts them."""

    def __init__(self, bits_per_s: float) -> None:
        self._rate = bits_per_s / 8
        self._free = 0.0
        self._guard = threading.Lock()
        self.passed = 0
        self.slow = False

    def send(self, size: int) -> float:
        """When the last of these bytes is through; waits while too much is on its way already."""
        with self._guard:
            self.passed += size
            if not self.slow:
                return time.monotonic()
            wait = self._free - time.monotonic() - LONGEST_QUEUE_S
            if wait > 0:
                time.sleep(wait)
            self._free = max(time.monotonic(), self._free) + size / self._rate
            return self._free


class SlowLink:
    """Passes on to `to`, fast until `slow` is called."""

    def __init__(self, to: int, kbit_per_s: float, round_trip_ms: float) -> None:
        self._to, self._delay = to, round_trip_ms / 2000
        self.up, self.down = Line(kbit_per_s * 1000), Line(kbit_per_s * 1000)
        self._listening = socket.socket()
        self._listening.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, BUFFER)
        self._listening.bind(("127.0.0.1", 0))
        self._listening.listen(64)
        self.port = int(self._listening.getsockname()[1])
        threading.Thread(target=self._accept, daemon=True).start()

    def slow(self) -> None:
        self.up.slow = self.down.slow = True
        self.up.passed = self.down.passed = 0

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            far = socket.create_connection(("127.0.0.1", self._to))
            for source, target, line in ((near, far, self.up), (far, near, self.down)):
                for one in (near, far):
                    one.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                waiting: queue.SimpleQueue[tuple[float, bytes]] = queue.SimpleQueue()
                threading.Thread(target=self._take, args=(source, line, waiting), daemon=True).start()
                threading.Thread(target=self._give, args=(target, line, waiting), daemon=True).start()

    def _take(self, source: socket.socket, line: Line, waiting: queue.SimpleQueue[tuple[float, bytes]]) -> None:
        data = b"x"
        while data:
            try:
                data = source.recv(PIECE)
            except OSError:
                data = b""
            waiting.put((line.send(len(data)) if data else time.monotonic(), data))

    def _give(self, target: socket.socket, line: Line, waiting: queue.SimpleQueue[tuple[float, bytes]]) -> None:
        while True:
            through, data = waiting.get()
            due = through + (self._delay if line.slow else 0)
            time.sleep(max(0.0, due - time.monotonic()))
            with contextlib.suppress(OSError):
                if not data:
                    target.shutdown(socket.SHUT_WR)
                    return
                target.sendall(data)

    def close(self) -> None:
        self._listening.close()
