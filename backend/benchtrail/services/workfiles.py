"""Texts that are being written at the desk: begun, opened, saved with every version kept, merged when two people write.

Knows versions and places in the library; what stands in the texts is checked in workfile_check.py.
"""

import re
import uuid
from dataclasses import replace
from typing import Any, Literal

from benchtrail.domain.refused import Refused
from benchtrail.domain.text_merge import Choice, Merged, merge_pieces
from benchtrail.domain.text_pieces import pieces_of
from benchtrail.domain.text_tree import Scalar, Table
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.read_yaml import MOST_BYTES, read_yaml
from benchtrail.services.records import JsonObject, Workfile, WorkfileVersion

Kind = Literal["map", "procedure"]
_PLACE = re.compile(r"[a-z0-9][a-z0-9-]{0,99}")
ANYWHERE = "anywhere"


def path_of(kind: Kind, id: str, model: str | None) -> str:
    """The place in the library. Raises Refused("workfile_id_form")."""
    for name in (id, model or id):
        if not _PLACE.fullmatch(name):
            raise Refused("workfile_id_form", id=name[:60])
    return f"{id}/map.yaml" if kind == "map" else f"{model or ANYWHERE}/{id}.yaml"


def start_workfile(ports: Ports, dealer: str, by: str, kind: Kind, path: str, text: str) -> tuple[Workfile, str]:
    """A new workfile with its first version. Raises Refused: workfile_there_already, workfile_too_large, workfile_not_text."""
    _must_be_storable(text)
    now = ports.clock.now()
    title, model = _named(text)
    made = Workfile(dealer, str(uuid.uuid4()), path, kind, title or path, model, 1, now, by, now, by)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        there = unit.workfiles.at(dealer, path)
        if there is not None:
            raise Refused("workfile_there_already", path=path, workfile=there.id, title=there.title)
        unit.workfiles.put(made)
        unit.workfiles.add_version(WorkfileVersion(dealer, made.id, 1, text, now, by))
    return made, text


def workfiles_of(ports: Ports, dealer: str) -> list[Workfile]:
    """The dealer's workfiles, the one saved last first."""
    with ports.storage.reading() as unit:
        return unit.workfiles.all(dealer)


def open_workfile(ports: Ports, dealer: str, id: str, version: int | None = None) -> tuple[Workfile, WorkfileVersion]:
    """The workfile with its newest version, or the one asked for. Raises Refused: no_such_workfile, no_such_version."""
    with ports.storage.reading() as unit:
        return _opened(unit, dealer, id, version)


def versions_of(ports: Ports, dealer: str, id: str) -> list[WorkfileVersion]:
    """All versions, newest first. Raises Refused("no_such_workfile")."""
    with ports.storage.reading() as unit:
        _opened(unit, dealer, id, None)
        return unit.workfiles.versions(dealer, id)


def save_workfile(ports: Ports, dealer: str, by: str, id: str, base: int, text: str) -> Workfile:
    """Saves a text made from version `base`. The newest text again makes no new version.

    Raises Refused: no_such_workfile, no_such_version, workfile_too_large, workfile_not_text, workfile_put_away;
    workfile_moved_on when someone saved meanwhile: its values hold both texts, and the merge.
    """
    _must_be_storable(text)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        workfile, newest = _opened(unit, dealer, id, None)
        if newest.text == text:
            return workfile
        if workfile.put_away:
            raise Refused("workfile_put_away", title=workfile.title)
        if newest.version != base:
            raise _moved_on(newest, _opened(unit, dealer, id, base)[1], text)
        return _next(unit, ports, workfile, by, text)


def put_away(ports: Ports, dealer: str, id: str, away: bool) -> Workfile:
    """Takes the workfile off the list, or puts it back; its versions stay.

    Raises Refused: no_such_workfile, workfile_there_already.
    """
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        workfile, _ = _opened(unit, dealer, id, None)
        other = unit.workfiles.at(dealer, workfile.path)
        if not away and other is not None and other.id != id:
            raise Refused("workfile_there_already", path=workfile.path, workfile=other.id, title=other.title)
        changed = replace(workfile, put_away=away)
        unit.workfiles.put(changed)
    return changed


def merge_texts(base: str, mine: str, theirs: str) -> Merged:
    """The merge of two texts made from `base`; nothing but a choice between the two when one cannot be read."""
    cut = []
    for text in (base, mine, theirs):
        tree, findings = read_yaml(text, "")
        pieces = None if tree is None or findings else pieces_of(text, tree)
        if pieces is None:
            return Merged(None)
        cut.append(pieces)
    return merge_pieces(*cut)


def _opened(unit: Unit, dealer: str, id: str, version: int | None) -> tuple[Workfile, WorkfileVersion]:
    workfile = unit.workfiles.get(dealer, id)
    if workfile is None:
        raise Refused("no_such_workfile")
    found = unit.workfiles.version(dealer, id, workfile.version if version is None else version)
    if found is None:
        raise Refused("no_such_version", version=version)
    return workfile, found


def _next(unit: Unit, ports: Ports, workfile: Workfile, by: str, text: str) -> Workfile:
    title, model = _named(text)
    now = ports.clock.now()
    saved = replace(workfile, version=workfile.version + 1, saved_at=now, saved_by=by, title=title or workfile.title, model=model)
    unit.workfiles.put(saved)
    unit.workfiles.add_version(WorkfileVersion(workfile.dealer, workfile.id, saved.version, text, now, by))
    return saved


def _moved_on(newest: WorkfileVersion, base: WorkfileVersion, mine: str) -> Refused:
    merged = merge_texts(base.text, mine, newest.text)
    parts = None if merged.parts is None else [_as_json(part) for part in merged.parts]
    return Refused("workfile_moved_on", version=newest.version, saved_by=newest.saved_by, saved_at=newest.saved_at.isoformat(),
                   mine=mine, theirs=newest.text, merged=merged.text, parts=parts)


def _as_json(part: Any) -> JsonObject:
    if isinstance(part, Choice):
        return {"name": part.name, "base": part.base, "mine": part.mine, "theirs": part.theirs}
    return {"name": part.name, "text": part.text}


def _named(text: str) -> tuple[str | None, str | None]:
    """Title and model as the text says them, read loosely."""
    tree, _ = read_yaml(text, "")
    found = []
    for keys in (("title", "name"), ("model",)):
        nodes = [tree.node(key) for key in keys] if isinstance(tree, Table) else []
        found.append(next((node.written.strip() for node in nodes if isinstance(node, Scalar) and node.written.strip()), None))
    title, model = found
    return title and title[:300], model and model[:200]


def _must_be_storable(text: str) -> None:
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        raise Refused("workfile_too_large", size_kb=-(-size // 1024), limit_kb=MOST_BYTES // 1024)
    if "\x00" in text or any("\ud800" <= sign <= "\udfff" for sign in text):
        raise Refused("workfile_not_text")
