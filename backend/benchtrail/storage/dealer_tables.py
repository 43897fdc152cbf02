"""All rows of one dealer, out of the tables and into them. Knows tables and columns; not what they mean.

What is carried to another server and what is left behind is decided here, table by table: a test holds that every table
stands in one of the two lists, so that a new one cannot be forgotten.
"""

import secrets
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.sql.schema import ScalarElementColumnDefault

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import TableShape, Unit
from benchtrail.services.records import JsonObject
from benchtrail.storage.database import SqlStorage
from benchtrail.storage.tables import Base, Moment

LEFT_BEHIND = {
    "attempts": "failed attempts at signing in to this server",
    "desk_sessions": "signed-in browsers of this server",
    "password_codes": "one-time codes of this server",
    "enrolment_codes": "one-time codes of this server",
    "uploads": "photos on their way: the phone begins them anew",
    "passkeys": "they work at this server's address only",
    "job_links": "they open at this server's address only",
    "job_summaries": "made anew from the journals",
}
ROWS_AT_ONCE = 500


def _nothing() -> str:
    return ""


def _unusable() -> str:
    return secrets.token_hex(32)


# Columns that are never written into a file, and what stands in them instead where the file is taken in.
SECRETS: dict[tuple[str, str], Callable[[], str]] = {
    ("accounts", "password_hash"): _nothing,  # matches nothing: the account waits for its first password
    ("devices", "credential_hash"): _unusable,  # the phone joins again with a code
    ("dealers", "epoch"): lambda: secrets.token_hex(8),  # phones compare everything again
}


def carried_tables() -> list[Table]:
    """The tables that are carried, in the order in which references allow filling them."""
    return [table for table in Base.metadata.sorted_tables if table.name not in LEFT_BEHIND]


class SqlDealerTables:
    """Rows of one dealer in SQLite or PostgreSQL."""

    def __init__(self, storage: SqlStorage) -> None:
        self._storage = storage

    def shapes(self) -> list[TableShape]:
        return [TableShape(table.name, tuple(column.name for column in table.columns if (table.name, column.name) not in SECRETS),
                           tuple(column.name for column in table.columns if _is_needed(table, column)))
                for table in carried_tables()]

    @contextmanager
    def reading(self, dealer: str) -> Iterator[Callable[[str], Iterator[JsonObject]]]:
        engine = self._storage.engine
        connection = engine.connect()
        if engine.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        with connection, connection.begin():
            yield lambda table: _rows(connection, Base.metadata.tables[table], dealer)

    def fill(self, rows: Iterable[tuple[str, JsonObject]], then: Callable[[Unit], None]) -> None:
        try:
            with self._storage.writing() as unit:
                for name, batch in _batches(rows):
                    table = Base.metadata.tables[name]
                    unit.session.execute(insert(table), [_typed(table, row) for row in batch])
                then(unit)
        except IntegrityError as error:
            raise Refused("dealer_file_clash", reason=str(error.orig).strip().splitlines()[0]) from error


def _is_needed(table: Table, column: Any) -> bool:
    return not column.nullable and column.default is None and (table.name, column.name) not in SECRETS


def _rows(connection: Connection, table: Table, dealer: str) -> Iterator[JsonObject]:
    key = table.c.slug if table.name == "dealers" else table.c.dealer
    found = connection.execution_options(yield_per=ROWS_AT_ONCE).execute(
        select(table).where(key == dealer).order_by(*table.primary_key.columns))
    for row in found:
        yield {str(name): value.astimezone(UTC).isoformat() if isinstance(value, datetime) else value
               for name, value in row._mapping.items() if (table.name, name) not in SECRETS}


def _batches(rows: Iterable[tuple[str, JsonObject]]) -> Iterator[tuple[str, list[JsonObject]]]:
    """Rows of one table together, a few hundred at a time."""
    name = ""
    batch: list[JsonObject] = []
    for table, row in rows:
        if batch and (table != name or len(batch) == ROWS_AT_ONCE):
            yield name, batch
            batch = []
        name = table
        batch.append(row)
    if batch:
        yield name, batch


def _typed(table: Table, row: JsonObject) -> JsonObject:
    """The row as the columns take it; columns that the file does not have get their default or nothing."""
    made: JsonObject = {}
    for column in table.columns:
        secret = SECRETS.get((table.name, column.name))
        value = secret() if secret else row.get(column.name)
        if column.name not in row and isinstance(column.default, ScalarElementColumnDefault):
            value = column.default.arg
        made[column.name] = datetime.fromisoformat(value) if isinstance(column.type, Moment) and value else value
    return made

