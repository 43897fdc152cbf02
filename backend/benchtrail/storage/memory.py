"""The ports' in-memory twins for records: the same answers as SQL, nothing kept after the process ends.

Services are tested on them in milliseconds; contract tests hold them to the same behaviour as the real ones.
"""

import copy
import threading
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from benchtrail.services.desk_records import (
    CustomerMachine,
    FrameSites,
    HeldPacks,
    JobLink,
    JobSummary,
    NoteAnswer,
    Passkey,
    Proposal,
    Review,
    Withdrawal,
)
from benchtrail.services.ports import JobMark, PullPlace
from benchtrail.services.records import (
    ERASED,
    Account,
    AuditEntry,
    Bulletin,
    Dealer,
    DeskSession,
    Device,
    EnrolmentCode,
    PasswordCode,
    Photo,
    Picture,
    PublishedPack,
    QuarantinedEvent,
    SignedManifest,
    StoredEvent,
    Upload,
)
from benchtrail.storage.memory_workfiles import MemoryWorkfiles, WorkfileTables
from benchtrail.storage.shelves import MemoryShelf


@dataclass
class _Tables:
    dealers: dict[str, Dealer] = field(default_factory=dict)
    positions: dict[str, int] = field(default_factory=dict)
    accounts: dict[str, Account] = field(default_factory=dict)
    sessions: dict[str, DeskSession] = field(default_factory=dict)
    password_codes: dict[str, PasswordCode] = field(default_factory=dict)
    desk: dict[tuple[object, ...], Any] = field(default_factory=dict)
    audit: list[AuditEntry] = field(default_factory=list)
    attempts: list[tuple[str, datetime]] = field(default_factory=list)
    devices: dict[tuple[str, str], Device] = field(default_factory=dict)
    codes: dict[str, EnrolmentCode] = field(default_factory=dict)
    events: list[StoredEvent] = field(default_factory=list)
    joins: dict[tuple[str, str, str], int] = field(default_factory=dict)
    quarantine: list[QuarantinedEvent] = field(default_factory=list)
    packs: list[PublishedPack] = field(default_factory=list)
    pictures: dict[tuple[str, str], Picture] = field(default_factory=dict)
    manifests: dict[tuple[str, int], SignedManifest] = field(default_factory=dict)
    bulletins: dict[tuple[str, str, str], Bulletin] = field(default_factory=dict)
    uploads: dict[str, Upload] = field(default_factory=dict)
    photos: dict[tuple[str, str], Photo] = field(default_factory=dict)
    photo_jobs: set[tuple[str, str, str]] = field(default_factory=set)
    workfiles: WorkfileTables = field(default_factory=WorkfileTables)


class MemoryStorage:
    """Records in this process; a unit works on a copy that replaces the whole when it ends well."""

    def __init__(self) -> None:
        self._tables = _Tables()
        self._writer = threading.Lock()

    @contextmanager
    def reading(self) -> Iterator["MemoryUnit"]:
        yield MemoryUnit(copy.copy(self._tables))

    @contextmanager
    def writing(self) -> Iterator["MemoryUnit"]:
        with self._writer:
            # Records themselves never change, so copying the containers is enough.
            work = _Tables(**{name: copy.copy(kept) for name, kept in vars(self._tables).items()})
            yield MemoryUnit(work)
            self._tables = work

    def close(self) -> None:
        """There is nothing to let go of."""

    def faults(self) -> list[str]:
        return []


class MemoryUnit:
    """The repositories over one set of tables."""

    def __init__(self, tables: _Tables) -> None:
        self.dealers = MemoryDealers(tables)
        self.accounts = MemoryAccounts(tables)
        self.audit = MemoryAudit(tables)
        self.proposals = MemoryShelf(tables.desk, Proposal)
        self.reviews = MemoryShelf(tables.desk, Review)
        self.withdrawals = MemoryShelf(tables.desk, Withdrawal)
        self.held_packs = MemoryShelf(tables.desk, HeldPacks)
        self.note_answers = MemoryShelf(tables.desk, NoteAnswer)
        self.machines = MemoryShelf(tables.desk, CustomerMachine)
        self.job_links = MemoryShelf(tables.desk, JobLink)
        self.frame_sites = MemoryShelf(tables.desk, FrameSites)
        self.passkeys = MemoryShelf(tables.desk, Passkey)
        self.job_summaries = MemoryShelf(tables.desk, JobSummary)
        self.attempts = MemoryAttempts(tables)
        self.devices = MemoryDevices(tables)
        self.events = MemoryEvents(tables)
        self.packs = MemoryPacks(tables)
        self.bulletins = MemoryBulletins(tables)
        self.photos = MemoryPhotos(tables)
        self.workfiles = MemoryWorkfiles(tables.workfiles)


