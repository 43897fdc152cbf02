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
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.services.manifests import current_packs, not_withdrawn
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import published_pictures
from benchtrail.services.records import JsonObject, PublishedPack
from benchtrail.services.workfiles import open_workfile, save_workfile


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
    """The procedures in force, and not among the files, that the maps among the files change.

    All are compiled; only what is not the same any more is played through the checks.
    """
    own = compile_library([LibraryFile(file.path, file.content, asked=False) for file in files], lambda path: None, dealer)
    maps = {str(entry.pack["model"]): entry for entry in own.maps if entry.text.whole}
    there = {entry.text.head["procedure"] for entry in own.procedures}
    in_force = {_path(pack): pack for pack in _in_force(ports, dealer) if pack.entry["model"] in maps and pack.subject not in there}
    texts = [LibraryFile(path, content) for path, pack in sorted(in_force.items()) if (content := _text(ports, pack))]
    if not texts:
        return []
    read_picture = published_pictures(ports, dealer, texts)
    compiled = {entry.text.notes.file: entry.compiled for entry in
                compile_library(texts, read_picture, dealer, list(maps.values())).procedures}
    found = []
    for text in texts:
        before, made = in_force[text.path], compiled.get(text.path)
        changes = difference(_content(ports, before), made.pack) if made else []
        if changes or made is None:
            faults = [one for one in check_library([text], read_picture, dealer, list(maps.values())).findings
                      if one.severity >= Severity.ERROR]
            found.append(Touched(before.subject, before.title, before.revision, changes, faults, _being_written(ports, dealer, before)))
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


def carry_on(ports: Ports, dealer: str, by: str, files: Sequence[LibraryFile], own: str | None) -> None:
    """Brings the workfiles of published texts to the revision just published, where nothing else was written in them.
    `own`: the workfile that was published itself; it stays as it is."""
    for file in files:
        with ports.storage.reading() as unit:
            workfile = unit.workfiles.at(dealer, file.path)
        if workfile is None or workfile.id == own or workfile.put_away:
            continue
        text = file.content.decode("utf-8", "surrogatepass")
        _, newest = open_workfile(ports, dealer, workfile.id)
        if newest.text != text and _but_for_the_count(newest.text) == _but_for_the_count(text):
            save_workfile(ports, dealer, by, workfile.id, newest.version, text)


def _but_for_the_count(text: str) -> str:
    return counted_up(text, 0, date.min, "")


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
