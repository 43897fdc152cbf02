"""The whole installation in one file, and back: tables as lines of JSON, files by name and hash, keys.

Consistent while the server writes: the tables are read in one transaction, after the files; files that came in between
are added, and if one was moved meanwhile the tables are read again. Knows tables and folders; not what they mean.
"""

import hashlib
import io
import json
import os
import tarfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, DateTime, Engine, MetaData, Table, func, insert, select

from benchtrail.config import Config
from benchtrail.domain.refused import Refused
from benchtrail.services.records import JsonObject
from benchtrail.storage.database import WRITES, SqlStorage
from benchtrail.storage.files import NAME

FORMAT = "benchtrail.backup/1"
FACTS = "backup.json"
ROOMS = ("packs", "texts", "pictures", "uploads", "quarantine", "photos")
PASSING_TABLES = {"alembic_version", "attempts"}
TRIES = 5
PRIVATE = 0o600


class Archive:
    """Backup and restore of one installation."""

    def __init__(self, config: Config, storage: SqlStorage) -> None:
        self._home, self._config, self._storage = config.home, config, storage

    def write(self, target: Path) -> JsonObject:
        """Writes the backup to `target`, which is there whole or not at all. Answers the facts of it.

        Raises Refused: backup_exists, backup_not_writable.
        """
        if target.exists():
            raise Refused("backup_exists", path=str(target))
        passing = target.with_name(f".{target.name}.passing-{os.getpid()}")
        try:
            with open(os.open(passing, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, PRIVATE), "wb") as file:
                facts = self._write_all(file)
                file.flush()
                os.fsync(file.fileno())
            os.rename(passing, target)
        except OSError as error:
            raise Refused("backup_not_writable", path=str(target), reason=error.strerror or str(error)) from error
        finally:
            passing.unlink(missing_ok=True)
        return facts

    def _write_all(self, file: Any) -> JsonObject:
        with tarfile.open(fileobj=file, mode="w") as tar:
            sums: dict[str, str] = {}
            self._add_files(tar, sums)
            tables = self._consistent_tables(tar, sums)
            for name, lines in tables.items():
                _add(tar, sums, f"tables/{name}.jsonl", lines)
            facts = {"format": FORMAT, "made_at": datetime.now(UTC).isoformat(), "revision": self._storage.revision(),
                     "rows": {name: lines.count(b"\n") for name, lines in tables.items()}, "sha256": sums}
            _add(tar, {}, FACTS, json.dumps(facts).encode())
        return facts

    def _add_files(self, tar: tarfile.TarFile, sums: dict[str, str]) -> None:
        for path in self._kept():
            name = path.relative_to(self._home).as_posix()
            try:
                content = path.read_bytes()
            except FileNotFoundError:
                continue  # moved meanwhile; the tables say where to, and the next pass finds it
            if name not in sums:
                _add(tar, sums, name, content)

    def _kept(self) -> Iterator[Path]:
        for name in ("secret", "keys/*.pem"):
            yield from sorted(self._home.glob(name))
        for room in ROOMS:
            found = sorted(self._home.glob(f"dealers/*/{room}/*"))
            yield from (path for path in found if NAME.fullmatch(path.name))

    def _consistent_tables(self, tar: tarfile.TarFile, sums: dict[str, str]) -> dict[str, bytes]:
        for _ in range(TRIES):
            tables = _dump(self._storage.engine)
            self._add_files(tar, sums)
            if _needed(tables) <= set(sums):
                break
        # After five tries a file is missing because it is missing, not because it moves: benchtrail doctor names it.
        return tables

    def read(self, source: Path) -> JsonObject:
        """Puts a backup into this installation, which must be new. Every dealer gets a new epoch.

        Raises Refused: home_not_empty, backup_unreadable.
        """
        if self._is_used():
            raise Refused("home_not_empty", folder=str(self._home))
        try:
            with tarfile.open(source, "r:") as tar:
                facts = json.loads(_member(tar, FACTS))
                if facts.get("format") != FORMAT:
                    raise Refused("backup_unreadable", path=str(source), reason=f"not {FORMAT}")
                _check(tar, facts["sha256"])
                self._put_files(tar, facts["sha256"])
                self._fill(tar, facts)
        except (OSError, tarfile.TarError, KeyError, ValueError) as error:
            raise Refused("backup_unreadable", path=str(source), reason=str(error) or type(error).__name__) from error
        return dict(facts)

    def _is_used(self) -> bool:
        if self._storage.revision() is None:
            return False
        with self._storage.engine.connect() as connection:
            tables = _tables(connection)
            return bool(connection.scalar(select(func.count()).select_from(tables["dealers"])))

    def _put_files(self, tar: tarfile.TarFile, sums: dict[str, str]) -> None:
        for name in sums:
            if name.startswith("tables/"):
                continue
            path = (self._home / name).resolve()
            if not path.is_relative_to(self._home):
                raise ValueError(f"{name} would lie outside of the home folder")
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, PRIVATE), "wb") as file:
                file.write(_member(tar, name))
                file.flush()
                os.fsync(file.fileno())

    def _fill(self, tar: tarfile.TarFile, facts: JsonObject) -> None:
        self._storage.upgrade(facts["revision"])
        with self._storage.engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
            for table in _tables(connection).values():
                if table.name in facts["rows"]:
                    rows = [_row(table, line) for line in _member(tar, f"tables/{table.name}.jsonl").splitlines()]
                    if table.name == "dealers":
                        rows = [row | {"epoch": os.urandom(8).hex()} for row in rows]
                    if rows:
                        connection.execute(insert(table), rows)
        self._storage.upgrade()


