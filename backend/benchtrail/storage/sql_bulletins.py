"""Bulletins in SQL."""

from sqlalchemy import insert, select
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.records import Bulletin
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import BulletinRow


class SqlBulletins:
    def __init__(self, db: scoped_session[Session]) -> None:
        self._db = db

    def add(self, bulletin: Bulletin) -> None:
        self._db.execute(insert(BulletinRow).values(**columns_of(bulletin)))

    def all(self, dealer: str) -> list[Bulletin]:
        order = (BulletinRow.issued_at.desc(), BulletinRow.kind, BulletinRow.subject, BulletinRow.from_revision.desc())
        found = select(BulletinRow).where(BulletinRow.dealer == dealer).order_by(*order)
        return [record_of(Bulletin, row) for row in self._db.scalars(found)]

    def to_pack(self, dealer: str, sha256: str) -> list[Bulletin]:
        mine = (BulletinRow.dealer == dealer, BulletinRow.to_sha256 == sha256)
        found = select(BulletinRow).where(*mine).order_by(BulletinRow.from_revision.desc())
        return [record_of(Bulletin, row) for row in self._db.scalars(found)]
