"""Keyed records of one kind, in SQL and in memory: put, get, all of a dealer, drop. One form for the desk's small tables."""

from dataclasses import fields
from typing import Any, Generic, TypeVar

from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session, scoped_session

from benchtrail.storage.rows import columns_of, record_of

Record = TypeVar("Record")


def _key_names(kind: Any) -> list[str]:
    return [field.name for field in fields(kind)][: kind.KEY]


class SqlShelf(Generic[Record]):
    """Records of `kind` in the table `row`; the first `kind.KEY` fields are its primary key."""

    def __init__(self, db: scoped_session[Session], kind: type[Record], row: Any) -> None:
        self._db, self._kind, self._row = db, kind, row
        self._names = _key_names(kind)

    def put(self, record: Record) -> None:
        columns = columns_of(record)
        key = tuple(columns[name] for name in self._names)
        if self.get(*key) is None:
            self._db.execute(insert(self._row).values(**columns))
        else:
            self._db.execute(update(self._row).where(*self._at(key)).values(**columns))

    def get(self, *key: object) -> Record | None:
        found = select(self._row).where(*self._at(key)).execution_options(populate_existing=True)
        row = self._db.scalar(found)
        return record_of(self._kind, row) if row else None

    def all(self, dealer: str, **equal: object) -> list[Record]:
        wanted = [getattr(self._row, name) == value for name, value in equal.items()]
        order = [getattr(self._row, name) for name in self._names]
        # columns, not entities: thousands of records are read without an object of the database layer for each
        columns = {field.name: getattr(self._row, field.name) for field in fields(self._kind)}  # type: ignore[arg-type]
        found = select(*columns.values()).where(self._row.dealer == dealer, *wanted).order_by(*order)
        return [self._kind(**dict(zip(columns, row, strict=True))) for row in self._db.execute(found)]

    def drop(self, *key: object) -> None:
        self._db.execute(delete(self._row).where(*self._at(key)))

    def _at(self, key: tuple[object, ...]) -> list[Any]:
        return [getattr(self._row, name) == value for name, value in zip(self._names, key, strict=True)]


class MemoryShelf(Generic[Record]):
    """The same in this process."""

    def __init__(self, kept: dict[tuple[object, ...], Any], kind: type[Record]) -> None:
        self._kept = kept
        self._kind = kind.__name__
        self._names = _key_names(kind)

    def put(self, record: Record) -> None:
        key = (self._kind, *(getattr(record, name) for name in self._names))
        self._kept[key] = record

    def get(self, *key: object) -> Record | None:
        found: Record | None = self._kept.get((self._kind, *key))
        return found

    def all(self, dealer: str, **equal: object) -> list[Record]:
        mine = [key for key, one in self._kept.items() if key[:2] == (self._kind, dealer)
                and all(getattr(one, name) == value for name, value in equal.items())]
        return [self._kept[key] for key in sorted(mine, key=lambda key: key[2:])]

    def drop(self, *key: object) -> None:
        self._kept.pop((self._kind, *key), None)
