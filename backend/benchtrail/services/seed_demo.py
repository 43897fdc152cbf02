"""The invented dealership of the demo, set up through the same services that real ones use.

Knows how jobs are described in demo/seed; what stands in them is data. Everything here is invented.
"""

import hashlib
import secrets
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.event_hash import event_hash
from benchtrail.domain.findings import Finding
from benchtrail.domain.journal import variant_of
from benchtrail.domain.refused import Refused
from benchtrail.domain.verdict import verdict
from benchtrail.services.accounts import add_account
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.dealers import add_dealer
from benchtrail.services.desk_library import current_procedure
from benchtrail.services.devices import device_of, enrol, make_code
from benchtrail.services.library_files import pack_json
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import ReadPicture, publish_files
from benchtrail.services.receive_events import MOST_EVENTS, receive_events
from benchtrail.services.records import Device, JsonObject, Role
from benchtrail.services.uploads import PIECE_BYTES, add_piece, begin_upload

# Printed at every start of the demo and known to everyone: good for nothing but the demo.
DEMO_ACCOUNTS: tuple[tuple[str, Role, str], ...] = (
    ("anna", "author", "bench and trail"), ("ben", "reader", "only to look around"),
    ("ruth", "reviewer", "a second pair of eyes"), ("owen", "owner", "keys of the workshop"))


@dataclass(frozen=True)
class Seed:
    """What the demo is made from: the dealership and its jobs, their photos by file name, the library's texts."""

    dealership: JsonObject
    photos: Mapping[str, bytes]
    files: list[LibraryFile]
    read_picture: ReadPicture

    @property
    def slug(self) -> str:
        return str(self.dealership["dealer"]["slug"])


def seed_demo(ports: Ports, seed: Seed) -> list[Finding]:
    """Sets the dealership up if it is not there. Answers the findings when the library cannot be published.

    Raises Refused("seed_names_nothing") when a job names a step that its procedure does not have.
    """
    with ports.storage.reading() as unit:
        if unit.dealers.get(seed.slug):
            return []
    add_dealer(ports, seed.slug, seed.dealership["dealer"]["name"], invented=True)
    for name, role, password in DEMO_ACCOUNTS:
        add_account(ports, seed.slug, name, role, password)
    outcome = publish_files(ports, seed.slug, seed.files, seed.read_picture, DEMO_ACCOUNTS[0][0])
    if not outcome.refused:
        for job in seed.dealership["jobs"]:
            _send_job(ports, seed, job)
    return outcome.findings if outcome.refused else []


def ready_code(ports: Ports, slug: str) -> str:
    """A fresh code for one phone."""
    return make_code(ports, slug, "Your phone", DEMO_ACCOUNTS[0][0])[0]


def _send_job(ports: Ports, seed: Seed, job: JsonObject) -> None:
    device = _enrolled(ports, seed.slug, job["phone"])
    sha256 = current_procedure(ports, seed.slug, job["procedure"]).sha256
    whole = pack_json(ports, sha256)
    machine = job["machine"] and {"id": str(uuid.uuid4()), **job["machine"]}
    pack = for_variant(whole, variant_of(machine))
    begun = ports.clock.now() - timedelta(days=job["days_ago"])
    writer = _Writer(device.device, sha256, begun, timedelta(minutes=job["minutes_a_step"]))
    _write(writer, pack, job, machine, seed.photos)
    for start in range(0, len(writer.events), MOST_EVENTS):
        receive_events(ports, device, writer.events[start : start + MOST_EVENTS], 0)
    for photo in job["photos"]:
        _send_photo(ports, device, writer.job, seed.photos[photo["file"]])


def _enrolled(ports: Ports, slug: str, label: str) -> Device:
    code, _ = make_code(ports, slug, label, DEMO_ACCOUNTS[0][0])
    credential, _, _ = enrol(ports, code, str(uuid.uuid4()), label, "127.0.0.1")
    return device_of(ports, credential)[0]


