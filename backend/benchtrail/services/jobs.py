"""Jobs as they came back: the events of each, folded over the pack that it follows.

Knows where events and packs are; nothing of how a job is shown.
"""

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.difference.on_job import OnJob, on_job
from benchtrail.domain.journal import JournalFold, fold_journal
from benchtrail.domain.refused import Refused
from benchtrail.services.desk_writer import is_desk_writer
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Bulletin, Device, JsonObject, Photo, PublishedPack, QuarantinedEvent, StoredEvent

EMPTY_TABLES = ("parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids",
                "cautions", "checks", "follow_ons")
# Stands in when the job follows a pack that was never published here: the notes are still to be read.
NO_PACK: JsonObject = {"steps": [], "model": None} | {table: {} for table in EMPTY_TABLES}


@dataclass(frozen=True)
class Job:
    """One job with all that belongs to it. `envelopes` are those of `events`, read; `pack` is cut down to the job's variant,
    empty when it is not known here; `problem` is the code of what kept the job from being folded over its pack;
    `bulletin`: what leads from its pack to the one in force, `on_job` what that means here; None while it follows what is in
    force."""

    id: str
    events: list[StoredEvent]
    envelopes: list[JsonObject]
    quarantined: list[QuarantinedEvent]
    photos: list[Photo]
    devices: dict[str, Device]
    published: PublishedPack | None
    is_current: bool
    pack: JsonObject
    fold: JournalFold
    problem: str | None
    bulletin: Bulletin | None
    on_job: OnJob | None

    @property
    def phones(self) -> dict[str, Device]:
        """The phones among those that take part: the desk's own writers are none."""
        return {id: device for id, device in self.devices.items() if not is_desk_writer(id)}


def job_of(ports: Ports, dealer: str, id: str) -> Job:
    """One job of the dealer. Raises Refused("no_such_job")."""
    with ports.storage.reading() as unit:
        events = unit.events.of_job(dealer, id)
        if not events and not unit.events.quarantined(dealer, id):
            raise Refused("no_such_job")
        return gather_job(unit, Shelf(ports, unit, dealer), dealer, id, events)


class Shelf:
    """Packs and phones that the jobs of one answer share, each read once."""

    def __init__(self, ports: Ports, unit: Unit, dealer: str) -> None:
        self._ports, self._dealer = ports, dealer
        self._published = {pack.sha256: pack for pack in unit.packs.all(dealer)}
        self._read: dict[str, JsonObject | None] = {}
        self.devices = {device.device: device for device in unit.devices.all(dealer)}
        # packs.all gives the newest revision of a subject first
        newest: dict[str, str] = {}
        for pack in unit.packs.all(dealer):
            newest.setdefault(f"{pack.kind} {pack.subject}", pack.sha256)
        self.current = set(newest.values())
        self.bulletins = {one.from_sha256: one for one in unit.bulletins.all(dealer) if one.to_sha256 in self.current}

    def published(self, sha256: str | None) -> PublishedPack | None:
        return self._published.get(sha256) if sha256 else None

    def pack(self, sha256: str | None) -> JsonObject | None:
        if sha256 is None or sha256 not in self._published:
            return None
        if sha256 not in self._read:
            content = self._ports.files.get(self._dealer, "packs", sha256)
            self._read[sha256] = json.loads(content) if content else None
        return self._read[sha256]


def gather_job(unit: Unit, shelf: Shelf, dealer: str, id: str, stored: list[StoredEvent]) -> Job:
    """The job of these events, folded."""
    envelopes = [json.loads(event.text) for event in stored]
    sha256 = _pack_of(envelopes)
    whole = shelf.pack(sha256)
    fold, problem = _folded(whole, envelopes)
    bulletin = shelf.bulletins.get(sha256 or "") if not problem else None
    taking_part = {event.device for event in stored}
    return Job(
        id=id, events=stored, envelopes=envelopes, quarantined=unit.events.quarantined(dealer, id), photos=unit.photos.of_job(dealer, id),
        devices={name: device for name, device in shelf.devices.items() if name in taking_part},
        published=shelf.published(sha256), is_current=sha256 in shelf.current,
        pack=for_variant(whole, fold["variant"]) if whole and not problem else NO_PACK, fold=fold, problem=problem,
        bulletin=bulletin, on_job=on_job(bulletin.changes, whole["steps"], fold) if bulletin and whole else None,
    )


def _folded(pack: JsonObject | None, envelopes: list[JsonObject]) -> tuple[JournalFold, str | None]:
    if pack is None:
        return fold_journal(NO_PACK, envelopes), "job_pack_unknown"
    try:
        return fold_journal(pack, envelopes), None
    except Refused as refusal:
        return fold_journal(NO_PACK, envelopes), refusal.code


def _pack_of(envelopes: Iterable[JsonObject]) -> str | None:
    """The pack that the job was started on; without its start, the one that most of its events name."""
    for event in envelopes:
        if event["kind"] == "JobStarted":
            return str(event["pack"])
    named = Counter(str(event["pack"]) for event in envelopes)
    return named.most_common(1)[0][0] if named else None
