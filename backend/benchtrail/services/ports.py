"""What the services need from the world outside, as interfaces; implemented in `storage`, for real and in memory.

Contract tests in tests/storage/ hold every implementation to the same behaviour.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, Protocol, TypeVar

from benchtrail.clock import Clock
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
from benchtrail.services.records import (
    Account,
    AuditEntry,
    Bulletin,
    Dealer,
    DeskSession,
    Device,
    EnrolmentCode,
    JsonObject,
    PasswordCode,
    Photo,
    Picture,
    PublishedPack,
    QuarantinedEvent,
    SignedManifest,
    StoredEvent,
    Upload,
    Workfile,
    WorkfileVersion,
    WorkPicture,
)

PullPlace = tuple[int, int]
"""Where a phone stands in what it pulls: (when the event became visible to it, position of the event)."""


JobMark = tuple[int, int, int]
"""Of a job: how many events, the position of the last one, and a count that grows with every item that comes into
quarantine, is settled there, and with every event that is erased."""


class Dealers(Protocol):
    """The dealerships of this server."""

    def all(self) -> list[Dealer]: ...
    def get(self, slug: str) -> Dealer | None: ...
    def add(self, dealer: Dealer) -> None: ...
    def lock(self, slug: str) -> None:
        """Lets no other writer of this dealer in until the unit ends: numbers given out become visible in order."""

    def take_positions(self, slug: str, count: int) -> int:
        """Sets `count` event positions aside and answers the first of them; they grow from 1. Only after `lock`."""

    def set_retention(self, slug: str, days: int | None) -> None: ...
    def renew_epoch(self, slug: str, epoch: str) -> None:
        """Tells phones that what they had from this server must be compared again."""


class Accounts(Protocol):
    """Accounts and signed-in browsers of the desk, and how often someone tried."""

    def add(self, account: Account) -> None: ...
    def get(self, name: str) -> Account | None: ...
    def all(self, dealer: str) -> list[Account]: ...
    def some(self) -> bool:
        """True if anyone at all has an account on this server."""

    def put(self, account: Account) -> None:
        """Replaces what is known of the account."""

    def set_password(self, name: str, password_hash: str) -> None:
        """Ends every session of the account too."""

    def add_code(self, code: PasswordCode) -> None: ...
    def code(self, code_hash: str) -> PasswordCode | None: ...
    def use_code(self, code_hash: str, at: datetime) -> bool:
        """Marks the code as used; False if someone else was first."""

    def end_codes(self, name: str, at: datetime) -> None:
        """Marks every unused code of the account as used."""

    def sessions(self, dealer: str) -> list[DeskSession]:
        """Newest first; those that have run out too."""

    def end_sessions(self, name: str) -> None: ...
    def add_session(self, session: DeskSession) -> None: ...
    def session(self, token_hash: str) -> DeskSession | None: ...
    def end_session(self, token_hash: str) -> None: ...
    def end_expired(self, now: datetime) -> None: ...


class AuditLog(Protocol):
    """Who did what. Lines are added, never changed or taken out; the tables themselves refuse it."""

    def add(self, entry: AuditEntry) -> None: ...
    def last(self, dealer: str) -> AuditEntry | None: ...
    def before(self, dealer: str, number: int | None, limit: int) -> list[AuditEntry]:
        """Lines with a smaller number (or from the last on), newest first."""

    def all(self, dealer: str) -> list[AuditEntry]:
        """Every line, oldest first."""


class Attempts(Protocol):
    """Failed attempts by key, for slowing down guessing."""

    def add(self, key: str, at: datetime) -> None: ...
    def since(self, key: str, start: datetime) -> list[datetime]:
        """Moments of the attempts after `start`, oldest first."""

    def forget(self, key: str, at: datetime) -> None: ...
    def forget_before(self, moment: datetime) -> None: ...


class Devices(Protocol):
    """Enrolled phones and the codes that enrol them."""

    def put(self, device: Device) -> None:
        """Adds the phone, or replaces what was known of it."""

    def get(self, dealer: str, device: str) -> Device | None: ...
    def by_credential(self, credential_hash: str) -> Device | None: ...
    def all(self, dealer: str) -> list[Device]: ...
    def add_code(self, code: EnrolmentCode) -> None: ...
    def code(self, code_hash: str) -> EnrolmentCode | None: ...
    def use_code(self, code_hash: str, device: str, at: datetime) -> bool:
        """Marks the code as used; False if someone else was first."""


class Events(Protocol):
    """Journals of all jobs, and what was sent but cannot count."""

    def add(self, events: Sequence[StoredEvent]) -> None: ...
    def held(self, dealer: str, ids: Collection[str], device: str, numbers: Collection[int]) -> list[StoredEvent]:
        """The events with one of the ids, and those of the device with one of the numbers."""

    def remark(self, dealer: str, id: str, remark: str) -> None: ...
    def erase(self, dealer: str, job: str, texts: Mapping[str, str], at: datetime, device: str | None = None) -> None:
        """Puts other texts in place of those of the job's events, by id, and takes the texts of its quarantine out: all,
        or those that this device sent."""

    def settle(self, item: QuarantinedEvent) -> None:
        """Keeps what a person decided about an item that lies there."""

    def of_job(self, dealer: str, job: str) -> list[StoredEvent]:
        """In the order of their positions."""

    def all(self, dealer: str) -> list[StoredEvent]:
        """Every event, in the order of their positions."""

    def jobs(self, dealer: str) -> list[str]:
        """Ids of all jobs that anything was sent for, newest news first."""

    def marks(self, dealer: str) -> dict[str, JobMark]:
        """For each job what changes whenever anything comes in for it."""

    def job_ids(self, dealer: str, job: str, device: str) -> list[str]:
        """Ids of the job's events, with those of this device's that lie in quarantine."""

    def join(self, dealer: str, job: str, device: str, position: int) -> None:
        """The device takes part in the job since this position; later calls change nothing."""

    def joined(self, dealer: str, job: str, device: str) -> bool: ...
    def after(self, dealer: str, device: str, place: PullPlace, limit: int) -> list[tuple[PullPlace, StoredEvent]]:
        """Events of the jobs this device takes part in, after a place, in the order of places."""

    def held_numbers(self, dealer: str, device: str, above: int) -> list[int]:
        """Event numbers of the device above `above` that are held, counted or in quarantine; ascending."""

    def quarantine(self, item: QuarantinedEvent) -> bool:
        """Keeps the item; False if the same bytes from the same device lie there already."""

    def quarantined(self, dealer: str, job: str | None = None) -> list[QuarantinedEvent]:
        """All of the dealer's, or those of one job; newest first."""


