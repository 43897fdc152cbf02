"""Random tokens and the keyed hashes under which they are kept. Knows no database: what is kept can open nothing."""

import hashlib
import hmac
import secrets

# No 0 O 1 I L U V: they are mistaken for one another on a smeared screen. 29 characters, 8 of them: 5·10¹¹ codes.
CODE_ALPHABET = "23456789ABCDEFGHJKMNPQRSTWXYZ"
CODE_LENGTH = 8


def new_token() -> str:
    """256 random bits as text for a cookie."""
    return secrets.token_urlsafe(32)


def new_code() -> str:
    """An enrolment code of eight characters that can be told apart and typed."""
    return "".join(secrets.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))


def tidy_code(typed: str) -> str:
    """The code as it was made, from what was typed: any case, spaces or hyphens between."""
    return "".join(typed.upper().replace("-", " ").split())


def keyed_hash(secret: bytes, purpose: str, token: str) -> str:
    """HMAC-SHA-256 of the token under the server's secret and a purpose, as hex. Source: RFC 2104."""
    return hmac.new(secret, f"{purpose}\n{token}".encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()
