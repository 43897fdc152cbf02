"""Enrolled phones and enrolment codes in SQL."""

from datetime import datetime

from sqlalchemy import insert, select, update
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.records import Device, EnrolmentCode
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import DeviceRow, EnrolmentCodeRow


class SqlDevices:
    def __init__(self, db: scoped_session[Session]) -> None:
        self._db = db

    def put(self, device: Device) -> None:
        row = self._row(device.dealer, device.device)
        columns = columns_of(device)
        if row is None:
            self._db.execute(insert(DeviceRow).values(**columns))
            return
        mine = (DeviceRow.dealer == device.dealer, DeviceRow.device == device.device)
        self._db.execute(update(DeviceRow).where(*mine).values(**columns))

    def get(self, dealer: str, device: str) -> Device | None:
        row = self._row(dealer, device)
        return record_of(Device, row) if row else None

    def by_credential(self, credential_hash: str) -> Device | None:
        row = self._db.scalar(select(DeviceRow).where(DeviceRow.credential_hash == credential_hash))
        return record_of(Device, row) if row else None

    def all(self, dealer: str) -> list[Device]:
        found = select(DeviceRow).where(DeviceRow.dealer == dealer).order_by(DeviceRow.enrolled_at, DeviceRow.device)
        return [record_of(Device, row) for row in self._db.scalars(found)]

    def add_code(self, code: EnrolmentCode) -> None:
        self._db.execute(insert(EnrolmentCodeRow).values(**columns_of(code)))

    def code(self, code_hash: str) -> EnrolmentCode | None:
        row = self._db.scalar(select(EnrolmentCodeRow).where(EnrolmentCodeRow.code_hash == code_hash))
        return record_of(EnrolmentCode, row) if row else None

    def use_code(self, code_hash: str, device: str, at: datetime) -> bool:
        unused = (EnrolmentCodeRow.code_hash == code_hash, EnrolmentCodeRow.used_at.is_(None))
        marked = update(EnrolmentCodeRow).where(*unused).values(used_at=at, used_by=device)
        return len(self._db.execute(marked.returning(EnrolmentCodeRow.code_hash)).all()) == 1

    def _row(self, dealer: str, device: str) -> DeviceRow | None:
        found = select(DeviceRow).where(DeviceRow.dealer == dealer, DeviceRow.device == device)
        return self._db.scalar(found.execution_options(populate_existing=True))
