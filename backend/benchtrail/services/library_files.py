"""Published files as they are served: packs and pictures by hash, to everyone. Knows no HTTP."""

import json

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject


def pack_bytes(ports: Ports, sha256: str) -> bytes:
    """The pack's bytes as published. Raises Refused("no_such_pack")."""
    with ports.storage.reading() as unit:
        pack = unit.packs.known(sha256)
    content = ports.files.get(pack.dealer, "packs", sha256) if pack else None
    if content is None:
        raise Refused("no_such_pack", sha256=sha256)
    return content


def pack_json(ports: Ports, sha256: str) -> JsonObject:
    """The pack as published. Raises Refused("no_such_pack")."""
    return dict(json.loads(pack_bytes(ports, sha256)))


def picture_bytes(ports: Ports, sha256: str) -> tuple[bytes, str]:
    """The picture's bytes and MIME type. Raises Refused("no_such_picture")."""
    with ports.storage.reading() as unit:
        picture = unit.packs.picture(sha256)
    content = ports.files.get(picture.dealer, "pictures", sha256) if picture else None
    if picture is None or content is None:
        raise Refused("no_such_picture", sha256=sha256)
    return content, picture.mime