@dataclass
class _Writer:
    """Writes events as a phone does: numbered, stamped, each naming the hash of the one before."""

    device: str
    pack: str
    at: datetime
    pace: timedelta
    job: str = field(default_factory=lambda: str(uuid.uuid4()))
    events: list[JsonObject] = field(default_factory=list)

    def write(self, kind: str, **body: Any) -> None:
        self.at += timedelta(seconds=20)
        at_ms = int(self.at.timestamp() * 1000)
        self.events.append({
            "id": uuid7(at_ms), "device": self.device, "seq": len(self.events) + 1, "job": self.job, "kind": kind,
            "body": body, "hlc": f"{at_ms:015d}-0000-{self.device[:8]}", "wall": self.at.isoformat(timespec="seconds"),
            "pack": self.pack, "prev": event_hash(self.events[-1]) if self.events else None, "schema": 1,
        })


def uuid7(at_ms: int) -> str:
    """A UUID of version 7. Source: RFC 9562, section 5.7."""
    number = at_ms << 80 | 7 << 76 | secrets.randbits(12) << 64 | 2 << 62 | secrets.randbits(62)
    return str(uuid.UUID(int=number))


def _write(
    writer: _Writer, pack: JsonObject, job: JsonObject, machine: JsonObject | None, photos: Mapping[str, bytes]
) -> None:
    _must_name_steps(pack, job)
    started = {name: pack[name] for name in ("procedure", "revision", "title")}
    writer.write("JobStarted", machine=machine, **started)
    for step in pack["steps"]:
        if step["id"] == job["until"]:
            break
        _write_step(writer, pack, job, step["id"], photos)
    if job["until"]:
        _write_returned(writer, pack, job, job["until"], photos)
    if job["close"]:
        writer.write("JobClosed", **job["close"])
    else:
        writer.write("JobPaused", step=job["until"])


def _write_step(writer: _Writer, pack: JsonObject, job: JsonObject, step: str, photos: Mapping[str, bytes]) -> None:
    writer.at += writer.pace
    _write_returned(writer, pack, job, step, photos)
    if step in job["skip"]:
        writer.write("StepSkipped", step=step, reason=job["skip"][step])
    else:
        writer.write("StepDone", step=step)


def _write_returned(writer: _Writer, pack: JsonObject, job: JsonObject, step: str, photos: Mapping[str, bytes]) -> None:
    """What is noted, measured and photographed at the step."""
    reading = job["readings"].get(step)
    if reading:
        limits = next(one["limits"] for one in pack["steps"] if one["id"] == step)
        writer.write("ReadingTaken", step=step, check=limits["check"], unit=limits["unit"], **reading,
                     verdict=verdict(pack, step, reading["value"]))
    for note in job["notes"]:
        if note["step"] == step:
            writer.write("NoteWritten", **note)
    for photo in job["photos"]:
        if photo["step"] == step:
            content = photos[photo["file"]]
            facts = {name: photo[name] for name in ("step", "width", "height", "caption")}
            sha256 = hashlib.sha256(content).hexdigest()
            writer.write("PhotoTaken", **facts, sha256=sha256, mime="image/jpeg", bytes=len(content))


def _must_name_steps(pack: JsonObject, job: JsonObject) -> None:
    named = {*job["skip"], *job["readings"], *(one["step"] for one in [*job["notes"], *job["photos"]])}
    unknown = sorted((named | ({job["until"]} - {None})) - {step["id"] for step in pack["steps"]})
    if unknown:
        raise Refused("seed_names_nothing", procedure=pack["procedure"], steps=", ".join(unknown))


def _send_photo(ports: Ports, device: Device, job: str, content: bytes) -> None:
    name = hashlib.sha256(content).hexdigest()
    place = begin_upload(ports, device, name, "image/jpeg", job, len(content))
    for start in range(0, len(content), PIECE_BYTES):
        add_piece(ports, device, place.id, start, content[start : start + PIECE_BYTES], None)
