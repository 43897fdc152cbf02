"""Signatures and keys, held against published examples."""

import base64
import hashlib
import os
import stat
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

from benchtrail.domain.refused import Refused
from benchtrail.storage.signing import KeyFiles, P256Signer, thumbprint, verifies

# RFC 7515, appendix A.3: key, signing input and signature of a JWS with ES256.
RFC7515_KEY = {"kty": "EC", "crv": "P-256", "x": "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU",
               "y": "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"}
RFC7515_PRIVATE = "jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI"
RFC7515_INPUT = (b"eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQog"
                 b"Imh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ")
RFC7515_SIGNATURE = ("DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSA"
                     "pmWQxfKTUJqPP3-Kg6NU1Q")


def number(text: str) -> int:
    return int.from_bytes(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)), "big")


def test_the_signature_of_rfc_7515_verifies_and_no_changed_one_does() -> None:
    assert verifies(RFC7515_KEY, RFC7515_INPUT, RFC7515_SIGNATURE)
    assert not verifies(RFC7515_KEY, RFC7515_INPUT + b"x", RFC7515_SIGNATURE)
    assert not verifies(RFC7515_KEY, RFC7515_INPUT, "E" + RFC7515_SIGNATURE[1:])
    for broken in ("", "AAAA", "not base64!", RFC7515_SIGNATURE + "AA"):
        assert not verifies(RFC7515_KEY, RFC7515_INPUT, broken)


def test_our_signature_with_the_key_of_rfc_7515_verifies_with_its_public_half() -> None:
    signer = P256Signer(ec.derive_private_key(number(RFC7515_PRIVATE), ec.SECP256R1()))
    assert signer.jwk == RFC7515_KEY
    signature = signer.sign(RFC7515_INPUT)
    assert len(base64.urlsafe_b64decode(signature + "==")) == 64
    assert verifies(RFC7515_KEY, RFC7515_INPUT, signature)


def test_every_signature_has_64_bytes_also_when_a_half_begins_with_zeros() -> None:
    signer = P256Signer(ec.generate_private_key(ec.SECP256R1()))
    for number_of_try in range(300):
        signature = signer.sign(str(number_of_try).encode())
        assert len(base64.urlsafe_b64decode(signature + "==")) == 64


def test_the_thumbprint_is_that_of_rfc_7638_for_an_elliptic_key() -> None:
    """Members and their order: RFC 7638, section 3.2. The text is written out here, not made by the code."""
    text = ('{"crv":"P-256","kty":"EC","x":"f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU",'
            '"y":"x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"}')
    expected = base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()
    assert thumbprint(RFC7515_KEY | {"alg": "ES256", "use": "sig"}) == expected


def test_a_key_is_made_once_and_only_its_owner_may_read_it(tmp_path: Path) -> None:
    keys = KeyFiles(str(tmp_path / "keys" / "{dealer}.pem"))
    first = keys.make("withen")
    assert keys.make("withen").kid == keys.get("withen").kid == first.kid
    assert keys.make("other").kid != first.kid
    if os.name != "nt":
        assert stat.S_IMODE((tmp_path / "keys" / "withen.pem").stat().st_mode) == 0o600


def test_a_missing_or_unusable_key_is_refused(tmp_path: Path) -> None:
    keys = KeyFiles(str(tmp_path / "{dealer}.pem"))
    with pytest.raises(Refused, match="signing_key_missing"):
        keys.get("withen")
    wrong = [b"not a key", b""]
    for made in (rsa.generate_private_key(65537, 2048), ec.generate_private_key(ec.SECP384R1())):
        wrong.append(made.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    for content in wrong:
        (tmp_path / "withen.pem").write_bytes(content)
        with pytest.raises(Refused, match="signing_key_unreadable"):
            keys.get("withen")
