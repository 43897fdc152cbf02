"""The database: engine settings, units of work, migrations. Knows how to be durable; nothing of what is kept.

SQLite: write-ahead log, every commit flushed to disk (synchronous=FULL; with the log's usual NORMAL a power cut can
undo the last commits, and a receipt is a promise), one writer at a time (BEGIN IMMEDIATE). PostgreSQL: the same by
locking the dealer's row.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, cast

from alembic import command
from alembic.config import Config as AlembicConfig
from alembic.migration import MigrationContext
from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm import Session, scoped_session

from benchtrail.domain.refused import Refused
from benchtrail.storage.sql_units import SqlUnit
from benchtrail.storage.tables import Base

BUSY_MS = 10_000
MIGRATIONS = Path(__file__).resolve().parent / "migrations"
WRITES = "benchtrail_writes"
SERIALIZATION_CODES = {"40001", "40P01", "55P03"}  # PostgreSQL: serialization failure, deadlock, lock not available


class SqlStorage:
    """Records in SQLite or PostgreSQL, through Flask-SQLAlchemy; works inside an application context."""

    def __init__(self, app: Flask, url: str) -> None:
        app.config["SQLALCHEMY_DATABASE_URI"] = url
        app.config["SQLALCHEMY_ENGINE_OPTIONS"] = _engine_options(url)
        self._db = SQLAlchemy(metadata=Base.metadata)
        self._db.init_app(app)
        with app.app_context():
            _prepare(self._db.engine)

    @property
    def engine(self) -> Engine:
        return self._db.engine

    def close(self) -> None:
        """Lets go of every connection."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[SqlUnit]:
        with self._unit({}) as session:
            yield SqlUnit(session)

    @contextmanager
    def writing(self) -> Iterator[SqlUnit]:
        with self._unit({WRITES: True}) as session:
            yield SqlUnit(session)
            session.commit()

    @contextmanager
    def _unit(self, options: dict[str, Any]) -> Iterator[scoped_session[Session]]:
        session = cast(scoped_session[Session], self._db.session)
        if session.registry.has() and session().in_transaction():
            raise RuntimeError("a unit of work is open already; units do not nest")
        try:
            session.connection(execution_options=options)
            yield session
        except OperationalError as error:
            if _is_busy(error):
                raise Refused("server_busy", retry_s=2) from error
            raise
        finally:
            session.remove()

    def faults(self) -> list[str]:
        if self.engine.dialect.name != "sqlite":
            return []  # PostgreSQL checks its pages itself when told to (data checksums)
        with self.engine.connect() as connection:
            found = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check")]
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        return [line for line in found if line != "ok"] + [f"a row of {row[0]} points to nothing" for row in broken]

    def revision(self) -> str | None:
        """The revision of the tables."""
        with self.engine.connect() as connection:
            return MigrationContext.configure(connection).get_current_revision()

    def upgrade(self, revision: str = "head") -> None:
        """Brings the tables to a revision, the newest by default; does nothing when they are there."""
        config = AlembicConfig()
        config.set_main_option("script_location", str(MIGRATIONS))
        with self.engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
            config.attributes["connection"] = connection
            command.upgrade(config, revision)


def _engine_options(url: str) -> dict[str, Any]:
    if url.startswith("sqlite"):
        return {"connect_args": {"timeout": BUSY_MS / 1000}}
    return {"pool_pre_ping": True, "connect_args": {"options": f"-c lock_timeout={BUSY_MS} -c timezone=UTC"}}


def _prepare(engine: Engine) -> None:
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _set_pragmas)
        event.listen(engine, "begin", _begin_sqlite)


def _set_pragmas(connection: Any, _record: object) -> None:
    connection.isolation_level = None  # the driver would begin transactions by itself, and too late
    cursor = connection.cursor()
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", f"busy_timeout={BUSY_MS}"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    # A transaction that reads first and writes later can fail at the write, whatever the timeout; so writers say so.
    connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.get_execution_options().get(WRITES) else "BEGIN")


def _is_busy(error: DBAPIError) -> bool:
    code = getattr(error.orig, "sqlstate", None)
    return code in SERIALIZATION_CODES or "database is locked" in str(error.orig)