class Packs(Protocol):
    """Published revisions, their pictures, and the manifests."""

    def add(self, pack: PublishedPack) -> None: ...
    def get(self, dealer: str, sha256: str) -> PublishedPack | None: ...
    def all(self, dealer: str) -> list[PublishedPack]:
        """Every revision, by kind, subject and falling revision."""

    def revision(self, dealer: str, kind: str, subject: str, revision: int) -> PublishedPack | None: ...
    def known(self, sha256: str) -> PublishedPack | None:
        """A pack by its hash alone: packs are public."""

    def add_picture(self, picture: Picture) -> None:
        """Adds the picture; one that is known already stays as it is."""

    def picture(self, sha256: str) -> Picture | None: ...
    def pictures(self, dealer: str) -> list[Picture]: ...
    def add_manifest(self, manifest: SignedManifest) -> None: ...
    def manifest(self, dealer: str) -> SignedManifest | None:
        """The one with the highest counter."""


class Bulletins(Protocol):
    """What changed from one published revision to a later one."""

    def add(self, bulletin: Bulletin) -> None: ...
    def all(self, dealer: str) -> list[Bulletin]:
        """Newest first; of one moment by subject, then by falling earlier revision."""

    def to_pack(self, dealer: str, sha256: str) -> list[Bulletin]:
        """Those that lead to this pack, by falling earlier revision."""


