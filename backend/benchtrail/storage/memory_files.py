"""The in-memory twins of files, signing keys and the photo decoder's place in line."""

from collections.abc import Iterator

from cryptography.hazmat.primitives.asymmetric import ec

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Room
from benchtrail.services.records import JsonObject
from benchtrail.storage.files import NAME, SLUG
from benchtrail.storage.signing import P256Signer, thumbprint, verifies

Key = tuple[str, Room, str]


class MemoryFiles:
    """Files in this process."""

    def __init__(self) -> None:
        self._content: dict[Key, bytes] = {}

    def put(self, dealer: str, room: Room, name: str, content: bytes) -> None:
        self._content[_key(dealer, room, name)] = content

    def get(self, dealer: str, room: Room, name: str) -> bytes | None:
        return self._content.get(_key(dealer, room, name))

    def size(self, dealer: str, room: Room, name: str) -> int | None:
        content = self.get(dealer, room, name)
        return None if content is None else len(content)

    def append(self, dealer: str, room: Room, name: str, offset: int, content: bytes) -> int:
        key = _key(dealer, room, name)
        self._content[key] = self._content.get(key, b"")[:offset].ljust(offset, b"\0") + content
        return offset + len(content)

    def remove(self, dealer: str, room: Room, name: str) -> None:
        self._content.pop(_key(dealer, room, name), None)

    def names(self, dealer: str, room: Room) -> Iterator[str]:
        return iter(sorted(name for one, place, name in self._content if (one, place) == (dealer, room)))

    def unfinished(self, dealer: str) -> int:
        return 0

    def clear_unfinished(self, dealer: str) -> None:
        """Nothing is ever unfinished here."""


class MemoryKeys:
    """Signing keys in this process."""

    def __init__(self) -> None:
        self._signers: dict[str, P256Signer] = {}

    def make(self, dealer: str) -> P256Signer:
        return self._signers.setdefault(dealer, P256Signer(ec.generate_private_key(ec.SECP256R1())))

    def get(self, dealer: str) -> P256Signer:
        if dealer not in self._signers:
            raise Refused("signing_key_missing", path="(in memory)", dealer=dealer)
        return self._signers[dealer]

    def verifies(self, jwk: JsonObject, content: bytes, signature: str) -> bool:
        return verifies(jwk, content, signature)

    def thumbprint(self, jwk: JsonObject) -> str:
        return thumbprint(jwk)


def _key(dealer: str, room: Room, name: str) -> Key:
    if not NAME.fullmatch(name) or not SLUG.fullmatch(dealer):
        raise ValueError(f"not a name of a kept file: {dealer!r} {name!r}")
    return dealer, room, name
