"""Signing keys in files: ECDSA P-256 with SHA-256. Knows keys; nothing of what is signed.

Signatures are r‖s, 32 bytes each (RFC 7518, section 3.4), as WebCrypto takes them; `kid` is the key's thumbprint
(RFC 7638).
"""

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from benchtrail.config import write_private
from benchtrail.domain.refused import Refused

HALF = 32


class P256Signer:
    """Signs with one private key."""

    def __init__(self, key: ec.EllipticCurvePrivateKey) -> None:
        self._key = key
        self.jwk = _jwk(key.public_key())
        self.kid = thumbprint(self.jwk)

    def sign(self, content: bytes) -> str:
        r, s = decode_dss_signature(self._key.sign(content, ec.ECDSA(SHA256())))
        return base64url(r.to_bytes(HALF, "big") + s.to_bytes(HALF, "big"))


class KeyFiles:
    """Keys at a path in which `{dealer}` stands for the dealer's slug."""

    def __init__(self, pattern: str) -> None:
        self._pattern = pattern

    def make(self, dealer: str) -> P256Signer:
        path = self._path(dealer)
        if not path.exists():
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            key = ec.generate_private_key(ec.SECP256R1())
            write_private(path, key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
        return self.get(dealer)

    def get(self, dealer: str) -> P256Signer:
        path = self._path(dealer)
        try:
            key = load_pem_private_key(path.read_bytes(), None)
        except FileNotFoundError as error:
            raise Refused("signing_key_missing", path=str(path), dealer=dealer) from error
        except (ValueError, TypeError) as error:
            raise Refused("signing_key_unreadable", path=str(path)) from error
        if not isinstance(key, ec.EllipticCurvePrivateKey) or not isinstance(key.curve, ec.SECP256R1):
            raise Refused("signing_key_unreadable", path=str(path))
        return P256Signer(key)

    def verifies(self, jwk: dict[str, Any], content: bytes, signature: str) -> bool:
        return verifies(jwk, content, signature)

    def thumbprint(self, jwk: dict[str, Any]) -> str:
        return thumbprint(jwk)

    def _path(self, dealer: str) -> Path:
        return Path(self._pattern.replace("{dealer}", dealer))


def verifies(jwk: dict[str, Any], content: bytes, signature: str) -> bool:
    """True if `signature` (base64url, r‖s) over `content` was made with the key."""
    raw = _from_base64url(signature)
    if len(raw) != 2 * HALF:
        return False
    numbers = ec.EllipticCurvePublicNumbers(_number(jwk["x"]), _number(jwk["y"]), ec.SECP256R1())
    der = encode_dss_signature(int.from_bytes(raw[:HALF], "big"), int.from_bytes(raw[HALF:], "big"))
    try:
        numbers.public_key().verify(der, content, ec.ECDSA(SHA256()))
    except (InvalidSignature, ValueError):
        return False
    return True


def thumbprint(jwk: dict[str, Any]) -> str:
    """RFC 7638: SHA-256 over the required members in lexicographic order, base64url."""
    required = {name: jwk[name] for name in ("crv", "kty", "x", "y")}
    return base64url(hashlib.sha256(json.dumps(required, separators=(",", ":"), sort_keys=True).encode()).digest())


def base64url(content: bytes) -> str:
    """Base64url without padding (RFC 7515, section 2)."""
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


def _from_base64url(text: str) -> bytes:
    try:
        return base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
    except ValueError:
        return b""


def _number(text: str) -> int:
    return int.from_bytes(_from_base64url(text), "big")


def _jwk(key: ec.EllipticCurvePublicKey) -> dict[str, Any]:
    numbers = key.public_numbers()
    x, y = (base64url(number.to_bytes(HALF, "big")) for number in (numbers.x, numbers.y))
    return {"kty": "EC", "crv": "P-256", "x": x, "y": y}