class Photos(Protocol):
    """What is known of photos; their bytes are in `Files`."""

    def add_upload(self, upload: Upload) -> None: ...
    def upload(self, id: str) -> Upload | None: ...
    def uploads(self, dealer: str) -> list[Upload]: ...
    def complete_upload(self, id: str, at: datetime) -> None: ...
    def end_upload(self, id: str) -> None: ...
    def put(self, photo: Photo) -> None:
        """Adds the photo, or replaces what was known of it."""

    def get(self, dealer: str, sha256: str) -> Photo | None: ...
    def all(self, dealer: str) -> list[Photo]: ...
    def known_to(self, dealer: str, sha256: str, device: str) -> bool:
        """True if the phone sent the photo itself, or takes part in a job that it belongs to."""

    def join_job(self, dealer: str, sha256: str, job: str) -> None: ...
    def jobs_of(self, dealer: str, sha256: str) -> set[str]: ...
    def of_job(self, dealer: str, job: str) -> list[Photo]: ...
    def marks(self, dealer: str) -> dict[str, tuple[int, int]]:
        """For each job how many photos are here, and how many of them were looked into without success."""


class Workfiles(Protocol):
    """Texts that are being written, with every version saved, and their pictures."""

    def put(self, workfile: Workfile) -> None:
        """Adds the workfile, or replaces what was known of it."""

    def get(self, dealer: str, id: str) -> Workfile | None: ...
    def all(self, dealer: str) -> list[Workfile]:
        """The one saved last first."""

    def at(self, dealer: str, path: str) -> Workfile | None:
        """The one at a place of the library that is not put away."""

    def add_version(self, version: WorkfileVersion) -> None: ...
    def version(self, dealer: str, workfile: str, version: int) -> WorkfileVersion | None: ...
    def versions(self, dealer: str, workfile: str) -> list[WorkfileVersion]:
        """Newest first."""

    def add_picture(self, picture: WorkPicture) -> None: ...
    def pictures(self, dealer: str, folder: str) -> list[WorkPicture]:
        """By name."""


Record = TypeVar("Record")


class Keyed(Protocol[Record]):
    """The desk's records of one kind, each under its key (services/desk_records.py)."""

    def put(self, record: Record) -> None:
        """Adds the record, or replaces the one with its key."""

    def get(self, *key: object) -> Record | None: ...
    def all(self, dealer: str, **equal: object) -> list[Record]:
        """The dealer's, those only whose fields equal what is given, in the order of their keys."""

    def drop(self, *key: object) -> None: ...


class Unit(Protocol):
    """One unit of work: everything in it becomes true together, or nothing does."""

    @property
    def dealers(self) -> Dealers: ...
    @property
    def accounts(self) -> Accounts: ...
    @property
    def audit(self) -> AuditLog: ...
    @property
    def proposals(self) -> Keyed[Proposal]: ...
    @property
    def reviews(self) -> Keyed[Review]: ...
    @property
    def withdrawals(self) -> Keyed[Withdrawal]: ...
    @property
    def held_packs(self) -> Keyed[HeldPacks]: ...
    @property
    def note_answers(self) -> Keyed[NoteAnswer]: ...
    @property
    def machines(self) -> Keyed[CustomerMachine]: ...
    @property
    def job_links(self) -> Keyed[JobLink]: ...
    @property
    def frame_sites(self) -> Keyed[FrameSites]: ...
    @property
    def passkeys(self) -> Keyed[Passkey]: ...
    @property
    def job_summaries(self) -> Keyed[JobSummary]: ...
    @property
    def attempts(self) -> Attempts: ...
    @property
    def devices(self) -> Devices: ...
    @property
    def events(self) -> Events: ...
    @property
    def packs(self) -> Packs: ...
    @property
    def bulletins(self) -> Bulletins: ...
    @property
    def photos(self) -> Photos: ...
    @property
    def workfiles(self) -> Workfiles: ...


class Storage(Protocol):
    """Where records are kept."""

    def reading(self) -> AbstractContextManager[Unit]:
        """A consistent view."""

    def writing(self) -> AbstractContextManager[Unit]:
        """Durable (committed and flushed to disk) when the block ends without an exception; undone otherwise.
        Raises Refused("server_busy") when other writers do not let it in in time."""

    def close(self) -> None:
        """Lets go of every connection; a later unit opens them anew."""

    def faults(self) -> list[str]:
        """What the database itself finds wrong with its files; empty when nothing."""


