"""Everything of one dealer written to one open file, while the server goes on. Knows what belongs in it.

Rows and kept files are what another server takes in; beside them the same things stand as people and other programs read
them: the library as texts, the jobs as journals, tables as CSV. Nothing in it can sign anyone in or sign anything.
"""

import json
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import IO

from benchtrail import __version__
from benchtrail.clock import as_text
from benchtrail.domain.hlc import journal_order
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.dealer_file import DealerFileWriter, file_name, rows_name
from benchtrail.services.dealer_tables_csv import csv_tables
from benchtrail.services.dealers import dealer_named
from benchtrail.services.ports import Ports, Room, Signer
from benchtrail.services.records import Dealer, JsonObject

TRIES = 5
READ_ME = """This file holds everything of one dealership, written by Benchtrail, for reading and for another Benchtrail server.

library/     procedures and maps in force as texts (YAML) with their pictures
writing/     texts that are being written, their newest version
jobs/        each job's events in their order, and the names of its photos
tables/      the same things as tables (CSV, UTF-8)
packs/       everything ever published, as signed; the name is the SHA-256 of the content
pictures/ photos/ texts/ quarantine/   files by the SHA-256 of what they are
records/     every row as one line of JSON: this and the files above are what another server takes in
contents.json, seal.json   what is in this file with its SHA-256, and the dealer's signature over that list

It holds no passwords, no codes and no signing key. It does hold the names of customers and their photos: keep it as such.
On another server: benchtrail dealer import FILE --dry-run
"""
Reader = Callable[[str], Iterator[JsonObject]]
Held = dict[str, bytes | None]


@dataclass(frozen=True)
class Exported:
    """What was written: rows by table, how many files, and the names of files that this server should have and has not."""

    rows: dict[str, int]
    files: int
    missing: list[str]


def export_dealer(ports: Ports, slug: str, by: str, out: IO[bytes]) -> Exported:
    """Writes everything of the dealer to `out`. The audit log says so first, and the file holds that line.

    Raises Refused: no_such_dealer, signing_key_missing, signing_key_changed.
    """
    dealer, signer = dealer_named(ports, slug), ports.signers.get(slug)
    if signer.kid != dealer.kid:
        raise Refused("signing_key_changed", dealer=slug, kid=signer.kid, known=dealer.kid)
    with ports.storage.writing() as unit:
        record_act(unit, ports, slug, by, "exported", dealer.name)
    for left in reversed(range(TRIES)):
        with ports.tables.reading(slug) as read:
            held = {name: ports.files.get(slug, room, name) for room, name, _ in needed_files(read) if room == "quarantine"}
            # A photo that is looked into just now has moved since the rows were read: then they are read again.
            if left and None in held.values():
                continue
            return _write(ports, dealer, signer, by, read, held, DealerFileWriter(out))
    raise AssertionError("the last try writes")


def _write(ports: Ports, dealer: Dealer, signer: Signer, by: str, read: Reader, held: Held, writer: DealerFileWriter) -> Exported:
    writer.add("read-me.txt", READ_ME.encode())
    missing = _add_files(ports, dealer.slug, read, held, writer)
    rows = {shape.name: writer.add_lines(rows_name(shape.name), (_line(row) for row in read(shape.name)))
            for shape in ports.tables.shapes()}
    _add_library(ports, dealer.slug, read, writer)
    _add_writing(read, writer)
    _add_jobs(read, writer)
    facts = {
        "dealer": {"slug": dealer.slug, "name": dealer.name, "invented": dealer.invented, "kid": dealer.kid, "jwk": dealer.jwk},
        "made_at": as_text(ports.clock.now()), "made_by": by, "program": __version__, "rows": rows, "missing": missing,
    }
    return Exported(rows, writer.close(facts, signer), missing)


def needed_files(read: Reader) -> Iterator[tuple[Room, str, str]]:
    """Room, name and kind of every file that the rows refer to."""
    for row in read("packs"):
        yield "packs", row["sha256"], ""
        if row["text_sha256"]:
            yield "texts", row["text_sha256"], ""
    for table in ("pictures", "work_pictures"):
        for row in read(table):
            yield "pictures", row["sha256"], row["mime"]
    for row in read("photos"):
        if row["state"] == "clean":
            yield "photos", row["clean_sha256"], row["clean_mime"]
        elif row["state"] != "erased":
            yield "quarantine", row["sha256"], ""


def _add_files(ports: Ports, slug: str, read: Reader, held: Held, writer: DealerFileWriter) -> list[str]:
    """Adds every file that the rows name; answers the names of those that this server has not."""
    missing = set()
    for room, name, mime in needed_files(read):
        content = held[name] if room == "quarantine" else ports.files.get(slug, room, name)
        if content is None:
            missing.add(file_name(room, name, mime))
        else:
            writer.add(file_name(room, name, mime), content)
    return sorted(missing)


def _line(row: JsonObject) -> bytes:
    return json.dumps(row, ensure_ascii=False, sort_keys=True).encode() + b"\n"


def _add_library(ports: Ports, slug: str, read: Reader, writer: DealerFileWriter) -> None:
    """The texts in force at their places, with the pictures that they name."""
    newest: dict[tuple[str, str], JsonObject] = {}
    for row in sorted(read("packs"), key=lambda row: row["revision"]):
        newest[row["kind"], row["subject"]] = row
    for (kind, subject), row in sorted(newest.items()):
        folder = f"library/{row['entry']['model'] or 'anywhere'}"
        text = ports.files.get(slug, "texts", row["text_sha256"]) if row["text_sha256"] else None
        if text is not None:
            writer.add(f"{folder}/map.yaml" if kind == "model" else f"{folder}/{subject}.yaml", text)
        pack = json.loads(ports.files.get(slug, "packs", row["sha256"]) or b"{}")
        for name, picture in sorted(pack.get("pictures", {}).items()):
            content = ports.files.get(slug, "pictures", picture["sha256"])
            if content is not None:
                writer.add(f"{folder}/{name}", content)


def _add_writing(read: Reader, writer: DealerFileWriter) -> None:
    """What is being written, each workfile's newest text at its place; what was put away apart from it."""
    texts = {row["workfile"]: row["text"] for row in read("workfile_versions")}  # by falling age: the newest stays
    for row in read("workfiles"):
        away = f"put-away/{row['id']}/" if row["put_away"] else ""
        writer.add(f"writing/{away}{row['path']}", texts[row["id"]].encode())


def _add_jobs(read: Reader, writer: DealerFileWriter) -> None:
    """Each job's journal, with the names of its photos in this file; the tables."""
    kinds = {row["sha256"]: file_name("photos", row["clean_sha256"], row["clean_mime"])
             for row in read("photos") if row["state"] == "clean"}
    photos: dict[str, list[str]] = defaultdict(list)
    for row in read("photo_jobs"):
        photos[row["job"]] += [kinds[row["sha256"]]] if row["sha256"] in kinds else []
    journals: dict[str, list[JsonObject]] = defaultdict(list)
    for row in read("events"):
        journals[row["job"]].append(json.loads(row["text"]))
    for job, events in sorted(journals.items()):
        events.sort(key=journal_order)
        made = {"job": job, "events": events, "photos": sorted(photos[job])}
        writer.add(f"jobs/{job}.json", json.dumps(made, ensure_ascii=False, indent=1).encode())
    for name, content in csv_tables(read, journals):
        writer.add(f"tables/{name}.csv", content)
