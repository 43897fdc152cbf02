"""Serving the workshop's network: TLS in front, the page about trust beside it, and the true address behind it."""

import json
import ssl
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask, Response, request
from tests.faults.serving import environment, free_port, prepared_home

from benchtrail.cli.lan import own_addresses
from benchtrail.cli.serving import Server
from benchtrail.cli.tls_relay import TlsRelay, with_clients
from benchtrail.storage.lan_certificates import LanCertificates

BIG = b"0123456789abcdef" * 65_536


@pytest.fixture
def echo(tmp_path: Path) -> Iterator[tuple[int, ssl.SSLContext]]:
    """A small application behind the relay, which tells who asks and gives back what it got."""
    app = Flask("echo")

    @app.post("/")
    def answer() -> Response:
        facts = {"X-Client": str(request.remote_addr), "X-Scheme": request.scheme}
        return Response(request.get_data(), headers=facts)

    made = LanCertificates(tmp_path).for_addresses(["127.0.0.1"], "bench.local")
    server = Server(app, "127.0.0.1", 0, https=True)
    relay = TlsRelay("127.0.0.1", 0, server.port, made.context)
    app.wsgi_app = with_clients(app.wsgi_app, relay)  # type: ignore[method-assign, assignment]
    relay.start()
    thread = threading.Thread(target=server.run)
    thread.start()
    yield relay.port, ssl.create_default_context(cadata=ssl.DER_cert_to_PEM_cert(made.authority))
    relay.stop()
    server.stop()
    thread.join(timeout=15)


def ask(port: int, context: ssl.SSLContext, body: bytes) -> tuple[bytes, dict[str, str]]:
    call = urllib.request.Request(f"https://127.0.0.1:{port}/", body)
    with urllib.request.urlopen(call, context=context, timeout=10) as answer:
        return answer.read(), dict(answer.headers)


def test_bytes_pass_unchanged_both_ways_and_the_app_knows_the_scheme(echo: tuple[int, ssl.SSLContext]) -> None:
    body, headers = ask(*echo, BIG)
    assert body == BIG
    assert (headers["X-Scheme"], headers["X-Client"]) == ("https", "127.0.0.1")


def test_many_at_once_get_their_own_answers(echo: tuple[int, ssl.SSLContext]) -> None:
    answers: dict[int, bytes] = {}

    def one(number: int) -> None:
        answers[number] = ask(*echo, f"{number}".encode() * 50_000)[0]

    threads = [threading.Thread(target=one, args=(number,)) for number in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == {number: f"{number}".encode() * 50_000 for number in range(12)}


def test_a_client_that_does_not_trust_and_one_that_speaks_no_tls_harm_nobody(echo: tuple[int, ssl.SSLContext]) -> None:
    port, context = echo
    with pytest.raises(OSError, match="certificate"):
        ask(port, ssl.create_default_context(), b"x")
    with pytest.raises(OSError, match=r".*"):
        urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5)
    assert ask(port, context, b"still there")[0] == b"still there"


def test_the_relay_knows_who_is_behind_each_port() -> None:
    relay = TlsRelay.__new__(TlsRelay)
    relay._clients = {41000: "192.168.7.33"}
    seen = {}

    def app(environ: dict[str, str], start: object) -> list[bytes]:
        seen.update(environ)
        return []

    with_clients(app, relay)({"REMOTE_ADDR": "127.0.0.1", "REMOTE_PORT": "41000"}, None)
    assert seen["REMOTE_ADDR"] == "192.168.7.33"
    with_clients(app, relay)({"REMOTE_ADDR": "127.0.0.1", "REMOTE_PORT": "41001"}, None)
    assert seen["REMOTE_ADDR"] == "127.0.0.1"


def test_serve_lan_as_a_process(tmp_path: Path) -> None:
    home, port = prepared_home(tmp_path / "home"), free_port()
    command = [sys.executable, "-m", "benchtrail", "serve", "--lan", "--port", str(port)]
    process = subprocess.Popen(command, env=environment(home), stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        said = ""
        while "fingerprint" not in said:
            line = process.stdout.readline()
            assert line, "it ended by itself"
            said += line
        fingerprint = process.stdout.readline().strip()
        page = _read(f"http://127.0.0.1:{port + 1}/trust")
        assert fingerprint in page
        with urllib.request.urlopen(f"http://127.0.0.1:{port + 1}/trust/benchtrail-workshop.crt", timeout=5) as answer:
            der = answer.read()
        context = ssl.create_default_context(cadata=ssl.DER_cert_to_PEM_cert(der))
        with urllib.request.urlopen(f"https://127.0.0.1:{port}/healthz", context=context, timeout=5) as answer:
            assert json.loads(answer.read())["status"] == "ok"
            assert answer.headers["Strict-Transport-Security"]
        address = next(one for one in own_addresses() if LanCertificates.may_name(one))
        assert f"https://{address}:{port}" in page
    finally:
        process.terminate()
        process.communicate(timeout=20)
        assert process.returncode == 0


def _read(address: str) -> str:
    for _ in range(50):
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"no answer from {address}")
