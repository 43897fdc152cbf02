"""What a workfile's text gets told while it is written: every finding of the checks, and the pack that a phone would get.

A procedure is checked against its map: the one being written at the desk, else the one published. Knows no HTTP.
"""

import json
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from posixpath import basename, dirname, relpath

from benchtrail.domain.compile_pack import ReadPicture
from benchtrail.domain.findings import Finding
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile, MapEntry, compile_library
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject, PublishedPack, Workfile
from benchtrail.services.workfiles import open_workfile

_MODEL = re.compile(r"^model:[ \t]*['\"]?([a-z0-9-]{1,100})", re.MULTILINE)


@dataclass(frozen=True)
class Checked:
    """What was found; the compiled pack, None when the text is too broken for one; the map it was read with, in words
    `{"from": "workfile" or "published" or "none", "id", "version"}`."""

    findings: list[Finding]
    pack: JsonObject | None
    map_used: JsonObject


def check_workfile(ports: Ports, dealer: str, workfile: Workfile, text: str) -> Checked:
    """Checks a text as it stands, saved or not."""
    files, map_used = library_files_of(ports, dealer, workfile, text)
    known = [entry for file in files if not file.asked for entry in _maps_in(file.path, file.content, dealer)]
    asked = [file for file in files if file.asked]
    library = check_library(asked, picture_reader_of(ports, dealer, workfile), dealer, known)
    packs = [dict(entry.compiled.pack) for entry in library.procedures if entry.asked and entry.compiled]
    packs += [dict(entry.pack) for entry in library.maps if entry.asked]
    return Checked(library.findings, packs[0] if packs else None, map_used)


def map_pack_of(ports: Ports, dealer: str, workfile: Workfile, text: str) -> JsonObject | None:
    """The objects that a procedure can name: its map compiled (a map's own); None when there is none, or it cannot be read."""
    files, _ = library_files_of(ports, dealer, workfile, text)
    others = [LibraryFile(file.path, file.content) for file in files if workfile.kind == "map" or not file.asked]
    library = check_library(others, lambda path: None, dealer)
    return dict(library.maps[0].pack) if library.maps else None


def library_files_of(ports: Ports, dealer: str, workfile: Workfile, text: str) -> tuple[list[LibraryFile], JsonObject]:
    """The text as a file of the library, with the map that it needs beside it; and which map that is."""
    file = LibraryFile(workfile.path, text.encode("utf-8", "surrogatepass"))
    named = _MODEL.search(text)
    none: JsonObject = {"from": "none", "id": named[1] if named else None, "version": None}
    if workfile.kind == "map" or named is None:
        return [file], none
    found = _map_being_written(ports, dealer, named[1]) or _map_published(ports, dealer, named[1])
    if found is None:
        return [file], none
    content, used = found
    path = f"{dirname(workfile.path)}/map.yaml"
    return [file, LibraryFile(path, content, asked=False)], used


def map_of_model(ports: Ports, dealer: str, model: str) -> JsonObject | None:
    """The compiled map of a model: the one being written at the desk, else the one published; None when there is none,
    or it cannot be read."""
    found = _map_being_written(ports, dealer, model) or _map_published(ports, dealer, model)
    if found is None:
        return None
    library = check_library([LibraryFile(f"{model}/map.yaml", found[0])], lambda path: None, dealer)
    return dict(library.maps[0].pack) if library.maps and library.maps[0].text.whole else None


def models_with_maps(ports: Ports, dealer: str) -> list[str]:
    """The models that have a map, written at the desk or published."""
    with ports.storage.reading() as unit:
        written = [workfile.model or "" for workfile in unit.workfiles.all(dealer) if workfile.kind == "map"]
    return sorted({*written, *(pack.subject for pack in _published(ports, dealer) if pack.kind == "model")} - {""})


def picture_reader_of(ports: Ports, dealer: str, workfile: Workfile) -> ReadPicture:
    """Reads pictures by path: those added at the desk, else those of the procedure's published revisions."""
    folder = dirname(workfile.path)
    with ports.storage.reading() as unit:
        added = {picture.name: picture.sha256 for picture in unit.workfiles.pictures(dealer, folder)}

    published = cache(lambda: _published_pictures(ports, dealer, workfile))

    def read(path: str) -> bytes | None:
        name = relpath(path, folder) if path.startswith(f"{folder}/") else path
        sha256 = added.get(name) or published().get(name)
        return ports.files.get(dealer, "pictures", sha256) if sha256 else None

    return read


def _map_being_written(ports: Ports, dealer: str, model: str) -> tuple[bytes, JsonObject] | None:
    with ports.storage.reading() as unit:
        workfile = unit.workfiles.at(dealer, f"{model}/map.yaml")
    if workfile is None:
        return None
    _, version = open_workfile(ports, dealer, workfile.id)
    return version.text.encode(), {"from": "workfile", "id": workfile.id, "version": version.version}


def _map_published(ports: Ports, dealer: str, model: str) -> tuple[bytes, JsonObject] | None:
    pack = next((pack for pack in _published(ports, dealer) if (pack.kind, pack.subject) == ("model", model)), None)
    content = ports.files.get(dealer, "texts", pack.text_sha256) if pack and pack.text_sha256 else None
    return (content, {"from": "published", "id": model, "version": pack.revision}) if pack and content else None


def _published_pictures(ports: Ports, dealer: str, workfile: Workfile) -> dict[str, str]:
    """Name → SHA-256 among the published procedures of the same folder, the text's own first."""
    own, model = basename(workfile.path).rpartition(".")[0], workfile.model
    packs = [pack for pack in _published(ports, dealer) if pack.kind == "procedure" and pack.entry["model"] == model]
    packs.sort(key=lambda pack: pack.subject == own)
    found: dict[str, str] = {}
    for pack in packs:
        content = ports.files.get(dealer, "packs", pack.sha256)
        found |= _names_in(pack.sha256, content) if content else {}
    return found


@lru_cache(maxsize=8)
def _maps_in(path: str, content: bytes, dealer: str) -> tuple[MapEntry, ...]:
    """A map as read and compiled. It stays the same through many strokes of a procedure on it, and is half of a check."""
    return tuple(compile_library([LibraryFile(path, content, asked=False)], lambda path: None, dealer).maps)


@lru_cache(maxsize=64)
def _names_in(sha256: str, content: bytes) -> dict[str, str]:
    entries = json.loads(content)["pictures"]
    return {key.partition("#")[0]: entry["sha256"] for key, entry in entries.items()}


def _published(ports: Ports, dealer: str) -> list[PublishedPack]:
    """Newest revision first."""
    with ports.storage.reading() as unit:
        return unit.packs.all(dealer)
