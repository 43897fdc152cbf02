"""Journals and quarantine in SQL."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from sqlalchemy import case, delete, func, insert, select, tuple_, union, update
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.ports import JobMark, PullPlace
from benchtrail.services.records import ERASED, QuarantinedEvent, StoredEvent
from benchtrail.storage.desk_tables import JobSummaryRow
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import EventRow, JobDeviceRow, QuarantineRow


class SqlEvents:
    def __init__(self, db: scoped_session[Session]) -> None:
        self._db = db

    def add(self, events: Sequence[StoredEvent]) -> None:
        if events:
            self._db.execute(insert(EventRow), [columns_of(event) for event in events])

    def held(self, dealer: str, ids: Collection[str], device: str, numbers: Collection[int]) -> list[StoredEvent]:
        by_id = select(EventRow).where(EventRow.dealer == dealer, EventRow.id.in_(ids))
        own = (EventRow.dealer == dealer, EventRow.device == device)
        by_number = select(EventRow).where(*own, EventRow.seq.in_(numbers))
        found = {row.id: row for query in (by_id, by_number) for row in self._db.scalars(query)}
        return [record_of(StoredEvent, row) for row in found.values()]

    def remark(self, dealer: str, id: str, remark: str) -> None:
        mine = (EventRow.dealer == dealer, EventRow.id == id)
        self._db.execute(update(EventRow).where(*mine).values(remark=remark))

    def erase(self, dealer: str, job: str, texts: Mapping[str, str], at: datetime, device: str | None = None) -> None:
        for id, text in texts.items():
            mine = (EventRow.dealer == dealer, EventRow.job == job, EventRow.id == id)
            self._db.execute(update(EventRow).where(*mine).values(text=text, erased_at=at))
        kept = [QuarantineRow.dealer == dealer, QuarantineRow.job == job, QuarantineRow.erased_at.is_(None)]
        kept += [QuarantineRow.device == device] if device else []
        self._db.execute(update(QuarantineRow).where(*kept).values(text=ERASED, values={}, erased_at=at))
        self._db.execute(delete(JobSummaryRow).where(JobSummaryRow.dealer == dealer, JobSummaryRow.job == job))

    def settle(self, item: QuarantinedEvent) -> None:
        key = (QuarantineRow.dealer == item.dealer, QuarantineRow.device == item.device, QuarantineRow.sha256 == item.sha256)
        self._db.execute(update(QuarantineRow).where(*key).values(**columns_of(item)))

    def of_job(self, dealer: str, job: str) -> list[StoredEvent]:
        found = select(EventRow).where(EventRow.dealer == dealer, EventRow.job == job).order_by(EventRow.position)
        return [record_of(StoredEvent, row) for row in self._db.scalars(found)]

    def all(self, dealer: str) -> list[StoredEvent]:
        found = select(EventRow).where(EventRow.dealer == dealer).order_by(EventRow.position)
        return [record_of(StoredEvent, row) for row in self._db.scalars(found)]

    def jobs(self, dealer: str) -> list[str]:
        counted = (
            select(EventRow.job.label("job"), func.max(EventRow.received_at).label("at"))
            .where(EventRow.dealer == dealer).group_by(EventRow.job)
            .union_all(
                select(QuarantineRow.job.label("job"), func.max(QuarantineRow.received_at).label("at"))
                .where(QuarantineRow.dealer == dealer, QuarantineRow.job.is_not(None)).group_by(QuarantineRow.job)
            ).subquery()
        )
        newest_first = (func.max(counted.c.at).desc(), counted.c.job)
        return list(self._db.scalars(select(counted.c.job).group_by(counted.c.job).order_by(*newest_first)))

    def marks(self, dealer: str) -> dict[str, JobMark]:
        counted = select(EventRow.job, func.count(), func.max(EventRow.position), func.count(EventRow.erased_at)).where(
            EventRow.dealer == dealer)
        kept = select(QuarantineRow.job, func.count() + func.count(QuarantineRow.settled)).where(
            QuarantineRow.dealer == dealer, QuarantineRow.job.is_not(None))
        apart = {str(job): int(count) for job, count in self._db.execute(kept.group_by(QuarantineRow.job))}
        marks = {job: (count, last, apart.pop(job, 0) + erased)
                 for job, count, last, erased in self._db.execute(counted.group_by(EventRow.job))}
        return marks | {job: (0, 0, count) for job, count in apart.items()}

    def job_ids(self, dealer: str, job: str, device: str) -> list[str]:
        counted = select(EventRow.id).where(EventRow.dealer == dealer, EventRow.job == job)
        kept = select(QuarantineRow.claimed_id).where(
            QuarantineRow.dealer == dealer, QuarantineRow.job == job, QuarantineRow.device == device,
            QuarantineRow.claimed_id.is_not(None),
        )
        return sorted(str(id) for id in self._db.scalars(union(counted, kept)))

    def join(self, dealer: str, job: str, device: str, position: int) -> None:
        if not self.joined(dealer, job, device):
            row = {"dealer": dealer, "job": job, "device": device, "position": position}
            self._db.execute(insert(JobDeviceRow).values(**row))

    def joined(self, dealer: str, job: str, device: str) -> bool:
        key = (JobDeviceRow.dealer == dealer, JobDeviceRow.job == job, JobDeviceRow.device == device)
        return self._db.scalar(select(JobDeviceRow.position).where(*key)) is not None

    def after(self, dealer: str, device: str, place: PullPlace, limit: int) -> list[tuple[PullPlace, StoredEvent]]:
        # An event written before this device joined the job becomes visible to it at the moment of joining.
        visible = case((EventRow.position > JobDeviceRow.position, EventRow.position), else_=JobDeviceRow.position)
        same_job = (EventRow.dealer == JobDeviceRow.dealer) & (EventRow.job == JobDeviceRow.job)
        found = (
            select(visible.label("visible"), EventRow).join(JobDeviceRow, same_job)
            .where(JobDeviceRow.dealer == dealer, JobDeviceRow.device == device)
            .where(tuple_(visible, EventRow.position) > tuple_(*place))
            .order_by(visible, EventRow.position).limit(limit)
        )
        return [((seen, row.position), record_of(StoredEvent, row)) for seen, row in self._db.execute(found)]

    def held_numbers(self, dealer: str, device: str, above: int) -> list[int]:
        counted = select(EventRow.seq).where(
            EventRow.dealer == dealer, EventRow.device == device, EventRow.seq > above)
        kept = select(QuarantineRow.claimed_seq).where(
            QuarantineRow.dealer == dealer, QuarantineRow.device == device, QuarantineRow.claimed_seq > above)
        return sorted(int(number) for number in self._db.scalars(union(counted, kept)) if number is not None)

    def quarantine(self, item: QuarantinedEvent) -> bool:
        key = (QuarantineRow.dealer == item.dealer, QuarantineRow.device == item.device,
               QuarantineRow.sha256 == item.sha256)
        if self._db.scalar(select(QuarantineRow.sha256).where(*key)) is not None:
            return False
        self._db.execute(insert(QuarantineRow).values(**columns_of(item)))
        return True

    def quarantined(self, dealer: str, job: str | None = None) -> list[QuarantinedEvent]:
        found = select(QuarantineRow).where(QuarantineRow.dealer == dealer)
        if job is not None:
            found = found.where(QuarantineRow.job == job)
        ordered = found.order_by(QuarantineRow.received_at.desc(), QuarantineRow.sha256)
        return [record_of(QuarantinedEvent, row) for row in self._db.scalars(ordered)]
