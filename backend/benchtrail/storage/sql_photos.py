"""What is known of photos and uploads, in SQL."""

from datetime import datetime

from sqlalchemy import case, delete, func, insert, select, update
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.records import Photo, Upload
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import JobDeviceRow, PhotoJobRow, PhotoRow, UploadRow


class SqlPhotos:
    def __init__(self, db: scoped_session[Session]) -> None:
        self._db = db

    def add_upload(self, upload: Upload) -> None:
        self._db.execute(insert(UploadRow).values(**columns_of(upload)))

    def upload(self, id: str) -> Upload | None:
        row = self._db.scalar(select(UploadRow).where(UploadRow.id == id))
        return record_of(Upload, row) if row else None

    def uploads(self, dealer: str) -> list[Upload]:
        found = select(UploadRow).where(UploadRow.dealer == dealer).order_by(UploadRow.created_at, UploadRow.id)
        return [record_of(Upload, row) for row in self._db.scalars(found)]

    def complete_upload(self, id: str, at: datetime) -> None:
        self._db.execute(update(UploadRow).where(UploadRow.id == id).values(completed_at=at))

    def end_upload(self, id: str) -> None:
        self._db.execute(delete(UploadRow).where(UploadRow.id == id))

    def put(self, photo: Photo) -> None:
        columns = columns_of(photo)
        if self._row(photo.dealer, photo.sha256) is None:
            self._db.execute(insert(PhotoRow).values(**columns))
            return
        mine = (PhotoRow.dealer == photo.dealer, PhotoRow.sha256 == photo.sha256)
        self._db.execute(update(PhotoRow).where(*mine).values(**columns))

    def get(self, dealer: str, sha256: str) -> Photo | None:
        row = self._row(dealer, sha256)
        return record_of(Photo, row) if row else None

    def all(self, dealer: str) -> list[Photo]:
        found = select(PhotoRow).where(PhotoRow.dealer == dealer).order_by(PhotoRow.received_at, PhotoRow.sha256)
        return [record_of(Photo, row) for row in self._db.scalars(found)]

    def known_to(self, dealer: str, sha256: str, device: str) -> bool:
        mine = (PhotoRow.dealer == dealer, PhotoRow.sha256 == sha256, PhotoRow.device == device)
        sent = (UploadRow.dealer == dealer, UploadRow.sha256 == sha256, UploadRow.device == device,
                UploadRow.completed_at.is_not(None))
        same = (PhotoJobRow.dealer == JobDeviceRow.dealer) & (PhotoJobRow.job == JobDeviceRow.job)
        shared = select(PhotoJobRow.job).join(JobDeviceRow, same).where(
            PhotoJobRow.dealer == dealer, PhotoJobRow.sha256 == sha256, JobDeviceRow.device == device)
        found = (select(PhotoRow.sha256).where(*mine), select(UploadRow.id).where(*sent), shared)
        return any(self._db.scalar(one.limit(1)) is not None for one in found)

    def join_job(self, dealer: str, sha256: str, job: str) -> None:
        key = (PhotoJobRow.dealer == dealer, PhotoJobRow.sha256 == sha256, PhotoJobRow.job == job)
        if self._db.scalar(select(PhotoJobRow.job).where(*key)) is None:
            self._db.execute(insert(PhotoJobRow).values(dealer=dealer, sha256=sha256, job=job))

    def jobs_of(self, dealer: str, sha256: str) -> set[str]:
        mine = (PhotoJobRow.dealer == dealer, PhotoJobRow.sha256 == sha256)
        return set(self._db.scalars(select(PhotoJobRow.job).where(*mine)))

    def of_job(self, dealer: str, job: str) -> list[Photo]:
        same = (PhotoJobRow.dealer == PhotoRow.dealer) & (PhotoJobRow.sha256 == PhotoRow.sha256)
        found = select(PhotoRow).join(PhotoJobRow, same).where(PhotoJobRow.dealer == dealer, PhotoJobRow.job == job)
        ordered = found.order_by(PhotoRow.received_at, PhotoRow.sha256)
        return [record_of(Photo, row) for row in self._db.scalars(ordered)]

    def marks(self, dealer: str) -> dict[str, tuple[int, int]]:
        same = (PhotoJobRow.dealer == PhotoRow.dealer) & (PhotoJobRow.sha256 == PhotoRow.sha256)
        apart = func.sum(case((PhotoRow.state.in_(("needs_person", "erased")), 1), else_=0))
        counted = select(PhotoJobRow.job, func.count(), apart).join(PhotoRow, same).where(PhotoJobRow.dealer == dealer)
        return {job: (int(count), int(bad)) for job, count, bad in self._db.execute(counted.group_by(PhotoJobRow.job))}

    def _row(self, dealer: str, sha256: str) -> PhotoRow | None:
        found = select(PhotoRow).where(PhotoRow.dealer == dealer, PhotoRow.sha256 == sha256)
        return self._db.scalar(found.execution_options(populate_existing=True))
