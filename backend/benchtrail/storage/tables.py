"""The tables, one class each, named as the records they keep. Knows columns and keys; no queries, no rules.

Every table but the attempts carries the dealer, and every reference goes through it: a row can only ever point to rows
of its own dealer.
"""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    DateTime,
    Dialect,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Moment(TypeDecorator[datetime]):
    """A moment in UTC; SQLite would forget the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return value.astimezone(UTC) if value else None

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {datetime: Moment, dict[str, Any]: JSON, list[dict[str, Any]]: JSON}  # noqa: RUF012 - SQLAlchemy's own name and form


Slug = String(64)
Hash = String(64)
Id = String(36)
DEALER = "dealers.slug"


class DealerRow(Base):
    __tablename__ = "dealers"
    slug: Mapped[str] = mapped_column(Slug, primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    invented: Mapped[bool] = mapped_column(Boolean)
    kid: Mapped[str] = mapped_column(String(64))
    jwk: Mapped[dict[str, Any]]
    epoch: Mapped[str] = mapped_column(String(32))
    created_at: Mapped[datetime]
    last_position: Mapped[int] = mapped_column(BigInteger, default=0)
    retention_days: Mapped[int | None] = mapped_column(Integer)


class AccountRow(Base):
    __tablename__ = "accounts"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    name: Mapped[str] = mapped_column(String(80), primary_key=True)
    role: Mapped[str] = mapped_column(String(16))
    password_hash: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[datetime]
    closed_at: Mapped[datetime | None]
    __table_args__ = (UniqueConstraint("name"),)


class SessionRow(Base):
    __tablename__ = "desk_sessions"
    token_hash: Mapped[str] = mapped_column(Hash, primary_key=True)
    dealer: Mapped[str] = mapped_column(Slug)
    name: Mapped[str] = mapped_column(String(80))
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime] = mapped_column(index=True)
    id: Mapped[str] = mapped_column(Id, unique=True)
    browser: Mapped[str] = mapped_column(String(200))
    __table_args__ = (ForeignKeyConstraint(["dealer", "name"], ["accounts.dealer", "accounts.name"]),)


class PasswordCodeRow(Base):
    __tablename__ = "password_codes"
    code_hash: Mapped[str] = mapped_column(Hash, primary_key=True)
    dealer: Mapped[str] = mapped_column(Slug)
    name: Mapped[str] = mapped_column(String(80))
    made_by: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    __table_args__ = (ForeignKeyConstraint(["dealer", "name"], ["accounts.dealer", "accounts.name"]),)


class AuditRow(Base):
    """Migration 0003 puts triggers on it that refuse every change and removal."""

    __tablename__ = "audit_log"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    number: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    at: Mapped[datetime]
    by: Mapped[str] = mapped_column(String(120))
    act: Mapped[str] = mapped_column(String(40))
    subject: Mapped[str] = mapped_column(String(200))
    values: Mapped[dict[str, Any]]
    prev: Mapped[str | None] = mapped_column(Hash)
    sha256: Mapped[str] = mapped_column(Hash)


class AttemptRow(Base):
    __tablename__ = "attempts"
    number: Mapped[int] = mapped_column(Integer, primary_key=True)
    key: Mapped[str] = mapped_column(Hash)
    at: Mapped[datetime] = mapped_column(index=True)
    __table_args__ = (Index(None, "key", "at"),)


class DeviceRow(Base):
    __tablename__ = "devices"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    device: Mapped[str] = mapped_column(Id, primary_key=True)
    label: Mapped[str] = mapped_column(String(80))
    credential_hash: Mapped[str] = mapped_column(Hash, unique=True)
    enrolled_at: Mapped[datetime]
    last_seen_at: Mapped[datetime | None]
    waiting: Mapped[int | None] = mapped_column(Integer)
    high: Mapped[int] = mapped_column(BigInteger)
    revoked_at: Mapped[datetime | None]


class EnrolmentCodeRow(Base):
    __tablename__ = "enrolment_codes"
    code_hash: Mapped[str] = mapped_column(Hash, primary_key=True)
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER))
    label: Mapped[str] = mapped_column(String(80))
    made_by: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    used_by: Mapped[str | None] = mapped_column(Id)


class EventRow(Base):
    __tablename__ = "events"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    position: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    id: Mapped[str] = mapped_column(Id)
    device: Mapped[str] = mapped_column(Id)
    seq: Mapped[int] = mapped_column(BigInteger)
    job: Mapped[str] = mapped_column(Id)
    kind: Mapped[str] = mapped_column(String(64))
    sha256: Mapped[str] = mapped_column(Hash)
    text: Mapped[str] = mapped_column(Text)
    received_at: Mapped[datetime]
    remark: Mapped[str | None] = mapped_column(String(64))
    erased_at: Mapped[datetime | None]
    __table_args__ = (
        UniqueConstraint("dealer", "id"),
        UniqueConstraint("dealer", "device", "seq"),
        Index(None, "dealer", "job", "position"),
        ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"]),
    )


class JobDeviceRow(Base):
    __tablename__ = "job_devices"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    device: Mapped[str] = mapped_column(Id, primary_key=True)
    job: Mapped[str] = mapped_column(Id, primary_key=True)
    position: Mapped[int] = mapped_column(BigInteger)
    __table_args__ = (ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"]),)


class QuarantineRow(Base):
    __tablename__ = "quarantined_events"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    device: Mapped[str] = mapped_column(Id, primary_key=True)
    sha256: Mapped[str] = mapped_column(Hash, primary_key=True)
    claimed_id: Mapped[str | None] = mapped_column(Id)
    claimed_seq: Mapped[int | None] = mapped_column(BigInteger)
    job: Mapped[str | None] = mapped_column(Id)
    kind: Mapped[str | None] = mapped_column(String(64))
    reason: Mapped[str] = mapped_column(String(64))
    values: Mapped[dict[str, Any]]
    text: Mapped[str] = mapped_column(Text)
    received_at: Mapped[datetime]
    settled: Mapped[str | None] = mapped_column(String(16))
    settled_by: Mapped[str | None] = mapped_column(String(80))
    settled_at: Mapped[datetime | None]
    settled_reason: Mapped[str | None] = mapped_column(Text)
    erased_at: Mapped[datetime | None]
    __table_args__ = (
        Index(None, "dealer", "job"),
        ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"]),
    )


class BulletinRow(Base):
    __tablename__ = "bulletins"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    from_sha256: Mapped[str] = mapped_column(Hash, primary_key=True)
    to_sha256: Mapped[str] = mapped_column(Hash, primary_key=True)
    kind: Mapped[str] = mapped_column(String(16))
    subject: Mapped[str] = mapped_column(String(120))
    title: Mapped[str] = mapped_column(Text)
    from_revision: Mapped[int] = mapped_column(Integer)
    to_revision: Mapped[int] = mapped_column(Integer)
    issued_at: Mapped[datetime]
    issued_by: Mapped[str] = mapped_column(String(80))
    text: Mapped[str] = mapped_column(Text)
    changes: Mapped[list[dict[str, Any]]]
    __table_args__ = (
        Index(None, "dealer", "to_sha256"),
        ForeignKeyConstraint(["dealer", "from_sha256"], ["packs.dealer", "packs.sha256"]),
        ForeignKeyConstraint(["dealer", "to_sha256"], ["packs.dealer", "packs.sha256"]),
    )


class PackRow(Base):
    __tablename__ = "packs"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    sha256: Mapped[str] = mapped_column(Hash, primary_key=True)
    kind: Mapped[str] = mapped_column(String(16))
    subject: Mapped[str] = mapped_column(String(120))
    revision: Mapped[int] = mapped_column(Integer)
    title: Mapped[str] = mapped_column(Text)
    issued: Mapped[str] = mapped_column(String(10))
    change_note: Mapped[str] = mapped_column(Text)
    published_at: Mapped[datetime]
    published_by: Mapped[str] = mapped_column(String(80))
    entry: Mapped[dict[str, Any]]
    text_sha256: Mapped[str | None] = mapped_column(Hash)
    __table_args__ = (UniqueConstraint("dealer", "kind", "subject", "revision"), Index(None, "sha256"))


class PictureRow(Base):
    __tablename__ = "pictures"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    sha256: Mapped[str] = mapped_column(Hash, primary_key=True, index=True)
    mime: Mapped[str] = mapped_column(String(64))
    bytes: Mapped[int] = mapped_column(Integer)


class ManifestRow(Base):
    __tablename__ = "manifests"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    counter: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    payload: Mapped[str] = mapped_column(Text)
    signature: Mapped[str] = mapped_column(String(100))
    kid: Mapped[str] = mapped_column(String(64))
    issued_at: Mapped[datetime]


class UploadRow(Base):
    __tablename__ = "uploads"
    id: Mapped[str] = mapped_column(Id, primary_key=True)
    dealer: Mapped[str] = mapped_column(Slug)
    device: Mapped[str] = mapped_column(Id)
    job: Mapped[str] = mapped_column(Id)
    sha256: Mapped[str] = mapped_column(Hash)
    mime: Mapped[str] = mapped_column(String(64))
    bytes: Mapped[int] = mapped_column(BigInteger)
    created_at: Mapped[datetime]
    completed_at: Mapped[datetime | None]
    __table_args__ = (
        Index(None, "dealer", "sha256"),
        ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"]),
    )


class PhotoRow(Base):
    __tablename__ = "photos"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    sha256: Mapped[str] = mapped_column(Hash, primary_key=True)
    bytes: Mapped[int] = mapped_column(BigInteger)
    mime: Mapped[str] = mapped_column(String(64))
    device: Mapped[str] = mapped_column(Id)
    received_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(String(16), index=True)
    clean_sha256: Mapped[str | None] = mapped_column(Hash)
    clean_mime: Mapped[str | None] = mapped_column(String(64))
    width: Mapped[int | None] = mapped_column(Integer)
    height: Mapped[int | None] = mapped_column(Integer)
    reason: Mapped[str | None] = mapped_column(String(64))
    __table_args__ = (ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"]),)


class PhotoJobRow(Base):
    __tablename__ = "photo_jobs"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    sha256: Mapped[str] = mapped_column(Hash, primary_key=True)
    job: Mapped[str] = mapped_column(Id, primary_key=True)
    __table_args__ = (
        Index(None, "dealer", "job"),
        ForeignKeyConstraint(["dealer", "sha256"], ["photos.dealer", "photos.sha256"]),
    )


class WorkfileRow(Base):
    __tablename__ = "workfiles"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    id: Mapped[str] = mapped_column(Id, primary_key=True)
    path: Mapped[str] = mapped_column(String(400))
    kind: Mapped[str] = mapped_column(String(16))
    title: Mapped[str] = mapped_column(Text)
    model: Mapped[str | None] = mapped_column(String(200))
    version: Mapped[int] = mapped_column(Integer)
    started_at: Mapped[datetime]
    started_by: Mapped[str] = mapped_column(String(80))
    saved_at: Mapped[datetime]
    saved_by: Mapped[str] = mapped_column(String(80))
    put_away: Mapped[bool] = mapped_column(Boolean)
    __table_args__ = (Index(None, "dealer", "path"),)


class WorkfileVersionRow(Base):
    __tablename__ = "workfile_versions"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    workfile: Mapped[str] = mapped_column(Id, primary_key=True)
    version: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=False)
    text: Mapped[str] = mapped_column(Text)
    saved_at: Mapped[datetime]
    saved_by: Mapped[str] = mapped_column(String(80))
    __table_args__ = (ForeignKeyConstraint(["dealer", "workfile"], ["workfiles.dealer", "workfiles.id"]),)


class WorkPictureRow(Base):
    __tablename__ = "work_pictures"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    folder: Mapped[str] = mapped_column(String(300), primary_key=True)
    name: Mapped[str] = mapped_column(String(100), primary_key=True)
    sha256: Mapped[str] = mapped_column(Hash)
    mime: Mapped[str] = mapped_column(String(64))
    bytes: Mapped[int] = mapped_column(Integer)
    added_at: Mapped[datetime]
    added_by: Mapped[str] = mapped_column(String(80))
