"""Published packs, pictures and manifests in SQL."""

from typing import Any

from sqlalchemy import Select, insert, select
from sqlalchemy.orm import Session, scoped_session

from benchtrail.services.records import Picture, PublishedPack, SignedManifest
from benchtrail.storage.rows import columns_of, record_of
from benchtrail.storage.tables import ManifestRow, PackRow, PictureRow


class SqlPacks:
    def __init__(self, db: scoped_session[Session]) -> None:
        self._db = db

    def add(self, pack: PublishedPack) -> None:
        self._db.execute(insert(PackRow).values(**columns_of(pack)))

    def get(self, dealer: str, sha256: str) -> PublishedPack | None:
        return self._one(select(PackRow).where(PackRow.dealer == dealer, PackRow.sha256 == sha256))

    def all(self, dealer: str) -> list[PublishedPack]:
        order = (PackRow.kind, PackRow.subject, PackRow.revision.desc())
        found = select(PackRow).where(PackRow.dealer == dealer).order_by(*order)
        return [record_of(PublishedPack, row) for row in self._db.scalars(found)]

    def revision(self, dealer: str, kind: str, subject: str, revision: int) -> PublishedPack | None:
        key = (PackRow.dealer == dealer, PackRow.kind == kind, PackRow.subject == subject, PackRow.revision == revision)
        return self._one(select(PackRow).where(*key))

    def known(self, sha256: str) -> PublishedPack | None:
        return self._one(select(PackRow).where(PackRow.sha256 == sha256).order_by(PackRow.dealer).limit(1))

    def add_picture(self, picture: Picture) -> None:
        key = (PictureRow.dealer == picture.dealer, PictureRow.sha256 == picture.sha256)
        if self._db.scalar(select(PictureRow.sha256).where(*key)) is None:
            self._db.execute(insert(PictureRow).values(**columns_of(picture)))

    def picture(self, sha256: str) -> Picture | None:
        row = self._db.scalar(
            select(PictureRow).where(PictureRow.sha256 == sha256).order_by(PictureRow.dealer).limit(1))
        return record_of(Picture, row) if row else None

    def pictures(self, dealer: str) -> list[Picture]:
        found = select(PictureRow).where(PictureRow.dealer == dealer).order_by(PictureRow.sha256)
        return [record_of(Picture, row) for row in self._db.scalars(found)]

    def add_manifest(self, manifest: SignedManifest) -> None:
        self._db.execute(insert(ManifestRow).values(**columns_of(manifest)))

    def manifest(self, dealer: str) -> SignedManifest | None:
        latest = ManifestRow.counter.desc()
        row = self._db.scalar(select(ManifestRow).where(ManifestRow.dealer == dealer).order_by(latest).limit(1))
        return record_of(SignedManifest, row) if row else None

    def _one(self, query: Select[Any]) -> PublishedPack | None:
        row = self._db.scalar(query)
        return record_of(PublishedPack, row) if row else None
