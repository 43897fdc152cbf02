"""Serving a workshop's network over TLS: certificate, relay, and the page that tells how to trust it."""

import ipaddress
import socket
import threading
from dataclasses import dataclass
from types import TracebackType

from flask import Flask

from benchtrail.app import create_trust_app
from benchtrail.cli.serving import Server
from benchtrail.cli.tls_relay import TlsRelay, with_clients
from benchtrail.config import Config
from benchtrail.wiring import lan_certificates


def own_addresses() -> list[str]:
    """This computer's addresses, the one that leads outward first, its own loopback last."""
    found = [one for one in dict.fromkeys([_outward(), *_by_name()]) if one]
    return [*(one for one in found if not ipaddress.ip_address(one).is_loopback), "127.0.0.1"]


def own_name() -> str:
    """This computer's name as others in its network may call it."""
    short = socket.gethostname().partition(".")[0].lower()
    return f"{short}.local" if short and short.isascii() else "localhost"


@dataclass
class LanServer:
    """The app over TLS at `port`, and the page about trust without TLS at the port after it."""

    server: Server
    trust: Server
    relay: TlsRelay
    address: str
    trust_address: str
    fingerprint: str

    def __enter__(self) -> "LanServer":
        self._thread = threading.Thread(target=self.trust.run, name="trust", daemon=True)
        self._thread.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.relay.stop()
        self.trust.stop()
        self._thread.join(timeout=15)


def lan_server(app: Flask, config: Config, host: str, port: int) -> LanServer:
    """Everything listening, not yet serving. Raises Refused("port_not_free")."""
    certificates = lan_certificates(config)
    addresses = [one for one in own_addresses() if certificates.may_name(one)]
    made = certificates.for_addresses(addresses, own_name())
    inner = Server(app, "127.0.0.1", 0, https=True)
    relay = TlsRelay(host, port, inner.port, made.context)
    app.wsgi_app = with_clients(app.wsgi_app, relay)  # type: ignore[method-assign, assignment]
    relay.start()
    address = f"https://{addresses[0]}:{relay.port}"
    trust = Server(create_trust_app(made.authority, made.fingerprint, address), host, port + 1 if port else 0)
    app.config["BENCHTRAIL_NETWORK_URL"] = address
    return LanServer(inner, trust, relay, address, f"http://{addresses[0]}:{trust.port}/trust", made.fingerprint)


def _outward() -> str | None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737); UDP sends nothing, it looks up
            return str(probe.getsockname()[0])
        except OSError:
            return None


def _by_name() -> list[str]:
    try:
        found = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return []
    return [str(one[4][0]) for one in found]
