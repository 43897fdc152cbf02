"""The workshop's certificate authority: what it vouches for, and what it cannot.

The judge is OpenSSL's own verification (RFC 5280), through Python's ssl and the library cryptography.
"""

import os
import socket
import ssl
import stat
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

from benchtrail.storage.lan_certificates import LanCertificate, LanCertificates, _server

NOW = datetime.now(UTC)


def made(home: Path, addresses: list[str] | None = None, now: datetime = NOW) -> LanCertificate:
    return LanCertificates(home).for_addresses(addresses or ["192.168.7.20", "127.0.0.1"], "bench.local", now)


def shake_hands(server: ssl.SSLContext, authority: bytes, name: str) -> str:
    """Connects to a server with this context as a client that trusts the authority only; 'good' or the reason."""
    client = ssl.create_default_context(cadata=ssl.DER_cert_to_PEM_cert(authority))
    left, right = socket.socketpair()

    def answer() -> None:
        try:
            with server.wrap_socket(right, server_side=True) as connection:
                connection.recv(1)
        except OSError:
            right.close()

    thread = threading.Thread(target=answer)
    thread.start()
    try:
        with client.wrap_socket(left, server_hostname=name) as connection:
            connection.send(b"x")
        return "good"
    except ssl.SSLCertVerificationError as error:
        return error.verify_message
    finally:
        left.close()
        thread.join()


@pytest.mark.parametrize("name", ["192.168.7.20", "127.0.0.1", "bench.local", "localhost"])
def test_it_vouches_for_this_computer(tmp_path: Path, name: str) -> None:
    certificate = made(tmp_path)
    assert shake_hands(certificate.context, certificate.authority, name) == "good"


@pytest.mark.parametrize("name", ["192.168.7.21", "example.com"])
def test_it_does_not_vouch_for_others(tmp_path: Path, name: str) -> None:
    certificate = made(tmp_path)
    assert "mismatch" in shake_hands(certificate.context, certificate.authority, name)


def test_who_does_not_know_the_authority_does_not_trust_it(tmp_path: Path) -> None:
    certificate, other = made(tmp_path / "a"), made(tmp_path / "b")
    reason = shake_hands(certificate.context, other.authority, "127.0.0.1")
    assert reason in ("unable to get local issuer certificate", "certificate signature failure")


@pytest.mark.parametrize(("address", "name"), [("93.184.216.34", "bench.local"), ("127.0.0.1", "bank.example")])
def test_even_with_its_key_nothing_public_can_be_signed(tmp_path: Path, address: str, name: str) -> None:
    """The name constraints make such a certificate worthless: OpenSSL refuses it."""
    certificates = LanCertificates(tmp_path)
    trusted = certificates.for_addresses(["127.0.0.1"], "bench.local", NOW)
    key, authority = certificates._authority("bench.local", NOW)
    own = ec.generate_private_key(ec.SECP256R1())
    forged = _server(key, authority, own, [address], name, NOW)
    (tmp_path / "f.crt").write_bytes(forged.public_bytes(Encoding.PEM))
    (tmp_path / "f.key").write_bytes(own.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(tmp_path / "f.crt", tmp_path / "f.key")
    asked = address if address != "127.0.0.1" else name
    assert "permitted subtree violation" in shake_hands(server, trusted.authority, asked)


def test_it_stays_the_same_until_it_nears_its_end_or_the_addresses_change(tmp_path: Path) -> None:
    def serial() -> int:
        return x509.load_pem_x509_certificate((tmp_path / "lan" / "server.crt").read_bytes()).serial_number

    first = made(tmp_path)
    number = serial()
    assert made(tmp_path, now=NOW + timedelta(days=300)).fingerprint == first.fingerprint
    assert serial() == number
    assert made(tmp_path, now=NOW + timedelta(days=336)).fingerprint == first.fingerprint
    assert serial() != number, "renewed a month before its end, under the same authority"
    number = serial()
    made(tmp_path, ["10.0.0.5"], NOW + timedelta(days=336))
    assert serial() != number


def test_no_server_certificate_outlives_what_phones_take(tmp_path: Path) -> None:
    """At most 825 days: from memory, the limit that phones put on certificates of added authorities."""
    made(tmp_path)
    found = x509.load_pem_x509_certificate((tmp_path / "lan" / "server.crt").read_bytes())
    assert found.not_valid_after_utc - found.not_valid_before_utc < timedelta(days=825)


@pytest.mark.parametrize(("address", "may"), [
    ("192.168.0.1", True), ("10.1.2.3", True), ("172.16.0.1", True), ("172.32.0.1", False), ("100.64.0.1", True),
    ("127.0.0.1", True), ("fd00::1", True), ("8.8.8.8", False), ("192.0.2.1", False), ("2001:db8::1", False),
])
def test_only_private_addresses_may_be_named(address: str, may: bool) -> None:
    """RFC 1918, RFC 6598, RFC 4193; documentation addresses (RFC 5737, RFC 3849) are not private."""
    assert LanCertificates.may_name(address) is may


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights otherwise")
def test_the_keys_are_for_their_owner_only(tmp_path: Path) -> None:
    made(tmp_path)
    for name in ("authority.key", "server.key"):
        assert stat.S_IMODE((tmp_path / "lan" / name).stat().st_mode) == 0o600
