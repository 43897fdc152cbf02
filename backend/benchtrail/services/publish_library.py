"""From the dealer's texts to published packs: read, check, refuse or publish. Knows the order of these, no more."""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from posixpath import basename, dirname, join

from benchtrail.domain.findings import Finding, Severity, blocks_publishing, lacks_reason
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import Library, LibraryFile
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.publish import Order, Published, publish_packs
from benchtrail.services.records import JsonObject, PublishedPack
from benchtrail.services.while_apart import with_also

ReadPicture = Callable[[str], bytes | None]


@dataclass(frozen=True)
class Outcome:
    """What was found, and what was published; nothing is published when a finding blocks it."""

    findings: list[Finding]
    published: list[Published]
    refused: bool
    language: dict[str, int]


def publish_files(
    ports: Ports, dealer: str, files: list[LibraryFile], read_picture: ReadPicture, by: str, change_note: str = "",
    bulletin: str = "",
) -> Outcome:
    """Checks the files and publishes all of them, or none when a finding blocks it; `bulletin`: the dealer's words for the
    bulletins of all of them, else they are drafted. Raises as publish_packs."""
    library = check_library(files, read_picture, dealer)
    if blocks_publishing(library.findings):
        return Outcome(with_reasons_wanted(library.findings), [], True, library.language)
    contents = {file.path: file.content for file in files}
    maps = [(f"model {entry.pack['model']}", dict(entry.pack), entry.text.notes.file) for entry in library.maps]
    procedures = [(f"procedure {pack['procedure']}", pack, file) for pack, file in procedure_packs(library)]
    # A map that was only read beside its procedures is published with them: phones need it to choose a machine.
    everything = maps + procedures
    order = Order(
        packs=[pack for _, pack, _ in everything], by=by, change_note=change_note, pictures=library.pictures,
        texts={name: contents[path] for name, _, path in everything},
        bulletins={name: bulletin for name, _, _ in procedures} if bulletin else {},
    )
    return Outcome(library.findings, publish_packs(ports, dealer, order), False, library.language)


def procedure_packs(library: Library) -> list[tuple[JsonObject, str]]:
    """The procedure packs asked for, each with its file, and with what else is cheap while the machine is apart."""
    maps = {entry.pack["model"]: entry.pack for entry in library.maps}
    asked = [entry for entry in library.procedures if entry.asked and entry.compiled]
    packs = {model: with_also([entry.compiled.pack for entry in asked if entry.compiled and entry.text.model == model], pack)
             for model, pack in maps.items()}
    made = {pack["procedure"]: pack for each in packs.values() for pack in each}
    return [(dict(made.get(entry.compiled.pack["procedure"], entry.compiled.pack)), entry.text.notes.file)
            for entry in asked if entry.compiled]


def with_reasons_wanted(findings: list[Finding]) -> list[Finding]:
    """The findings that block publishing, those first that say a warning lacks its reason."""
    return [*(_without_reason(one) for one in findings if lacks_reason(one)), *findings]


def _without_reason(warning: Finding) -> Finding:
    """That a warning is published only with a reason, beside the warning itself."""
    place = f"step: {warning.where.step}, " if warning.where.step else ""
    return Finding("warning_without_reason", Severity.ERROR, warning.where, warning.check,
                   {"check": warning.check, "entry": f"{{check: {warning.check}, {place}reason: …}}"})


def with_published_maps(ports: Ports, dealer: str, files: Iterable[LibraryFile]) -> list[LibraryFile]:
    """The files, and the text in force of every published map that is not among them: a procedure may come alone."""
    given = list(files)
    with ports.storage.reading() as unit:
        maps = [pack for pack in _in_force(unit, dealer) if pack.kind == "model" and pack.text_sha256]
    for pack in maps:
        content = ports.files.get(dealer, "texts", pack.text_sha256 or "")
        if content is not None and not any(_is_map_of(file, pack.subject) for file in given):
            given.append(LibraryFile(f"published/{pack.subject}/map.yaml", content, False))
    return given


def published_pictures(ports: Ports, dealer: str, files: Iterable[LibraryFile]) -> ReadPicture:
    """Finds pictures by name among those in force, for texts that come without them; the text's own procedure first."""
    places = {file.path: basename(file.path).rpartition(".")[0] for file in files}
    with ports.storage.reading() as unit:
        packs = [pack for pack in _in_force(unit, dealer) if pack.kind == "procedure"]
    own_last = sorted(packs, key=lambda pack: pack.subject in places.values())
    found = {key: sha256 for pack in own_last for key, sha256 in _pictures(ports, pack).items()}

    def read(path: str) -> bytes | None:
        names = (key for key in found for place in places if join(dirname(place), key) == path)
        key = next(names, None)
        return ports.files.get(dealer, "pictures", found[key]) if key else None

    return read


def _pictures(ports: Ports, pack: PublishedPack) -> dict[str, str]:
    """File name → SHA-256. A file shown with two descriptions has a second key with # and a number."""
    content = ports.files.get(pack.dealer, "packs", pack.sha256)
    entries: JsonObject = json.loads(content)["pictures"] if content else {}
    return {key.partition("#")[0]: entry["sha256"] for key, entry in entries.items()}


def _in_force(unit: Unit, dealer: str) -> list[PublishedPack]:
    newest: dict[tuple[str, str], PublishedPack] = {}
    for pack in unit.packs.all(dealer):
        newest.setdefault((pack.kind, pack.subject), pack)
    return list(newest.values())


def _is_map_of(file: LibraryFile, model: str) -> bool:
    """True if the text is this model's map; read loosely, for the reading proper names every fault of it."""
    lines = file.content.decode("utf-8", "replace").splitlines()
    named = (line.partition(":")[2].partition("#")[0].strip(" '\"") for line in lines if line.startswith("model:"))
    return model in named and any(line.startswith("years:") for line in lines)
