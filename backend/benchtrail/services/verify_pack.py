"""Is a pack file what a dealer published: its name, its form, its signature. Knows no files and no HTTP."""

import hashlib
import json
from dataclasses import dataclass

import rfc8785

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.publish import KINDS
from benchtrail.services.records import JsonObject


@dataclass(frozen=True)
class Verified:
    """A pack that is what it says: its hash, what it is, whether it is the revision in force here."""

    sha256: str
    kind: str
    id: str
    revision: int
    dealer: str
    in_force: bool | None


def verify_pack(ports: Ports, content: bytes, name: str) -> Verified:
    """Checks a pack against what this server published. `name` is the file's name without its ending.

    Raises Refused: pack_unreadable, pack_name_wrong, no_such_pack, pack_signature_wrong.
    """
    sha256, _, kind = _read(content, name)
    with ports.storage.reading() as unit:
        published = unit.packs.known(sha256)
        dealer = unit.dealers.get(published.dealer) if published else None
        newest = unit.packs.all(published.dealer) if published else []
    if published is None or dealer is None:
        raise Refused("no_such_pack", sha256=sha256)
    if not ports.signers.verifies(dealer.jwk, content, published.entry["signature"]):
        raise Refused("pack_signature_wrong", id=published.subject, revision=published.revision)
    in_force = next(one for one in newest if (one.kind, one.subject) == (kind, published.subject))
    return Verified(sha256, kind, published.subject, published.revision, dealer.slug, in_force.sha256 == sha256)


def verify_pack_with_key(ports: Ports, content: bytes, name: str, jwk: JsonObject, signature: str) -> Verified:
    """Checks a pack with a dealer's public key and the signature that its manifest names. Raises as verify_pack."""
    sha256, pack, kind = _read(content, name)
    if not ports.signers.verifies(jwk, content, signature):
        raise Refused("pack_signature_wrong", id=pack[kind], revision=pack["revision"])
    return Verified(sha256, kind, pack[kind], pack["revision"], pack["dealer"], None)


def _read(content: bytes, name: str) -> tuple[str, JsonObject, str]:
    try:
        pack = json.loads(content)
        kind, _ = KINDS[pack["format"]]
        canonical = rfc8785.dumps(pack) == content
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise Refused("pack_unreadable") from error
    if not canonical:
        raise Refused("pack_unreadable")
    sha256 = hashlib.sha256(content).hexdigest()
    if len(name) == 64 and name != sha256:
        raise Refused("pack_name_wrong", name=name, sha256=sha256)
    return sha256, pack, kind
