"""Makes what server tests need: a clock that is set, ports in memory, phones, events, packs, pictures."""

import hashlib
import io
import uuid
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import rfc8785
from PIL import Image

from benchtrail.messages import difference_texts
from benchtrail.services.accounts import add_account
from benchtrail.services.dealers import add_dealer
from benchtrail.services.devices import device_of, enrol, make_code
from benchtrail.services.photos import look_into_photo
from benchtrail.services.ports import PhotoCleaner, Ports, TableShape, Unit
from benchtrail.services.records import Dealer, Device
from benchtrail.storage.locks import ProcessLocks
from benchtrail.storage.memory import MemoryStorage
from benchtrail.storage.memory_files import MemoryFiles, MemoryKeys
from benchtrail.storage.passwords import Argon2Passwords
from benchtrail.storage.photo_cleaner import SubprocessCleaner
from benchtrail.storage.photo_queue import PhotosAtOnce

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
PASSWORD = "a long enough password"
PACK = "ab" * 32


class SetClock:
    """A clock that stands until it is moved."""

    def __init__(self, at: datetime = START) -> None:
        self.at = at

    def now(self) -> datetime:
        return self.at

    def move(self, **by: float) -> None:
        self.at += timedelta(**by)


class NoTables:
    """Memory has records and no tables: what carries a dealership to another server is tested on databases."""

    def shapes(self) -> list[TableShape]:
        return []

    def reading(self, dealer: str) -> AbstractContextManager[Callable[[str], Iterator[dict[str, Any]]]]:
        raise AssertionError("there are no tables in memory")

    def fill(self, rows: Iterable[tuple[str, dict[str, Any]]], then: Callable[[Unit], None]) -> None:
        raise AssertionError("there are no tables in memory")


def memory_ports(clock: SetClock | None = None, cleaner: PhotoCleaner | None = None) -> Ports:
    """All ports in memory; photos are looked into at once."""
    queue = PhotosAtOnce()
    made = Ports(
        storage=MemoryStorage(), tables=NoTables(), files=MemoryFiles(), signers=MemoryKeys(),
        passwords=Argon2Passwords(lighter=True), cleaner=cleaner or SubprocessCleaner(), photo_queue=queue, upload_locks=ProcessLocks(),
        clock=clock or SetClock(), secret=b"a secret of tests, long enough 32",
        change_texts=difference_texts(),
    )
    queue.work = lambda dealer, sha256: look_into_photo(made, dealer, sha256)
    return made


def with_dealer(ports: Ports, slug: str = "withen-bridge") -> Dealer:
    """A dealership with an author `anna`, a reader `ben`, an owner `olive`, a reviewer `rob` (of other dealers: with the slug behind)."""
    dealer = add_dealer(ports, slug, "Withen Bridge Offroad", invented=True)
    behind = "" if slug == "withen-bridge" else f"-{slug}"
    add_account(ports, slug, f"anna{behind}", "author", PASSWORD)
    add_account(ports, slug, f"ben{behind}", "reader", PASSWORD)
    add_account(ports, slug, f"olive{behind}", "owner", PASSWORD)
    add_account(ports, slug, f"rob{behind}", "reviewer", PASSWORD)
    return dealer


def with_device(ports: Ports, dealer: str = "withen-bridge", id: str | None = None) -> Device:
    """A phone that was enrolled with a real code."""
    code, _ = make_code(ports, dealer, "Customer", "anna")
    credential, _, _ = enrol(ports, code, id or str(uuid.uuid4()), "", "192.0.2.7")
    return device_of(ports, credential)[0]


def sha256_of(item: Any) -> str:
    """SHA-256 of the canonical form."""
    return hashlib.sha256(rfc8785.dumps(item)).hexdigest()


@dataclass
class Journal:
    """Writes a phone's events as a phone does: numbers without gaps, each naming the hash of the one before."""

    device: str
    job: str = field(default_factory=lambda: str(uuid.uuid4()))
    pack: str = PACK
    seq: int = 0
    prev: str | None = None
    at: datetime = START

    def write(self, kind: str = "NoteWritten", body: dict[str, Any] | None = None, **other: Any) -> dict[str, Any]:
        self.seq += 1
        self.at += timedelta(seconds=30)
        milliseconds = int(self.at.timestamp() * 1000)
        event = {
            "id": str(uuid.uuid4()), "device": self.device, "seq": self.seq, "job": self.job, "kind": kind,
            "body": {"step": None, "text": f"Note {self.seq}"} if body is None else body,
            "hlc": f"{milliseconds:015d}-0000-{self.device[:8]}", "wall": self.at.isoformat(), "pack": self.pack,
            "prev": self.prev, "schema": 1,
        } | other
        self.prev = sha256_of(event)
        return event


def a_pack(
    procedure: str = "test-drain", revision: int = 1, dealer: str = "withen-bridge", **other: Any
) -> dict[str, Any]:
    """A small but whole procedure pack without a model: two steps, one joint."""
    tables = ("parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids",
              "cautions", "checks", "follow_ons", "pictures")
    made = {
        "format": "benchtrail.procedure/1", "dealer": dealer, "procedure": procedure, "title": "Look at the plug",
        "summary": "Undo the plug, look, tighten it.", "invented": True, "revision": revision, "issued": "2026-11-02",
        "author": "Workshop (invented)", "change_note": "First issue.", "model": None, "applies": None, "goal": [],
        "safety": ["normal"], "people": 1, "skill": "Turns a spanner.", "start": [], "ends": [],
        "prepare": {"tools": [], "supplies": []}, "stop_and_ask": "When it does not move.", "disposal": None,
    } | {name: {} for name in tables}
    made["joints"] = {"plug": {
        "name": "plug", "joins": ["frame", "engine"], "kind": "threaded", "thread": "M12x1.25", "tools": [],
        "positions": [{"at": [0, 0], "length_mm": None, "label": None}], "reach": [], "holds": [], "dry_in": [],
        "figure": None, "hand": "to the stop", "treatment": {"kind": "none", "supply": None}, "pattern": "any",
        "order": None, "stages": [], "renew": "never", "number": None, "safety": "normal", "when": None}}
    made["steps"] = [_step("open", "undo", "Undo the plug."), _step("close", "tighten", "Tighten the plug.")]
    return made | other


def _step(id: str, verb: str, say: str) -> dict[str, Any]:
    empty = ("detail", "when", "figure", "limits", "look_for", "picture", "minutes")
    do = [{"verb": verb, "object": "plug"}]
    return {"id": id, "section": "All", "do": do, "say": say, "cautions": [], "tools": []} | dict.fromkeys(empty)


def a_photo(width: int = 64, height: int = 48, kind: str = "JPEG", **options: Any) -> bytes:
    """A real picture with a gradient, so that it does not shrink to nothing."""
    picture = Image.new("RGB", (width, height))
    picture.putdata([(x * 255 // width, y * 255 // height, (x * y) % 256) for y in range(height) for x in range(width)])
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()
