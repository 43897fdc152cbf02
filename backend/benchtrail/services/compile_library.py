"""Compiles a dealer's texts: every map and procedure of the files given, and what was found while reading them.

Knows which file is what and which map a procedure needs; the checks of content are in check_library.py.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from posixpath import basename, dirname

from benchtrail.domain.compile_pack import Compiled, ReadPicture, compile_map, compile_procedure
from benchtrail.domain.findings import Finding
from benchtrail.domain.map_text import MapText, read_map
from benchtrail.domain.pack import ModelPack
from benchtrail.domain.procedure_text import ProcedureText, read_procedure
from benchtrail.domain.source_notes import Notes, meant
from benchtrail.domain.text_tree import Node, Table
from benchtrail.services.read_yaml import read_bytes

UNPUBLISHED = "unpublished"


@dataclass(frozen=True)
class LibraryFile:
    """A text of the library: its path with `/`, its bytes. What is not `asked` for is read only for what it says."""

    path: str
    content: bytes
    asked: bool = True


@dataclass(frozen=True)
class MapEntry:
    """A map: as read, and compiled."""

    text: MapText
    pack: ModelPack
    asked: bool


@dataclass(frozen=True)
class ProcedureEntry:
    """A procedure: as read, with its map if it has one, and compiled; None when its map is missing or broken."""

    text: ProcedureText
    machine: MapText | None
    compiled: Compiled | None
    asked: bool


@dataclass
class Library:
    """All maps and procedures that could be read, and everything found in the files asked for."""

    maps: list[MapEntry] = field(default_factory=list)
    procedures: list[ProcedureEntry] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    @property
    def language(self) -> dict[str, int]:
        """For each text asked for, how often it breaks the controlled language (check S8); it passes with none. All or
        nothing: a text half in plain language is no better than one in none."""
        files = [one.text.notes.file for one in self.procedures if one.asked]
        files += [one.text.notes.file for one in self.maps if one.asked]
        return {file: sum(found.check == "S8" and found.where.file == file for found in self.findings)
                for file in sorted(files)}

    @property
    def pictures(self) -> dict[str, bytes]:
        """The pictures of all procedures by SHA-256."""
        return {sha256: content for entry in self.procedures if entry.compiled
                for sha256, content in entry.compiled.pictures.items()}


def compile_library(files: Iterable[LibraryFile], read_picture: ReadPicture, dealer: str = UNPUBLISHED,
                    known: Sequence[MapEntry] = ()) -> Library:
    """The library of the files; `read_picture` gives the bytes of a picture by its path, None when there is none;
    `known`: maps that were read before."""
    library = Library(maps=list(known))
    procedures: list[tuple[Notes, Node, bool]] = []
    for file in sorted(files, key=lambda file: file.path):
        notes = Notes(file.path)
        tree, findings = read_bytes(file.content, file.path)
        notes.findings.extend(findings)
        kind = _kind(notes, tree)
        if tree is not None and kind == "map":
            text = read_map(notes, tree)
            library.maps.append(MapEntry(text, compile_map(text, dealer), file.asked))
        elif tree is not None and kind == "procedure":
            procedures.append((notes, tree, file.asked))
        if file.asked:
            library.findings.extend(notes.findings)
    _note_twice(library)
    for notes, tree, asked in procedures:
        _add_procedure(library, notes, tree, asked, read_picture, dealer)
    return library


def _kind(notes: Notes, tree: Node | None) -> str:
    """What a file is: its keys say it, or its name."""
    if isinstance(tree, Table) and "procedure" in tree.entries:
        return "procedure"
    if isinstance(tree, Table) and ("years" in tree.entries or basename(notes.file) == "map.yaml"):
        return "map"
    if isinstance(tree, Table) and "steps" in tree.entries:
        return "procedure"
    if tree is not None:
        notes.add("file_kind_unknown", tree.line)
    return "unknown"


def _note_twice(library: Library) -> None:
    """Two maps of one model."""
    first: dict[str, str] = {}
    for entry in library.maps:
        model, notes = entry.text.head["model"], entry.text.notes
        if model in first:
            finding = Notes(notes.file)
            finding.add("model_twice", notes.where("map.model").line, check="S10", model=model, first=first[model])
            library.findings.extend(finding.findings if entry.asked else [])
        first.setdefault(model, notes.file)


def _add_procedure(library: Library, notes: Notes, tree: Node, asked: bool, read_picture: ReadPicture,
                   dealer: str) -> None:
    reading = len(notes.findings)
    text = read_procedure(notes, tree)
    machine = _machine_of(library, text)
    _note_place(library, text)
    compiled = None
    if text.model is None or (machine is not None and machine.whole):
        compiled = compile_procedure(text, machine, dealer, read_picture)
    library.procedures.append(ProcedureEntry(text, machine, compiled, asked))
    if asked:
        library.findings.extend(notes.findings[reading:])


def _machine_of(library: Library, text: ProcedureText) -> MapText | None:
    """The map of the procedure's model; a missing or broken one is noted."""
    if text.model is None or "procedure.model" in text.notes.broken:
        return None
    maps = {entry.text.head["model"]: entry.text for entry in reversed(library.maps)}
    machine = maps.get(text.model)
    line = text.notes.where("procedure.model").line
    if machine is None:
        text.notes.add("map_missing", line, check="M1", model=text.model, meant=meant(text.model, maps))
    elif not machine.whole:
        text.notes.add("map_broken", line, model=text.model, map=machine.notes.file)
    return machine


def _note_place(library: Library, text: ProcedureText) -> None:
    """The file is named after the procedure; an id is used once for a model."""
    key, notes = text.head["procedure"], text.notes
    line = notes.where("procedure.procedure").line
    if "procedure.procedure" in notes.broken:
        return
    if basename(notes.file).rpartition(".")[0] != key:
        notes.add("file_named_otherwise", line, procedure=key, file=basename(notes.file))
    twin = next((entry.text for entry in library.procedures if entry.text.head["procedure"] == key), None)
    if twin is not None:
        notes.add("procedure_twice", line, check="S10", procedure=key, first=twin.notes.file)
    if dirname(notes.file).rpartition("/")[2] == "anywhere" and text.model is not None:
        notes.add("model_in_anywhere", notes.where("procedure.model").line)
