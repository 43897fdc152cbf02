"""Which published procedures a changed map touches, and their next revisions made of their own texts.

A procedure's pack carries the part of the map that its steps reach: so it changes when its map does, and a phone is told
only of a new revision of the procedure. Knows texts in force and packs; what may be published is publish.py's.
"""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from benchtrail.domain.difference.change import Change
from benchtrail.domain.difference.difference import difference
from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.refused import Refused
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.manifests import current_packs, not_withdrawn
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import procedure_packs, published_pictures
from benchtrail.services.records import JsonObject, PublishedPack


@dataclass(frozen=True)
class Touched:
    """A procedure in force that would not be the same on the changed map. `changes`: from what is in force to what its text
    gives on the map; `findings`: errors that its text would have then; `workfile`: its text being written, if there is one."""

    procedure: str
    title: str
    revision: int
    changes: list[Change]
    findings: list[Finding]
    workfile: str | None


def touched_by(ports: Ports, dealer: str, files: Sequence[LibraryFile]) -> list[Touched]:
    """The procedures in force, and not among the files, that the maps among the files change."""
    asked = [LibraryFile(file.path, file.content, asked=False) for file in files]
    own = check_library(asked, lambda path: None, dealer)
    models = {str(entry.pack["model"]) for entry in own.maps if entry.text.whole}
    there = {entry.text.head["procedure"] for entry in own.procedures}
    in_force = {pack.subject: pack for pack in _in_force(ports, dealer) if pack.entry["model"] in models and pack.subject not in there}
    texts = {path: content for path, content in ((_path(pack), _text(ports, pack)) for pack in in_force.values()) if content}
    if not texts:
        return []
    maps = [LibraryFile(entry.text.notes.file, next(f.content for f in files if f.path == entry.text.notes.file), asked=False)
            for entry in own.maps]
    beside = [LibraryFile(path, content) for path, content in sorted(texts.items())]
    library = check_library([*maps, *beside], published_pictures(ports, dealer, beside), dealer)
    made = {pack["procedure"]: (pack, file) for pack, file in procedure_packs(library)}
    found = []
    for subject, before in sorted(in_force.items()):
        faults = [one for one in library.findings if one.where.file == _path(before) and one.severity >= Severity.ERROR]
        pack = made.get(subject, (None, ""))[0]
        changes = difference(_content(ports, before), pack) if pack else []
        if changes or faults:
            found.append(Touched(subject, before.title, before.revision, changes, faults, _being_written(ports, dealer, before)))
    return found


def next_revisions(ports: Ports, dealer: str, procedures: Sequence[str], change_note: str, today: date) -> list[LibraryFile]:
    """The texts in force of these procedures, each counted up to its next revision; nothing else in them changes.

    Raises Refused("touched_not_published").
    """
    in_force = {pack.subject: pack for pack in _in_force(ports, dealer)}
    files = []
    for procedure in dict.fromkeys(procedures):
        pack = in_force.get(procedure)
        content = _text(ports, pack) if pack else None
        if pack is None or content is None:
            raise Refused("touched_not_published", procedure=procedure[:100])
        text = counted_up(content.decode("utf-8-sig", "surrogatepass"), pack.revision + 1, today, change_note)
        files.append(LibraryFile(_path(pack), text.encode("utf-8", "surrogatepass")))
    return files


def counted_up(text: str, revision: int, today: date, change_note: str) -> str:
    """The text under another revision, issued on a day, with what changed in it; every other line stays as it is."""
    for key, value in (("revision", str(revision)), ("issued", today.isoformat())):
        text = re.sub(rf"^({key}:[ \t]*)[^\s#]+", rf"\g<1>{value}", text, count=1, flags=re.MULTILINE)
    note = json.dumps(" ".join(change_note.split()), ensure_ascii=False)
    # the words behind the key, and further lines of them that are set in
    return re.sub(r"^change_note:[^\r\n]*(?:\r?\n[ \t]+[^\r\n]*)*", lambda _: f"change_note: {note}", text, count=1, flags=re.MULTILINE)


def _path(pack: PublishedPack) -> str:
    return f"{pack.entry['model'] or 'anywhere'}/{pack.subject}.yaml"


def _in_force(ports: Ports, dealer: str) -> list[PublishedPack]:
    with ports.storage.reading() as unit:
        found = not_withdrawn(unit, dealer, current_packs(unit.packs.all(dealer)))
    return [pack for pack in found if pack.kind == "procedure"]


def _text(ports: Ports, pack: PublishedPack) -> bytes | None:
    return ports.files.get(pack.dealer, "texts", pack.text_sha256) if pack.text_sha256 else None


def _content(ports: Ports, pack: PublishedPack) -> JsonObject:
    found: JsonObject = json.loads(ports.files.get(pack.dealer, "packs", pack.sha256) or b"{}")
    return found


def _being_written(ports: Ports, dealer: str, pack: PublishedPack) -> str | None:
    with ports.storage.reading() as unit:
        workfile = unit.workfiles.at(dealer, _path(pack))
    return workfile.id if workfile else None
