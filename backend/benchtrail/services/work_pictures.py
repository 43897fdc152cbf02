"""Pictures for workfiles: taken in, cleaned, named, and read again. Knows no HTTP; what a picture is is the domain's.

A photo is decoded and made anew, so that nothing but its pixels comes in; a drawing must do nothing.
"""

import hashlib
import re
from posixpath import dirname

from benchtrail.domain.pictures import picture_kind
from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.records import WorkPicture
from benchtrail.services.workfiles import open_workfile

ENDINGS = {"image/png": "png", "image/jpeg": "jpg", "image/webp": "webp", "image/svg+xml": "svg"}
MOST_PICTURES = 500


def add_work_picture(ports: Ports, dealer: str, by: str, workfile: str, name: str, content: bytes) -> WorkPicture:
    """Keeps a picture for the folder of the workfile, under a name that nothing has yet, `pictures/<name>.<ending>`.

    Raises Refused: no_such_workfile, work_pictures_full, and what `picture_kind` and the cleaner raise.
    """
    folder = dirname(open_workfile(ports, dealer, workfile)[0].path)
    content, mime = _cleaned(ports, name, content)
    sha256 = hashlib.sha256(content).hexdigest()
    ports.files.put(dealer, "pictures", sha256, content)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        there = unit.workfiles.pictures(dealer, folder)
        same = next((one for one in there if one.sha256 == sha256), None)
        if same is not None:
            return same
        if len(there) >= MOST_PICTURES:
            raise Refused("work_pictures_full", limit=MOST_PICTURES)
        free = _free_name(name, ENDINGS[mime], {one.name for one in there})
        made = WorkPicture(dealer, folder, free, sha256, mime, len(content), ports.clock.now(), by)
        unit.workfiles.add_picture(made)
    return made


def work_pictures(ports: Ports, dealer: str, workfile: str) -> list[WorkPicture]:
    """The pictures of the workfile's folder. Raises Refused("no_such_workfile")."""
    folder = dirname(open_workfile(ports, dealer, workfile)[0].path)
    with ports.storage.reading() as unit:
        return unit.workfiles.pictures(dealer, folder)


def _cleaned(ports: Ports, name: str, content: bytes) -> tuple[bytes, str]:
    try:
        kind = picture_kind(content)
        if kind == "image/svg+xml":
            return content, kind
        clean = ports.cleaner.clean(content)
    except Refused as refusal:
        # what the cleaner says of a customer's photo (kept apart) is not so here
        code = "picture_unknown_kind" if refusal.code.startswith("photo_") else refusal.code
        raise Refused(code, **({"picture": name[:60]} | refusal.values)) from None
    return clean.content, clean.mime


def _free_name(name: str, ending: str, taken: set[str]) -> str:
    plain = re.sub("[^a-z0-9]+", "-", name.rpartition(".")[0].lower() or name.lower()).strip("-")[:60] or "picture"
    number = 1
    while f"pictures/{plain}{'' if number == 1 else f'-{number}'}.{ending}" in taken:
        number += 1
    return f"pictures/{plain}{'' if number == 1 else f'-{number}'}.{ending}"
