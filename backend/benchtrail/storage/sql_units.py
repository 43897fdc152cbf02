"""One unit of work on an SQL session: all repositories over the same transaction."""

from sqlalchemy.orm import Session, scoped_session

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
from benchtrail.storage.desk_tables import (
    CustomerMachineRow,
    FrameSitesRow,
    HeldPacksRow,
    JobLinkRow,
    JobSummaryRow,
    NoteAnswerRow,
    PasskeyRow,
    ProposalRow,
    ReviewRow,
    WithdrawalRow,
)
from benchtrail.storage.shelves import SqlShelf
from benchtrail.storage.sql_accounts import SqlAccounts, SqlAttempts, SqlAudit, SqlDealers
from benchtrail.storage.sql_bulletins import SqlBulletins
from benchtrail.storage.sql_devices import SqlDevices
from benchtrail.storage.sql_events import SqlEvents
from benchtrail.storage.sql_packs import SqlPacks
from benchtrail.storage.sql_photos import SqlPhotos
from benchtrail.storage.sql_workfiles import SqlWorkfiles


class SqlUnit:
    """The repositories of one transaction."""

    def __init__(self, session: scoped_session[Session]) -> None:
        self.session = session
        self.dealers = SqlDealers(session)
        self.accounts = SqlAccounts(session)
        self.audit = SqlAudit(session)
        self.attempts = SqlAttempts(session)
        self.devices = SqlDevices(session)
        self.events = SqlEvents(session)
        self.packs = SqlPacks(session)
        self.bulletins = SqlBulletins(session)
        self.photos = SqlPhotos(session)
        self.workfiles = SqlWorkfiles(session)
        self.proposals = SqlShelf(session, Proposal, ProposalRow)
        self.reviews = SqlShelf(session, Review, ReviewRow)
        self.withdrawals = SqlShelf(session, Withdrawal, WithdrawalRow)
        self.held_packs = SqlShelf(session, HeldPacks, HeldPacksRow)
        self.note_answers = SqlShelf(session, NoteAnswer, NoteAnswerRow)
        self.machines = SqlShelf(session, CustomerMachine, CustomerMachineRow)
        self.job_links = SqlShelf(session, JobLink, JobLinkRow)
        self.frame_sites = SqlShelf(session, FrameSites, FrameSitesRow)
        self.passkeys = SqlShelf(session, Passkey, PasskeyRow)
        self.job_summaries = SqlShelf(session, JobSummary, JobSummaryRow)