@dataclass(frozen=True)
class TableShape:
    """A table whose rows can be carried to another server: its columns without secrets, and those a row must have."""

    name: str
    columns: tuple[str, ...]
    needed: tuple[str, ...]


class DealerTables(Protocol):
    """All rows of one dealer as plain objects (moments as text), for carrying them to another server."""

    def shapes(self) -> list[TableShape]:
        """The tables, in the order in which references allow filling them."""

    def reading(self, dealer: str) -> AbstractContextManager[Callable[[str], Iterator[JsonObject]]]:
        """One consistent view: rows of the dealer by the table's name, in the order of their keys."""

    def fill(self, rows: Iterable[tuple[str, JsonObject]], then: Callable[[Unit], None]) -> None:
        """Adds all rows `(table, row)` and does `then`, in one unit of work: all of it or nothing. Secrets are made anew.
        Raises Refused("dealer_file_clash") when a row is there already or points to nothing."""


Room = Literal["packs", "texts", "pictures", "uploads", "quarantine", "photos"]


class Files(Protocol):
    """Files of each dealer by room and name. A name is lower-case hex and hyphens, nothing else."""

    def put(self, dealer: str, room: Room, name: str, content: bytes) -> None:
        """Whole and durable, or not there at all."""

    def get(self, dealer: str, room: Room, name: str) -> bytes | None: ...
    def size(self, dealer: str, room: Room, name: str) -> int | None: ...
    def append(self, dealer: str, room: Room, name: str, offset: int, content: bytes) -> int:
        """Writes at `offset`, cutting off whatever lay behind it; durable; answers the new length."""

    def remove(self, dealer: str, room: Room, name: str) -> None: ...
    def names(self, dealer: str, room: Room) -> Iterable[str]: ...
    def unfinished(self, dealer: str) -> int:
        """How many files of broken-off writes lie about; they hold nothing that was promised."""

    def clear_unfinished(self, dealer: str) -> None: ...


class Signer(Protocol):
    """Signs for one dealer with ECDSA P-256 and SHA-256."""

    @property
    def kid(self) -> str: ...
    @property
    def jwk(self) -> JsonObject: ...
    def sign(self, content: bytes) -> str:
        """64 bytes r‖s, base64url without padding."""


class Signers(Protocol):
    """The signing keys that this computer holds."""

    def make(self, dealer: str) -> Signer:
        """The dealer's key, made if it is not there yet."""

    def get(self, dealer: str) -> Signer:
        """Raises Refused: signing_key_missing, signing_key_unreadable."""

    def verifies(self, jwk: JsonObject, content: bytes, signature: str) -> bool:
        """True if the signature over the content was made with the key."""

    def thumbprint(self, jwk: JsonObject) -> str:
        """The name of a public key, by which people compare it. Source: RFC 7638."""


class Passwords(Protocol):
    """Hashes passwords slowly."""

    def hash(self, password: str) -> str: ...
    def matches(self, password_hash: str, password: str) -> bool: ...


@dataclass(frozen=True)
class CleanPhoto:
    """A picture made anew, free of metadata."""

    content: bytes
    mime: str
    width: int
    height: int


class PhotoCleaner(Protocol):
    """Decodes a photo where it can do no harm."""

    def clean(self, content: bytes) -> CleanPhoto:
        """Raises Refused with the reason when the bytes are not a picture that can be shown."""


class PhotoQueue(Protocol):
    """Photos to be looked into soon."""

    def put(self, dealer: str, sha256: str) -> None: ...


class UploadLocks(Protocol):
    """One writer per upload."""

    def hold(self, id: str) -> AbstractContextManager[None]:
        """Raises Refused("upload_in_use") when another request is writing to it."""


@dataclass(frozen=True)
class Ports:
    """Everything that the services need, handed to them as their first argument. `change_texts`: the words of changes
    between two packs (shared/texts/difference.en.json)."""

    storage: Storage
    tables: DealerTables
    files: Files
    signers: Signers
    passwords: Passwords
    cleaner: PhotoCleaner
    photo_queue: PhotoQueue
    upload_locks: UploadLocks
    clock: Clock
    secret: bytes
    change_texts: Mapping[str, Mapping[str, str]]
