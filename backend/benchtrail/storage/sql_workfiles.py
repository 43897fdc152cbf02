"""Workfiles, their versions and pictures in SQL."""

from typing import Any

from sqlalchemy import Select, insert, select, update
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.records import Workfile, WorkfileVersion, WorkPicture
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import WorkfileRow, WorkfileVersionRow, WorkPictureRow


class SqlWorkfiles:
    def __init__(self, db: scoped_session[Session]) -> None:
        self._db = db

    def put(self, workfile: Workfile) -> None:
        key = (WorkfileRow.dealer == workfile.dealer, WorkfileRow.id == workfile.id)
        if self._db.scalar(select(WorkfileRow.id).where(*key)) is None:
            self._db.execute(insert(WorkfileRow).values(**columns_of(workfile)))
        else:
            self._db.execute(update(WorkfileRow).where(*key).values(**columns_of(workfile)))

    def get(self, dealer: str, id: str) -> Workfile | None:
        return self._one(select(WorkfileRow).where(WorkfileRow.dealer == dealer, WorkfileRow.id == id))

    def all(self, dealer: str) -> list[Workfile]:
        order = (WorkfileRow.saved_at.desc(), WorkfileRow.id)
        found = select(WorkfileRow).where(WorkfileRow.dealer == dealer).order_by(*order)
        return [record_of(Workfile, row) for row in self._db.scalars(found)]

    def at(self, dealer: str, path: str) -> Workfile | None:
        key = (WorkfileRow.dealer == dealer, WorkfileRow.path == path, WorkfileRow.put_away.is_(False))
        return self._one(select(WorkfileRow).where(*key).limit(1))

    def add_version(self, version: WorkfileVersion) -> None:
        self._db.execute(insert(WorkfileVersionRow).values(**columns_of(version)))

    def version(self, dealer: str, workfile: str, version: int) -> WorkfileVersion | None:
        row = self._db.scalar(select(WorkfileVersionRow).where(
            WorkfileVersionRow.dealer == dealer, WorkfileVersionRow.workfile == workfile,
            WorkfileVersionRow.version == version))
        return record_of(WorkfileVersion, row) if row else None

    def versions(self, dealer: str, workfile: str) -> list[WorkfileVersion]:
        found = select(WorkfileVersionRow).where(
            WorkfileVersionRow.dealer == dealer, WorkfileVersionRow.workfile == workfile)
        rows = self._db.scalars(found.order_by(WorkfileVersionRow.version.desc()))
        return [record_of(WorkfileVersion, row) for row in rows]

    def add_picture(self, picture: WorkPicture) -> None:
        self._db.execute(insert(WorkPictureRow).values(**columns_of(picture)))

    def pictures(self, dealer: str, folder: str) -> list[WorkPicture]:
        found = select(WorkPictureRow).where(WorkPictureRow.dealer == dealer, WorkPictureRow.folder == folder)
        return [record_of(WorkPicture, row) for row in self._db.scalars(found.order_by(WorkPictureRow.name))]

    def _one(self, query: Select[Any]) -> Workfile | None:
        row = self._db.scalar(query)
        return record_of(Workfile, row) if row else None
