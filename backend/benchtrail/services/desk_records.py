"""What the desk keeps beside packs and journals: proposals and their reviews, withdrawals, answers, machines, summaries.

Plain records, as in records.py; the first fields of each, up to `KEY`, name it.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Literal

from benchtrail.services.records import JsonObject

ProposalState = Literal["open", "accepted", "sent_back", "published", "taken_back"]


@dataclass(frozen=True)
class Proposal:
    """Texts that someone wants published. `files`: `[{path, text}]`, as they are reviewed and as they are published;
    `published`: hashes of the packs that came of them."""

    KEY: ClassVar[int] = 2
    dealer: str
    id: str
    title: str
    files: list[JsonObject]
    change_note: str
    bulletin: str
    workfile: str | None
    version: int | None
    made_by: str
    made_at: datetime
    state: ProposalState = "open"
    published: list[str] = field(default_factory=list)
    published_by: str | None = None
    published_at: datetime | None = None


@dataclass(frozen=True)
class Review:
    """What a person said about a proposal. `own`: its writer reviewed it; then `words` is the reason."""

    KEY: ClassVar[int] = 3
    dealer: str
    proposal: str
    number: int
    by: str
    at: datetime
    verdict: Literal["accepted", "sent_back"]
    words: str
    own: bool


@dataclass(frozen=True)
class Withdrawal:
    """A procedure taken out of what is current; its revisions stay. It ends with the next revision."""

    KEY: ClassVar[int] = 3
    dealer: str
    subject: str
    revision: int
    by: str
    at: datetime
    reason: str


@dataclass(frozen=True)
class HeldPacks:
    """Which packs a phone said it keeps."""

    KEY: ClassVar[int] = 2
    dealer: str
    device: str
    packs: list[str]
    at: datetime


@dataclass(frozen=True)
class NoteAnswer:
    """The dealer's answer to a note; `event` is the note's, `position` grows with every answer of the dealer."""

    KEY: ClassVar[int] = 2
    dealer: str
    position: int
    job: str
    event: str
    text: str
    by: str
    at: datetime


@dataclass(frozen=True)
class CustomerMachine:
    """A machine in the dealer's register. Its hours are those last told, by a job or at the desk."""

    KEY: ClassVar[int] = 2
    dealer: str
    id: str
    name: str
    customer: str
    model: str | None
    year: int | None
    options: list[str]
    serial: str | None
    hours: float | None
    hours_at: datetime | None
    words: str
    saved_by: str
    saved_at: datetime


@dataclass(frozen=True)
class JobSummary:
    """A job's row of the list as it was folded when its events and photos stood at `mark`; `made_with` names the form.
    It can be made anew from the journal at any time."""

    KEY: ClassVar[int] = 2
    dealer: str
    job: str
    mark: str
    made_with: str
    summary: JsonObject


@dataclass(frozen=True)
class JobLink:
    """A link that opens one procedure for one machine of the register on a phone, until it ends. Its token is made from its
    id and the server's secret, so what is kept here opens nothing."""

    KEY: ClassVar[int] = 2
    dealer: str
    id: str
    machine: str
    procedure: str
    made_by: str
    made_at: datetime
    expires_at: datetime
    withdrawn_at: datetime | None = None
    opened_at: datetime | None = None


@dataclass(frozen=True)
class FrameSites:
    """The sites that may show the dealer's plain pages in a frame, as the owner set them."""

    KEY: ClassVar[int] = 1
    dealer: str
    sites: list[str]


@dataclass(frozen=True)
class Passkey:
    """A credential with which someone signs in without a password (WebAuthn). `id` and `public_key` are base64url, as the
    authenticator gave them; `label` is the person's own word for it; `site` is where it was made, the only place it works."""

    KEY: ClassVar[int] = 2
    dealer: str
    id: str
    name: str
    label: str
    site: str
    public_key: str
    sign_count: int
    made_at: datetime
    used_at: datetime | None = None
