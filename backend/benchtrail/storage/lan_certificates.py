"""A certificate authority of this computer's own, for phones in the workshop's network. Knows certificates, no sockets.

It can sign for nothing but private addresses and this computer's own name (RFC 5280, section 4.2.1.10, name
constraints): whoever trusts it does not trust it for anything on the public network.
"""

import hashlib
import ipaddress
import ssl
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from benchtrail.config import write_private

PRIVATE_NETWORKS = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "100.64.0.0/10", "169.254.0.0/16",
                    "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128")
AUTHORITY_LIFE = timedelta(days=3650)
# Phones take no certificate of a server that is good for more than 825 days; a year leaves room.
SERVER_LIFE, RENEW_BEFORE = timedelta(days=365), timedelta(days=30)
Key = ec.EllipticCurvePrivateKey


@dataclass(frozen=True)
class LanCertificate:
    """What a server needs, and what a phone must be given: the authority's certificate and its fingerprint."""

    context: ssl.SSLContext
    authority: bytes
    fingerprint: str


class LanCertificates:
    """Keys and certificates under `<home>/lan`."""

    def __init__(self, home: Path) -> None:
        self._folder = home / "lan"

    @staticmethod
    def may_name(address: str) -> bool:
        """True for an address of a private network, which is all that the authority can vouch for."""
        place = ipaddress.ip_address(address)
        return any(place in ipaddress.ip_network(one) for one in PRIVATE_NETWORKS)

    def for_addresses(self, addresses: list[str], name: str, now: datetime | None = None) -> LanCertificate:
        """A certificate for these addresses and this name; made anew when it nears its end or they changed."""
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        moment = now or datetime.now(UTC)
        key, authority = self._authority(name, moment)
        if not self._is_good(authority, addresses, moment):
            self._make_server(key, authority, addresses, name, moment)
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.minimum_version = ssl.TLSVersion.TLSv1_2
        context.load_cert_chain(self._folder / "server.crt", self._folder / "server.key")
        der = authority.public_bytes(Encoding.DER)
        digest = hashlib.sha256(der).hexdigest().upper()
        return LanCertificate(context, der, ":".join(digest[n : n + 2] for n in range(0, 64, 2)))

    def _authority(self, name: str, now: datetime) -> tuple[Key, x509.Certificate]:
        key_path, path = self._folder / "authority.key", self._folder / "authority.crt"
        if not path.exists():
            key_path.unlink(missing_ok=True)
            key = ec.generate_private_key(ec.SECP256R1())
            made = _authority(key, name, now)
            _write_key(key_path, key)
            path.write_bytes(made.public_bytes(Encoding.PEM))
        return _read_key(key_path), x509.load_pem_x509_certificate(path.read_bytes())

    def _is_good(self, authority: x509.Certificate, addresses: list[str], now: datetime) -> bool:
        path = self._folder / "server.crt"
        if not path.exists() or not (self._folder / "server.key").exists():
            return False
        found = x509.load_pem_x509_certificate(path.read_bytes())
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        held = {str(one) for one in names.get_values_for_type(x509.IPAddress)}
        young = found.not_valid_before_utc <= now < found.not_valid_after_utc - RENEW_BEFORE
        return young and set(addresses) <= held and found.issuer == authority.subject

    def _make_server(self, key: Key, authority: x509.Certificate, addresses: list[str], name: str, now: datetime) -> None:
        own = ec.generate_private_key(ec.SECP256R1())
        made = _server(key, authority, own, addresses, name, now)
        key_path = self._folder / "server.key"
        key_path.unlink(missing_ok=True)
        _write_key(key_path, own)
        (self._folder / "server.crt").write_bytes(made.public_bytes(Encoding.PEM))


def _builder(subject: x509.Name, issuer: x509.Name, key: Key, start: datetime, life: timedelta) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key.public_key())
        .serial_number(x509.random_serial_number()).not_valid_before(start - timedelta(hours=1)).not_valid_after(start + life)
    )


def _authority(key: Key, name: str, now: datetime) -> x509.Certificate:
    subject = _name(f"Benchtrail workshop network, {name}")
    allowed: list[x509.GeneralName] = [x509.IPAddress(ipaddress.ip_network(one)) for one in PRIVATE_NETWORKS]
    allowed += [x509.DNSName("localhost"), x509.DNSName(name)]
    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    return (
        _builder(subject, subject, key, now, AUTHORITY_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(allowed, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, SHA256())
    )


def _server(
    key: Key, authority: x509.Certificate, own: Key, addresses: list[str], name: str, now: datetime
) -> x509.Certificate:
    names: list[x509.GeneralName] = [x509.IPAddress(ipaddress.ip_address(one)) for one in addresses]
    names += [x509.DNSName("localhost"), x509.DNSName(name)]
    usage = x509.KeyUsage(True, False, False, False, False, False, False, False, False)
    return (
        _builder(_name(name), authority.subject, own, now, SERVER_LIFE)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False)
        .sign(key, SHA256())
    )


def _name(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words[:64])])


def _write_key(path: Path, key: Key) -> None:
    write_private(path, key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))


def _read_key(path: Path) -> Key:
    key = load_pem_private_key(path.read_bytes(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    return key
