"""A way to a server that breaks: a TCP proxy that cuts a connection at a given byte of the request or of the answer."""

from __future__ import annotations

import contextlib
import socket
import struct
import threading
from dataclasses import dataclass

PIECE = 16 * 1024
RESET = struct.pack("ii", 1, 0)  # linger of zero seconds: closing sends a reset instead of an end


@dataclass
class Cut:
    """After so many bytes of one direction; `reset` instead of an orderly end."""

    request_at: int | None = None
    answer_at: int | None = None
    reset: bool = True


class CuttingProxy:
    """Passes everything on to `port`; each new connection meets the next cut of `cuts`, or none when the list is empty."""

    def __init__(self, port: int) -> None:
        self._to = port
        self.cuts: list[Cut | None] = []
        self.met = 0
        self.request_bytes = 0
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listening.getsockname()[1])
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            cut = self.cuts.pop(0) if self.cuts else None
            threading.Thread(target=self._pass_on, args=(near, cut or Cut()), daemon=True).start()

    def _pass_on(self, near: socket.socket, cut: Cut) -> None:
        try:
            far = socket.create_connection(("127.0.0.1", self._to), timeout=30)
        except OSError:
            near.close()
            return
        over = threading.Event()
        back = threading.Thread(target=self._copy, args=(far, near, cut.answer_at, cut, over, False), daemon=True)
        back.start()
        self._copy(near, far, cut.request_at, cut, over, True)
        back.join(timeout=30)
        for one in (near, far):
            one.close()

    def _copy(self, source: socket.socket, target: socket.socket, limit: int | None, cut: Cut, over: threading.Event, asking: bool) -> None:
        passed = 0
        while not over.is_set():
            try:
                data = source.recv(PIECE)
            except OSError:
                break
            if asking:
                self.request_bytes += len(data)
            if limit is not None and passed + len(data) >= limit:
                with contextlib.suppress(OSError):
                    target.sendall(data[: limit - passed])
                self.met += 1
                over.set()
                for one in (source, target):
                    with contextlib.suppress(OSError):
                        if cut.reset:
                            one.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
                        one.shutdown(socket.SHUT_RDWR)
                return
            passed += len(data)
            if not data:
                with contextlib.suppress(OSError):
                    target.shutdown(socket.SHUT_WR)
                return
            try:
                target.sendall(data)
            except OSError:
                break

    def close(self) -> None:
        self._listening.close()
