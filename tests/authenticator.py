"""An authenticator in software: makes real passkeys and real answers, as W3C Web Authentication, sections 6.1 and 6.5, lay them out."""

import base64
import hashlib
import json
import os
from dataclasses import dataclass, field
from typing import Any

import cbor2
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec

PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40


def base64url(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


@dataclass
class Authenticator:
    """Holds one key for one site."""

    site: str = "desk.example.org"
    origin: str = "https://desk.example.org"
    key: ec.EllipticCurvePrivateKey = field(default_factory=lambda: ec.generate_private_key(ec.SECP256R1()))
    id: bytes = field(default_factory=lambda: os.urandom(32))
    count: int = 0
    flags: int = PRESENT | VERIFIED

    def make(self, options: dict[str, Any]) -> dict[str, Any]:
        """The answer to the options of an adding."""
        numbers = self.key.public_key().public_numbers()
        cose = cbor2.dumps({1: 2, 3: -7, -1: 1, -2: numbers.x.to_bytes(32, "big"), -3: numbers.y.to_bytes(32, "big")})
        attested = bytes(16) + len(self.id).to_bytes(2, "big") + self.id + cose
        made = cbor2.dumps({"fmt": "none", "attStmt": {}, "authData": self._data(self.flags | ATTESTED) + attested})
        return self._answer({"clientDataJSON": base64url(self._client("webauthn.create", options)), "attestationObject": base64url(made)})

    def sign(self, options: dict[str, Any]) -> dict[str, Any]:
        """The answer to the options of a sign-in."""
        self.count += 1
        data, client = self._data(self.flags), self._client("webauthn.get", options)
        signature = self.key.sign(data + hashlib.sha256(client).digest(), ec.ECDSA(hashes.SHA256()))
        return self._answer({"clientDataJSON": base64url(client), "authenticatorData": base64url(data), "signature": base64url(signature)})

    def _data(self, flags: int) -> bytes:
        return hashlib.sha256(self.site.encode()).digest() + bytes([flags]) + self.count.to_bytes(4, "big")

    def _client(self, kind: str, options: dict[str, Any]) -> bytes:
        return json.dumps({"type": kind, "challenge": options["challenge"], "origin": self.origin, "crossOrigin": False}).encode()

    def _answer(self, response: dict[str, str]) -> dict[str, Any]:
        return {"id": base64url(self.id), "rawId": base64url(self.id), "type": "public-key", "response": response}
