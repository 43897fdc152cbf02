"""Dealerships, accounts, signed-in browsers and failed attempts in SQL."""

from datetime import datetime

from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.records import Account, AuditEntry, Dealer, DeskSession, PasswordCode
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import AccountRow, AttemptRow, AuditRow, DealerRow, PasswordCodeRow, SessionRow

Db = scoped_session[Session]


class SqlDealers:
    def __init__(self, db: Db) -> None:
        self._db = db

    def all(self) -> list[Dealer]:
        return [record_of(Dealer, row) for row in self._db.scalars(select(DealerRow).order_by(DealerRow.slug))]

    def get(self, slug: str) -> Dealer | None:
        row = self._db.scalar(select(DealerRow).where(DealerRow.slug == slug))
        return record_of(Dealer, row) if row else None

    def add(self, dealer: Dealer) -> None:
        self._db.execute(insert(DealerRow).values(**columns_of(dealer), last_position=0))

    def lock(self, slug: str) -> None:
        # On SQLite the unit is the only writer already, and FOR UPDATE is left out by the dialect.
        self._db.execute(select(DealerRow.slug).where(DealerRow.slug == slug).with_for_update())

    def take_positions(self, slug: str, count: int) -> int:
        counted = update(DealerRow).where(DealerRow.slug == slug).values(last_position=DealerRow.last_position + count)
        return self._db.execute(counted.returning(DealerRow.last_position)).scalar_one() - count + 1

    def set_retention(self, slug: str, days: int | None) -> None:
        self._db.execute(update(DealerRow).where(DealerRow.slug == slug).values(retention_days=days))

    def renew_epoch(self, slug: str, epoch: str) -> None:
        self._db.execute(update(DealerRow).where(DealerRow.slug == slug).values(epoch=epoch))


class SqlAccounts:
    def __init__(self, db: Db) -> None:
        self._db = db

    def add(self, account: Account) -> None:
        self._db.execute(insert(AccountRow).values(**columns_of(account)))

    def get(self, name: str) -> Account | None:
        row = self._db.scalar(select(AccountRow).where(AccountRow.name == name))
        return record_of(Account, row) if row else None

    def all(self, dealer: str) -> list[Account]:
        rows = self._db.scalars(select(AccountRow).where(AccountRow.dealer == dealer).order_by(AccountRow.name))
        return [record_of(Account, row) for row in rows]

    def some(self) -> bool:
        return self._db.scalar(select(AccountRow.name).limit(1)) is not None

    def put(self, account: Account) -> None:
        self._db.execute(update(AccountRow).where(AccountRow.name == account.name).values(**columns_of(account)))

    def set_password(self, name: str, password_hash: str) -> None:
        self._db.execute(update(AccountRow).where(AccountRow.name == name).values(password_hash=password_hash))
        self._db.execute(delete(SessionRow).where(SessionRow.name == name))

    def add_code(self, code: PasswordCode) -> None:
        self._db.execute(insert(PasswordCodeRow).values(**columns_of(code)))

    def code(self, code_hash: str) -> PasswordCode | None:
        row = self._db.scalar(select(PasswordCodeRow).where(PasswordCodeRow.code_hash == code_hash))
        return record_of(PasswordCode, row) if row else None

    def use_code(self, code_hash: str, at: datetime) -> bool:
        unused = (PasswordCodeRow.code_hash == code_hash, PasswordCodeRow.used_at.is_(None))
        used = update(PasswordCodeRow).where(*unused).values(used_at=at).returning(PasswordCodeRow.code_hash)
        return self._db.execute(used).first() is not None

    def end_codes(self, name: str, at: datetime) -> None:
        unused = (PasswordCodeRow.name == name, PasswordCodeRow.used_at.is_(None))
        self._db.execute(update(PasswordCodeRow).where(*unused).values(used_at=at))

    def sessions(self, dealer: str) -> list[DeskSession]:
        newest_first = (SessionRow.created_at.desc(), SessionRow.id)
        rows = self._db.scalars(select(SessionRow).where(SessionRow.dealer == dealer).order_by(*newest_first))
        return [record_of(DeskSession, row) for row in rows]

    def end_sessions(self, name: str) -> None:
        self._db.execute(delete(SessionRow).where(SessionRow.name == name))

    def add_session(self, session: DeskSession) -> None:
        self._db.execute(insert(SessionRow).values(**columns_of(session)))

    def session(self, token_hash: str) -> DeskSession | None:
        row = self._db.scalar(select(SessionRow).where(SessionRow.token_hash == token_hash))
        return record_of(DeskSession, row) if row else None

    def end_session(self, token_hash: str) -> None:
        self._db.execute(delete(SessionRow).where(SessionRow.token_hash == token_hash))

    def end_expired(self, now: datetime) -> None:
        self._db.execute(delete(SessionRow).where(SessionRow.expires_at <= now))


class SqlAttempts:
    def __init__(self, db: Db) -> None:
        self._db = db

    def add(self, key: str, at: datetime) -> None:
        self._db.execute(insert(AttemptRow).values(key=key, at=at))

    def since(self, key: str, start: datetime) -> list[datetime]:
        found = select(AttemptRow.at).where(AttemptRow.key == key, AttemptRow.at > start).order_by(AttemptRow.at)
        return list(self._db.scalars(found))

    def forget(self, key: str, at: datetime) -> None:
        self._db.execute(delete(AttemptRow).where(AttemptRow.key == key, AttemptRow.at == at))

    def forget_before(self, moment: datetime) -> None:
        self._db.execute(delete(AttemptRow).where(AttemptRow.at < moment))


class SqlAudit:
    def __init__(self, db: Db) -> None:
        self._db = db

    def add(self, entry: AuditEntry) -> None:
        self._db.execute(insert(AuditRow).values(**columns_of(entry)))

    def last(self, dealer: str) -> AuditEntry | None:
        return next(iter(self.before(dealer, None, 1)), None)

    def before(self, dealer: str, number: int | None, limit: int) -> list[AuditEntry]:
        found = select(AuditRow).where(AuditRow.dealer == dealer).order_by(AuditRow.number.desc()).limit(limit)
        if number is not None:
            found = found.where(AuditRow.number < number)
        return [record_of(AuditEntry, row) for row in self._db.scalars(found)]

    def all(self, dealer: str) -> list[AuditEntry]:
        rows = self._db.scalars(select(AuditRow).where(AuditRow.dealer == dealer).order_by(AuditRow.number))
        return [record_of(AuditEntry, row) for row in rows]