class _Repository:
    def __init__(self, tables: _Tables) -> None:
        self._in = tables


def _must_be_new(clash: bool) -> None:
    if clash:
        raise ValueError("there is such a record already")


class MemoryDealers(_Repository):
    def all(self) -> list[Dealer]:
        return [self._in.dealers[slug] for slug in sorted(self._in.dealers)]

    def get(self, slug: str) -> Dealer | None:
        return self._in.dealers.get(slug)

    def add(self, dealer: Dealer) -> None:
        _must_be_new(dealer.slug in self._in.dealers)
        self._in.dealers[dealer.slug] = dealer

    def lock(self, slug: str) -> None:
        """The unit is the only writer already."""

    def take_positions(self, slug: str, count: int) -> int:
        self._in.positions[slug] = self._in.positions.get(slug, 0) + count
        return self._in.positions[slug] - count + 1

    def set_retention(self, slug: str, days: int | None) -> None:
        self._in.dealers[slug] = replace(self._in.dealers[slug], retention_days=days)

    def renew_epoch(self, slug: str, epoch: str) -> None:
        self._in.dealers[slug] = replace(self._in.dealers[slug], epoch=epoch)


class MemoryAccounts(_Repository):
    def add(self, account: Account) -> None:
        _must_be_new(account.name in self._in.accounts)
        self._in.accounts[account.name] = account

    def get(self, name: str) -> Account | None:
        return self._in.accounts.get(name)

    def all(self, dealer: str) -> list[Account]:
        return sorted((one for one in self._in.accounts.values() if one.dealer == dealer), key=lambda one: one.name)

    def set_password(self, name: str, password_hash: str) -> None:
        self._in.accounts[name] = replace(self._in.accounts[name], password_hash=password_hash)
        self.end_sessions(name)

    def some(self) -> bool:
        return bool(self._in.accounts)

    def put(self, account: Account) -> None:
        self._in.accounts[account.name] = account

    def add_code(self, code: PasswordCode) -> None:
        self._in.password_codes[code.code_hash] = code

    def code(self, code_hash: str) -> PasswordCode | None:
        return self._in.password_codes.get(code_hash)

    def use_code(self, code_hash: str, at: datetime) -> bool:
        code = self._in.password_codes.get(code_hash)
        if code is None or code.used_at:
            return False
        self._in.password_codes[code_hash] = replace(code, used_at=at)
        return True

    def end_codes(self, name: str, at: datetime) -> None:
        for code in [one for one in self._in.password_codes.values() if one.name == name and not one.used_at]:
            self._in.password_codes[code.code_hash] = replace(code, used_at=at)

    def sessions(self, dealer: str) -> list[DeskSession]:
        mine = sorted((one for one in self._in.sessions.values() if one.dealer == dealer), key=lambda one: one.id)
        return sorted(mine, key=lambda one: one.created_at, reverse=True)

    def end_sessions(self, name: str) -> None:
        for token_hash in [key for key, one in self._in.sessions.items() if one.name == name]:
            del self._in.sessions[token_hash]

    def add_session(self, session: DeskSession) -> None:
        self._in.sessions[session.token_hash] = session

    def session(self, token_hash: str) -> DeskSession | None:
        return self._in.sessions.get(token_hash)

    def end_session(self, token_hash: str) -> None:
        self._in.sessions.pop(token_hash, None)

    def end_expired(self, now: datetime) -> None:
        for token_hash in [key for key, one in self._in.sessions.items() if one.expires_at <= now]:
            del self._in.sessions[token_hash]