def _tables(connection: Connection) -> dict[str, Table]:
    """The tables as they are, in the order in which references allow filling them."""
    found = MetaData()
    found.reflect(connection)
    return {table.name: table for table in found.sorted_tables if table.name not in PASSING_TABLES}


def _dump(engine: Engine) -> dict[str, bytes]:
    level = "REPEATABLE READ" if engine.dialect.name == "postgresql" else None
    connection = engine.connect()
    if level:
        connection = connection.execution_options(isolation_level=level)
    with connection, connection.begin():
        return {name: _lines(connection, table) for name, table in _tables(connection).items()}


def _lines(connection: Connection, table: Table) -> bytes:
    rows = connection.execute(select(table).order_by(*table.primary_key.columns))
    return b"".join(json.dumps(_plain(row._mapping)).encode() + b"\n" for row in rows)


def _plain(row: Any) -> JsonObject:
    return {str(name): _utc(value) if isinstance(value, datetime) else value for name, value in row.items()}


def _utc(moment: datetime) -> str:
    return (moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)).isoformat()


def _row(table: Table, line: bytes) -> JsonObject:
    row = json.loads(line)
    for column in table.columns:
        if isinstance(column.type, DateTime) and row.get(column.name):
            row[column.name] = datetime.fromisoformat(row[column.name])
    return dict(row)


def _needed(tables: dict[str, bytes]) -> set[str]:
    """Names of the files that the rows refer to."""
    needed = set()
    for room in ("packs", "pictures"):
        rows = map(json.loads, tables[room].splitlines())
        needed |= {f"dealers/{row['dealer']}/{room}/{row['sha256']}" for row in rows}
    for row in map(json.loads, tables["photos"].splitlines()):
        if row["state"] == "erased":
            continue
        place = f"photos/{row['clean_sha256']}" if row["clean_sha256"] else f"quarantine/{row['sha256']}"
        needed.add(f"dealers/{row['dealer']}/{place}")
    return needed


def _add(tar: tarfile.TarFile, sums: dict[str, str], name: str, content: bytes) -> None:
    info = tarfile.TarInfo(name)
    info.size, info.mode = len(content), PRIVATE
    tar.addfile(info, io.BytesIO(content))
    sums[name] = hashlib.sha256(content).hexdigest()


def _member(tar: tarfile.TarFile, name: str) -> bytes:
    file = tar.extractfile(name)
    if file is None:
        raise ValueError(f"{name} is not a file")
    return file.read()


def _check(tar: tarfile.TarFile, sums: dict[str, str]) -> None:
    for name, sha256 in sums.items():
        if hashlib.sha256(_member(tar, name)).hexdigest() != sha256:
            raise ValueError(f"{name} does not have its hash")
