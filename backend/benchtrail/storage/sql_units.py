"""One unit of work on an SQL session: all repositories over the same transaction."""

from sqlalchemy.orm import Session, scoped_session

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
