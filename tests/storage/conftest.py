"""Every implementation of the storage port: in memory, SQLite, PostgreSQL."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from flask import Flask
from tests.postgres import find_binaries, fresh_database, running_cluster

from benchtrail.config import database_url
from benchtrail.services.ports import Storage
from benchtrail.storage.database import SqlStorage
from benchtrail.storage.memory import MemoryStorage


@pytest.fixture(scope="session")
def cluster() -> Iterator[str]:
    binaries = find_binaries()
    if binaries is None:
        pytest.skip("no PostgreSQL server here: install Debian's package postgresql to run these")
    with running_cluster(binaries) as url:
        yield url


SQL = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]


@pytest.fixture(params=["memory", *SQL])
def storage(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Storage]:
    if request.param == "memory":
        yield MemoryStorage()
    else:
        with _sql(request, tmp_path) as made:
            yield made


@pytest.fixture(params=SQL)
def sql_storage(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[SqlStorage]:
    with _sql(request, tmp_path) as made:
        yield made


@contextmanager
def _sql(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[SqlStorage]:
    if request.param == "sqlite":
        with open_sql(f"sqlite:///{tmp_path}/test.db") as made:
            yield made
    else:
        with fresh_database(request.getfixturevalue("cluster")) as url, open_sql(database_url(url)) as made:
            yield made


class open_sql:
    """SQL storage in an application context, with its tables; its connections are closed at the end."""

    def __init__(self, url: str) -> None:
        self.app = Flask("test")
        self.storage = SqlStorage(self.app, url)
        self._context = self.app.app_context()

    def __enter__(self) -> SqlStorage:
        self._context.push()
        self.storage.upgrade()
        return self.storage

    def __exit__(self, *error: object) -> None:
        self.storage.close()
        self._context.pop()
