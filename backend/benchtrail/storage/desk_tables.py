"""Tables of what the desk keeps (services/desk_records.py). Knows columns and keys; no rules."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, Boolean, Float, ForeignKey, ForeignKeyConstraint, Index, Integer, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from benchtrail.storage.tables import DEALER, Base, Hash, Id, Slug

Name = String(80)


class ProposalRow(Base):
    __tablename__ = "proposals"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    id: Mapped[str] = mapped_column(Id, primary_key=True)
    title: Mapped[str] = mapped_column(Text)
    files: Mapped[list[Any]] = mapped_column(JSON)
    change_note: Mapped[str] = mapped_column(Text)
    bulletin: Mapped[str] = mapped_column(Text)
    workfile: Mapped[str | None] = mapped_column(Id)
    version: Mapped[int | None] = mapped_column(Integer)
    made_by: Mapped[str] = mapped_column(Name)
    made_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(String(16))
    published: Mapped[list[Any]] = mapped_column(JSON)
    published_by: Mapped[str | None] = mapped_column(Name)
    published_at: Mapped[datetime | None]


class ReviewRow(Base):
    __tablename__ = "reviews"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    proposal: Mapped[str] = mapped_column(Id, primary_key=True)
    number: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=False)
    by: Mapped[str] = mapped_column(Name)
    at: Mapped[datetime]
    verdict: Mapped[str] = mapped_column(String(16))
    words: Mapped[str] = mapped_column(Text)
    own: Mapped[bool] = mapped_column(Boolean)
    __table_args__ = (ForeignKeyConstraint(["dealer", "proposal"], ["proposals.dealer", "proposals.id"]),)


class WithdrawalRow(Base):
    __tablename__ = "withdrawals"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    subject: Mapped[str] = mapped_column(String(120), primary_key=True)
    revision: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=False)
    by: Mapped[str] = mapped_column(Name)
    at: Mapped[datetime]
    reason: Mapped[str] = mapped_column(Text)


class HeldPacksRow(Base):
    __tablename__ = "held_packs"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    device: Mapped[str] = mapped_column(Id, primary_key=True)
    packs: Mapped[list[Any]] = mapped_column(JSON)
    at: Mapped[datetime]
    __table_args__ = (ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"]),)


class NoteAnswerRow(Base):
    __tablename__ = "note_answers"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    position: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    job: Mapped[str] = mapped_column(Id)
    event: Mapped[str] = mapped_column(Id)
    text: Mapped[str] = mapped_column(Text)
    by: Mapped[str] = mapped_column(Name)
    at: Mapped[datetime]
    __table_args__ = (Index(None, "dealer", "job"),)


class CustomerMachineRow(Base):
    __tablename__ = "customer_machines"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    name: Mapped[str] = mapped_column(String(300))
    customer: Mapped[str] = mapped_column(String(200))
    model: Mapped[str | None] = mapped_column(String(120))
    year: Mapped[int | None] = mapped_column(Integer)
    options: Mapped[list[Any]] = mapped_column(JSON)
    serial: Mapped[str | None] = mapped_column(String(120))
    hours: Mapped[float | None] = mapped_column(Float)
    hours_at: Mapped[datetime | None]
    words: Mapped[str] = mapped_column(Text)
    saved_by: Mapped[str] = mapped_column(Name)
    saved_at: Mapped[datetime]


class JobSummaryRow(Base):
    __tablename__ = "job_summaries"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    job: Mapped[str] = mapped_column(Id, primary_key=True)
    mark: Mapped[str] = mapped_column(String(120))
    made_with: Mapped[str] = mapped_column(Hash)
    summary: Mapped[dict[str, Any]]


class JobLinkRow(Base):
    __tablename__ = "job_links"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    id: Mapped[str] = mapped_column(Id, primary_key=True)
    machine: Mapped[str] = mapped_column(String(64))
    procedure: Mapped[str] = mapped_column(String(120))
    made_by: Mapped[str] = mapped_column(Name)
    made_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    withdrawn_at: Mapped[datetime | None]
    opened_at: Mapped[datetime | None]


class FrameSitesRow(Base):
    __tablename__ = "frame_sites"
    dealer: Mapped[str] = mapped_column(Slug, ForeignKey(DEALER), primary_key=True)
    sites: Mapped[list[Any]] = mapped_column(JSON)


class PasskeyRow(Base):
    __tablename__ = "passkeys"
    dealer: Mapped[str] = mapped_column(Slug, primary_key=True)
    id: Mapped[str] = mapped_column(String(1400), primary_key=True)
    name: Mapped[str] = mapped_column(Name)
    label: Mapped[str] = mapped_column(Name)
    site: Mapped[str] = mapped_column(String(255))
    public_key: Mapped[str] = mapped_column(Text)
    sign_count: Mapped[int] = mapped_column(BigInteger)
    made_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    __table_args__ = (ForeignKeyConstraint(["dealer", "name"], ["accounts.dealer", "accounts.name"]),)