class MemoryAudit(_Repository):
    def add(self, entry: AuditEntry) -> None:
        _must_be_new(any((one.dealer, one.number) == (entry.dealer, entry.number) for one in self._in.audit))
        self._in.audit.append(entry)

    def last(self, dealer: str) -> AuditEntry | None:
        return next(iter(self.before(dealer, None, 1)), None)

    def before(self, dealer: str, number: int | None, limit: int) -> list[AuditEntry]:
        return [one for one in reversed(self.all(dealer)) if number is None or one.number < number][:limit]

    def all(self, dealer: str) -> list[AuditEntry]:
        return sorted((one for one in self._in.audit if one.dealer == dealer), key=lambda one: one.number)


class MemoryAttempts(_Repository):
    def add(self, key: str, at: datetime) -> None:
        self._in.attempts.append((key, at))

    def since(self, key: str, start: datetime) -> list[datetime]:
        return sorted(at for one, at in self._in.attempts if one == key and at > start)

    def forget(self, key: str, at: datetime) -> None:
        self._in.attempts = [one for one in self._in.attempts if one != (key, at)]

    def forget_before(self, moment: datetime) -> None:
        self._in.attempts = [one for one in self._in.attempts if one[1] >= moment]


class MemoryDevices(_Repository):
    def put(self, device: Device) -> None:
        self._in.devices[device.dealer, device.device] = device

    def get(self, dealer: str, device: str) -> Device | None:
        return self._in.devices.get((dealer, device))

    def by_credential(self, credential_hash: str) -> Device | None:
        return next((one for one in self._in.devices.values() if one.credential_hash == credential_hash), None)

    def all(self, dealer: str) -> list[Device]:
        mine = [one for one in self._in.devices.values() if one.dealer == dealer]
        return sorted(mine, key=lambda one: (one.enrolled_at, one.device))

    def add_code(self, code: EnrolmentCode) -> None:
        _must_be_new(code.code_hash in self._in.codes)
        self._in.codes[code.code_hash] = code

    def code(self, code_hash: str) -> EnrolmentCode | None:
        return self._in.codes.get(code_hash)

    def use_code(self, code_hash: str, device: str, at: datetime) -> bool:
        code = self._in.codes[code_hash]
        if code.used_at:
            return False
        self._in.codes[code_hash] = replace(code, used_at=at, used_by=device)
        return True


