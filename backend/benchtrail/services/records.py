"""What is kept, as plain records. Knows shapes only; nothing of databases, files or HTTP.

Every record carries the slug of its dealer: dealers on one server are fully apart.
"""

import uuid
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

Role = Literal["owner", "author", "reviewer", "reader"]
JsonObject = dict[str, Any]
ERASED = '{"erased":true}'
"""What stands in place of a body that was erased."""


@dataclass(frozen=True)
class Dealer:
    """A dealership. `kid` and `jwk` are its public signing key; `epoch` changes when the server was restored;
    `retention_days`: how long the contents of closed jobs are kept, None for good."""

    slug: str
    name: str
    invented: bool
    kid: str
    jwk: JsonObject
    epoch: str
    created_at: datetime
    retention_days: int | None = None


@dataclass(frozen=True)
class Account:
    """Someone of the dealer who signs in at the desk."""

    dealer: str
    name: str
    role: Role
    password_hash: str
    created_at: datetime
    closed_at: datetime | None = None


@dataclass(frozen=True)
class DeskSession:
    """A signed-in browser; `token_hash` is the hash of what its cookie holds, `id` names it to people, `browser` is
    how the browser calls itself."""

    token_hash: str
    dealer: str
    name: str
    created_at: datetime
    expires_at: datetime
    id: str = field(default_factory=lambda: str(uuid.uuid4()))
    browser: str = ""


@dataclass(frozen=True)
class PasswordCode:
    """A one-time code with which someone sets their own password; only the code's hash is kept."""

    code_hash: str
    dealer: str
    name: str
    made_by: str
    made_at: datetime
    expires_at: datetime
    used_at: datetime | None = None


@dataclass(frozen=True)
class AuditEntry:
    """One line of the audit log, which is only ever added to. `sha256` is over everything before it and `prev`, the hash
    of the line before; so a line that is changed or taken out later shows."""

    dealer: str
    number: int
    at: datetime
    by: str
    act: str
    subject: str
    values: JsonObject
    prev: str | None
    sha256: str


@dataclass(frozen=True)
class Device:
    """An enrolled phone. `waiting` is how many items it had not yet sent at its last contact; `high` is the highest
    event number up to which the server holds every one of its events."""

    dealer: str
    device: str
    label: str
    credential_hash: str
    enrolled_at: datetime
    last_seen_at: datetime | None = None
    waiting: int | None = None
    high: int = 0
    revoked_at: datetime | None = None


@dataclass(frozen=True)
class EnrolmentCode:
    """A one-time code that makes a phone known to a dealer; only the code's hash is kept."""

    code_hash: str
    dealer: str
    label: str
    made_by: str
    made_at: datetime
    expires_at: datetime
    used_at: datetime | None = None
    used_by: str | None = None


@dataclass(frozen=True)
class StoredEvent:
    """One event of a journal. `text` is its whole envelope as ASCII JSON; `remark` is a code of something odd about it
    that a person should see, though it counts. Once erased, its body is gone from `text`; `sha256` stays that of what came."""

    dealer: str
    position: int
    id: str
    device: str
    seq: int
    job: str
    kind: str
    sha256: str
    text: str
    received_at: datetime
    remark: str | None = None
    erased_at: datetime | None = None


@dataclass(frozen=True)
class QuarantinedEvent:
    """Something sent as an event that cannot count as one; kept as it came, with the code and values of the reason.
    `settled`: what a person decided, who, when, and why."""

    dealer: str
    sha256: str
    device: str
    claimed_id: str | None
    claimed_seq: int | None
    job: str | None
    kind: str | None
    reason: str
    values: JsonObject
    text: str
    received_at: datetime
    settled: Literal["taken_up", "dismissed"] | None = None
    settled_by: str | None = None
    settled_at: datetime | None = None
    settled_reason: str | None = None
    erased_at: datetime | None = None


@dataclass(frozen=True)
class Bulletin:
    """That one revision replaces an earlier one: the changes between them (domain/difference), and the dealer's words."""

    dealer: str
    kind: Literal["procedure", "model"]
    subject: str
    title: str
    from_sha256: str
    from_revision: int
    to_sha256: str
    to_revision: int
    issued_at: datetime
    issued_by: str
    text: str
    changes: list[JsonObject]


@dataclass(frozen=True)
class PublishedPack:
    """One published revision, kept for ever. `entry` is its line in the manifest (shared/README.md §10); `text_sha256`
    names the dealer's text that it was compiled from."""

    dealer: str
    sha256: str
    kind: Literal["procedure", "model"]
    subject: str
    revision: int
    title: str
    issued: str
    change_note: str
    published_at: datetime
    published_by: str
    entry: JsonObject
    text_sha256: str | None = None


@dataclass(frozen=True)
class Picture:
    """A picture that a pack shows, named by its hash."""

    dealer: str
    sha256: str
    mime: str
    bytes: int


@dataclass(frozen=True)
class SignedManifest:
    """What is current, signed. Every one ever issued is kept."""

    dealer: str
    counter: int
    payload: str
    signature: str
    kid: str
    issued_at: datetime


@dataclass(frozen=True)
class Upload:
    """A photo on its way, piece by piece. How far it has come is the length of its file, until it is complete."""

    dealer: str
    id: str
    device: str
    job: str
    sha256: str
    mime: str
    bytes: int
    created_at: datetime
    completed_at: datetime | None = None


PhotoState = Literal["held", "clean", "needs_person", "erased"]


@dataclass(frozen=True)
class Photo:
    """A photo that the server has, named by the hash of what the phone sent. `held`: whole, not yet looked into;
    `clean`: a copy without metadata is under `clean_sha256`; `needs_person`: could not be decoded, never shown;
    `erased`: its bytes were removed at somebody's wish."""

    dealer: str
    sha256: str
    bytes: int
    mime: str
    device: str
    received_at: datetime
    state: PhotoState = "held"
    clean_sha256: str | None = None
    clean_mime: str | None = None
    width: int | None = None
    height: int | None = None
    reason: str | None = None


@dataclass(frozen=True)
class Workfile:
    """A text that is being written at the desk: a map or a procedure. `path` is its place in the library; `title` and
    `model` are as its newest version says; `version` is the number of that version, from 1."""

    dealer: str
    id: str
    path: str
    kind: Literal["map", "procedure"]
    title: str
    model: str | None
    version: int
    started_at: datetime
    started_by: str
    saved_at: datetime
    saved_by: str
    put_away: bool = False


@dataclass(frozen=True)
class WorkfileVersion:
    """One saved text of a workfile, kept for ever."""

    dealer: str
    workfile: str
    version: int
    text: str
    saved_at: datetime
    saved_by: str


@dataclass(frozen=True)
class WorkPicture:
    """A picture for the workfiles of one folder of the library; `name` stands in their texts, `pictures/…`."""

    dealer: str
    folder: str
    name: str
    sha256: str
    mime: str
    bytes: int
    added_at: datetime
    added_by: str
