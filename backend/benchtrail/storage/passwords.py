"""Password hashes with Argon2id. Knows the hashing; nothing of accounts."""

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError


class Argon2Passwords:
    """Argon2id with the library's defaults (RFC 9106, low-memory profile); `lighter` is for tests, where hundreds
    of sign-ins must not take minutes."""

    def __init__(self, lighter: bool = False) -> None:
        self._hasher = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1) if lighter else PasswordHasher()

    def hash(self, password: str) -> str:
        return self._hasher.hash(password)

    def matches(self, password_hash: str, password: str) -> bool:
        try:
            return self._hasher.verify(password_hash, password)
        except (VerificationError, InvalidHashError):
            return False