class MemoryEvents(_Repository):
    def add(self, events: Sequence[StoredEvent]) -> None:
        for event in events:
            _must_be_new(bool(self.held(event.dealer, [event.id], event.device, [event.seq])))
            self._in.events.append(event)

    def held(self, dealer: str, ids: Collection[str], device: str, numbers: Collection[int]) -> list[StoredEvent]:
        mine = [one for one in self._in.events if one.dealer == dealer]
        return [one for one in mine if one.id in ids or (one.device == device and one.seq in numbers)]

    def remark(self, dealer: str, id: str, remark: str) -> None:
        self._in.events = [
            replace(one, remark=remark) if (one.dealer, one.id) == (dealer, id) else one for one in self._in.events]

    def erase(self, dealer: str, job: str, texts: Mapping[str, str], at: datetime, device: str | None = None) -> None:
        self._in.events = [
            replace(one, text=texts[one.id], erased_at=at) if (one.dealer, one.job) == (dealer, job) and one.id in texts else one
            for one in self._in.events]
        self._in.quarantine = [
            replace(one, text=ERASED, values={}, erased_at=at)
            if (one.dealer, one.job) == (dealer, job) and device in (None, one.device) and one.erased_at is None else one
            for one in self._in.quarantine]
        self._in.desk.pop(("JobSummary", dealer, job), None)

    def settle(self, item: QuarantinedEvent) -> None:
        key = (item.dealer, item.device, item.sha256)
        self._in.quarantine = [
            item if (one.dealer, one.device, one.sha256) == key else one for one in self._in.quarantine]

    def of_job(self, dealer: str, job: str) -> list[StoredEvent]:
        mine = [one for one in self._in.events if (one.dealer, one.job) == (dealer, job)]
        return sorted(mine, key=lambda one: one.position)

    def all(self, dealer: str) -> list[StoredEvent]:
        return sorted((one for one in self._in.events if one.dealer == dealer), key=lambda one: one.position)

    def jobs(self, dealer: str) -> list[str]:
        latest: dict[str, datetime] = {}
        seen = [(one.dealer, one.job, one.received_at) for one in self._in.events]
        seen += [(one.dealer, one.job, one.received_at) for one in self._in.quarantine if one.job]
        for _, job, at in (one for one in seen if one[0] == dealer):
            latest[job] = max(at, latest.get(job, at))
        return sorted(latest, key=lambda job: (-latest[job].timestamp(), job))

    def marks(self, dealer: str) -> dict[str, JobMark]:
        marks = {}
        for job in self.jobs(dealer):
            positions = [one.position for one in self.of_job(dealer, job)]
            kept = self.quarantined(dealer, job)
            more = sum(one.settled is not None for one in kept) + sum(one.erased_at is not None for one in self.of_job(dealer, job))
            marks[job] = (len(positions), max(positions, default=0), len(kept) + more)
        return marks

    def job_ids(self, dealer: str, job: str, device: str) -> list[str]:
        kept = {one.claimed_id for one in self.quarantined(dealer, job) if one.device == device and one.claimed_id}
        return sorted(kept | {one.id for one in self.of_job(dealer, job)})

    def join(self, dealer: str, job: str, device: str, position: int) -> None:
        self._in.joins.setdefault((dealer, job, device), position)

    def joined(self, dealer: str, job: str, device: str) -> bool:
        return (dealer, job, device) in self._in.joins

    def after(self, dealer: str, device: str, place: PullPlace, limit: int) -> list[tuple[PullPlace, StoredEvent]]:
        found = []
        for one in self._in.events:
            since = self._in.joins.get((dealer, one.job, device))
            if one.dealer == dealer and since is not None:
                found.append(((max(one.position, since), one.position), one))
        return sorted(((at, one) for at, one in found if at > place), key=lambda pair: pair[0])[:limit]

    def held_numbers(self, dealer: str, device: str, above: int) -> list[int]:
        counted = {one.seq for one in self._in.events if (one.dealer, one.device) == (dealer, device)}
        kept = {one.claimed_seq for one in self.quarantined(dealer) if one.device == device and one.claimed_seq}
        return sorted(number for number in counted | kept if number > above)

    def quarantine(self, item: QuarantinedEvent) -> bool:
        key = (item.dealer, item.device, item.sha256)
        if any((one.dealer, one.device, one.sha256) == key for one in self._in.quarantine):
            return False
        self._in.quarantine.append(item)
        return True

    def quarantined(self, dealer: str, job: str | None = None) -> list[QuarantinedEvent]:
        found = [one for one in self._in.quarantine if one.dealer == dealer and job in (None, one.job)]
        return sorted(found, key=lambda one: (-one.received_at.timestamp(), one.sha256))


class MemoryPacks(_Repository):
    def add(self, pack: PublishedPack) -> None:
        _must_be_new(self.get(pack.dealer, pack.sha256) is not None)
        _must_be_new(self.revision(pack.dealer, pack.kind, pack.subject, pack.revision) is not None)
        self._in.packs.append(pack)

    def get(self, dealer: str, sha256: str) -> PublishedPack | None:
        return next((one for one in self._in.packs if (one.dealer, one.sha256) == (dealer, sha256)), None)

    def all(self, dealer: str) -> list[PublishedPack]:
        mine = [one for one in self._in.packs if one.dealer == dealer]
        return sorted(mine, key=lambda one: (one.kind, one.subject, -one.revision))

    def revision(self, dealer: str, kind: str, subject: str, revision: int) -> PublishedPack | None:
        key = (kind, subject, revision)
        return next((one for one in self.all(dealer) if (one.kind, one.subject, one.revision) == key), None)

    def known(self, sha256: str) -> PublishedPack | None:
        found = [one for one in self._in.packs if one.sha256 == sha256]
        return min(found, key=lambda one: one.dealer, default=None)

    def add_picture(self, picture: Picture) -> None:
        self._in.pictures.setdefault((picture.dealer, picture.sha256), picture)

    def picture(self, sha256: str) -> Picture | None:
        found = [one for one in self._in.pictures.values() if one.sha256 == sha256]
        return min(found, key=lambda one: one.dealer, default=None)

    def pictures(self, dealer: str) -> list[Picture]:
        mine = [one for one in self._in.pictures.values() if one.dealer == dealer]
        return sorted(mine, key=lambda one: one.sha256)

    def add_manifest(self, manifest: SignedManifest) -> None:
        _must_be_new((manifest.dealer, manifest.counter) in self._in.manifests)
        self._in.manifests[manifest.dealer, manifest.counter] = manifest

    def manifest(self, dealer: str) -> SignedManifest | None:
        mine = [one for one in self._in.manifests.values() if one.dealer == dealer]
        return max(mine, key=lambda one: one.counter, default=None)


class MemoryBulletins(_Repository):
    def add(self, bulletin: Bulletin) -> None:
        key = (bulletin.dealer, bulletin.from_sha256, bulletin.to_sha256)
        _must_be_new(key in self._in.bulletins)
        self._in.bulletins[key] = bulletin

    def all(self, dealer: str) -> list[Bulletin]:
        mine = [one for one in self._in.bulletins.values() if one.dealer == dealer]
        return sorted(mine, key=lambda one: (-one.issued_at.timestamp(), one.kind, one.subject, -one.from_revision))

    def to_pack(self, dealer: str, sha256: str) -> list[Bulletin]:
        mine = [one for one in self._in.bulletins.values() if (one.dealer, one.to_sha256) == (dealer, sha256)]
        return sorted(mine, key=lambda one: -one.from_revision)


class MemoryPhotos(_Repository):
    def add_upload(self, upload: Upload) -> None:
        _must_be_new(upload.id in self._in.uploads)
        self._in.uploads[upload.id] = upload

    def upload(self, id: str) -> Upload | None:
        return self._in.uploads.get(id)

    def uploads(self, dealer: str) -> list[Upload]:
        mine = [one for one in self._in.uploads.values() if one.dealer == dealer]
        return sorted(mine, key=lambda one: (one.created_at, one.id))

    def complete_upload(self, id: str, at: datetime) -> None:
        self._in.uploads[id] = replace(self._in.uploads[id], completed_at=at)

    def end_upload(self, id: str) -> None:
        self._in.uploads.pop(id, None)

    def put(self, photo: Photo) -> None:
        self._in.photos[photo.dealer, photo.sha256] = photo

    def get(self, dealer: str, sha256: str) -> Photo | None:
        return self._in.photos.get((dealer, sha256))

    def all(self, dealer: str) -> list[Photo]:
        mine = [one for one in self._in.photos.values() if one.dealer == dealer]
        return sorted(mine, key=lambda one: (one.received_at, one.sha256))

    def known_to(self, dealer: str, sha256: str, device: str) -> bool:
        photo = self.get(dealer, sha256)
        sent = any(one.sha256 == sha256 and one.device == device and one.completed_at for one in self.uploads(dealer))
        shared = any((dealer, device, job) in self._in.joins for owner, name, job in self._in.photo_jobs
                     if (owner, name) == (dealer, sha256))
        return bool(photo and photo.device == device) or sent or shared

    def join_job(self, dealer: str, sha256: str, job: str) -> None:
        self._in.photo_jobs.add((dealer, sha256, job))

    def jobs_of(self, dealer: str, sha256: str) -> set[str]:
        return {job for owner, name, job in self._in.photo_jobs if (owner, name) == (dealer, sha256)}

    def of_job(self, dealer: str, job: str) -> list[Photo]:
        return [one for one in self.all(dealer) if (dealer, one.sha256, job) in self._in.photo_jobs]

    def marks(self, dealer: str) -> dict[str, tuple[int, int]]:
        found = {job: self.of_job(dealer, job) for owner, _, job in self._in.photo_jobs if owner == dealer}
        return {job: (len(photos), sum(one.state in ("needs_person", "erased") for one in photos)) for job, photos in found.items()}
