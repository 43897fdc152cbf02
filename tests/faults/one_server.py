"""The real application on a real database, inside this process, so that it can die between any two of its durable steps.

Dying is a BaseException: nothing in the application catches it, and the process's memory is thrown away with the app. What a death by
SIGKILL does to the files is shown by the kill loops; here every boundary is met.
"""

import io
import shutil
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from flask import Flask
from werkzeug.test import run_wsgi_app

from benchtrail.api.context import keep_ports
from benchtrail.app import create_app
from benchtrail.config import Config
from benchtrail.services.dealers import add_dealer
from benchtrail.services.devices import devices_of, make_code, revoke
from benchtrail.services.ports import Ports
from benchtrail.storage.locks import FolderLocks
from benchtrail.wiring import open_archive

COLD_EVERY = 50
OWN_ARCHIVE_EVERY = 4
SECRET = b"a secret of tests, long enough 32"
DATABASE = "benchtrail.db"


class Died(BaseException):
    """The server's process ended here."""


class SimulatedClock:
    """The server's clock; it may be set wrong."""

    def __init__(self) -> None:
        self.at = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)

    def now(self) -> datetime:
        return self.at

    def move(self, seconds: float) -> None:
        self.at += timedelta(seconds=seconds)


class OneServer:
    """`start`, `ask`, die, `start` again; `back_up` and `restore`; `renew` for a home out of the box.

    On SQLite all homes lie at one path, so that the app that was made once stays right; on PostgreSQL a URL is asked for each new home.
    """

    def __init__(self, folder: Path, new_database: Callable[[Path], str] | None = None) -> None:
        self._folder, self._new_database, self._count = folder, new_database, 0
        self.clock = SimulatedClock()
        self.boundaries = 0
        self.die_at: int | None = None
        self.app: Flask | None = None
        self._kept: tuple[Config, Flask] | None = None
        self._starts = self._backups = 0
        self.config = self._fresh_config()
        self.backup: Path | None = None
        (folder / "web").mkdir(exist_ok=True)
        self.start()
        self._empty = folder / "empty"
        if not new_database:
            self._copy_to(self._empty)

    def _fresh_config(self) -> Config:
        self._count += 1
        home = self._folder / (f"home-{self._count}" if self._new_database else "home")
        home.mkdir()
        url = self._new_database(home) if self._new_database else f"sqlite:///{home}/{DATABASE}"
        return Config(home=home, database_url=url, secret=SECRET, signing_key=str(home / "keys" / "{dealer}.pem"),
                      web=self._folder / "web", lighter_passwords=True, photos_at_once=True)

    def _copy_to(self, target: Path) -> None:
        """The home as it is between two requests: a consistent copy of the database, and the files."""
        shutil.copytree(self.config.home, target, ignore=shutil.ignore_patterns(f"{DATABASE}*", "locks"))
        with closing(sqlite3.connect(self.config.home / DATABASE)) as source, closing(sqlite3.connect(target / DATABASE)) as copy:
            source.backup(copy)

    def _lose_home(self, then: Path | None = None) -> None:
        """The home is lost; in its place lies a copy of `then`, or a new one."""
        self.stop()
        lost = self.config.home
        if then:
            shutil.rmtree(lost)
            shutil.copytree(then, lost)
            return
        lost.rename(self._folder / "lost")
        self.config = self._fresh_config()
        shutil.rmtree(self._folder / "lost")

    def renew(self) -> None:
        """A home out of the box, with its tables already made where they can be copied, and a new process on it."""
        self._lose_home(None if self._new_database else self._empty)
        self.forget_backup()
        self.start()

    @property
    def ports(self) -> Ports:
        assert self.app
        made: Ports = self.app.extensions["benchtrail"]
        return made

    def start(self) -> None:
        """A new process on the same home. Most starts make anew only what an app keeps in memory: routes and words do not change."""
        self.die_at = None
        self._starts += 1
        if self._kept and self._kept[0] == self.config and self._starts % COLD_EVERY:
            self.app = self._kept[1]
            keep_ports(self.app, replace(self.ports, upload_locks=FolderLocks(self.config.home)))
            return
        self.app = create_app(self.config, self.clock)
        self._kept = (self.config, self.app)
        self.ports.photo_queue.work = lambda dealer, sha256: None  # type: ignore[attr-defined]  # decoding has its own tests
        self._put_boundaries()

    def _put_boundaries(self) -> None:
        storage, files = self.ports.storage, self.ports.files
        whole = storage.writing

        @contextmanager
        def writing() -> Iterator[Any]:
            with whole() as unit:
                yield unit
                self._boundary()  # before the commit
            self._boundary()  # after it

        storage.writing = writing  # type: ignore[method-assign]
        for name in ("put", "append", "remove"):
            setattr(files, name, self._between(getattr(files, name)))

    def _between(self, work: Callable[..., Any]) -> Callable[..., Any]:
        def bounded(*given: Any) -> Any:
            self._boundary()
            result = work(*given)
            self._boundary()
            return result

        return bounded

    def _boundary(self) -> None:
        self.boundaries += 1
        if self.die_at is not None:
            if self.die_at == 0:
                raise Died
            self.die_at -= 1

    def stop(self) -> None:
        """Throws the process's memory away."""
        if self.app:
            with self.app.app_context():
                self.ports.storage.close()  # type: ignore[attr-defined]
        self.app = None

    def ask(self, request: dict[str, Any], body: bytes | None, cookie: str | None) -> dict[str, Any] | None:
        """Status, headers and body of the answer; None when there is no server, or it died over the request."""
        if self.app is None:
            return None
        try:
            parts, status, headers = run_wsgi_app(self.app, _environ(request, body, cookie), buffered=True)
        except Died:
            self.stop()
            return None
        return {"status": int(status[:3]), "headers": dict(headers), "body": b"".join(parts)}

    @contextmanager
    def inside(self) -> Iterator[Ports]:
        """The ports, for what people do at the desk; no death in here."""
        if self.app is None:
            self.start()
        assert self.app
        armed, self.die_at = self.die_at, None
        with self.app.app_context():
            yield self.ports
        self.die_at = armed

    def add_dealer(self, slug: str) -> None:
        with self.inside() as ports:
            add_dealer(ports, slug, "Withen Bridge Offroad", invented=True)

    def code(self, dealer: str) -> str:
        with self.inside() as ports:
            return make_code(ports, dealer, "Customer", "anna")[0]

    def revoke(self, dealer: str, device: str) -> None:
        with self.inside() as ports:
            if any(known.device == device for known in devices_of(ports, dealer)):
                revoke(ports, dealer, device)

    def back_up(self, own_archive: bool = False) -> None:
        """A backup of everything: by the product's own command on PostgreSQL and every fourth time, else a copy of the home."""
        self.forget_backup()
        self._backups += 1
        target = self._folder / f"backup-{self._backups}"
        if self._new_database or own_archive or self._backups % OWN_ARCHIVE_EVERY == 0:
            with open_archive(self.config) as archive:
                archive.write(target)
        else:
            self._copy_to(target)
        self.backup = target

    def forget_backup(self) -> None:
        """As if none had been made."""
        if self.backup and self.backup.is_dir():
            shutil.rmtree(self.backup)
        elif self.backup:
            self.backup.unlink(missing_ok=True)
        self.backup = None

    def restore(self) -> None:
        """The home is lost; the backup is put into a new one, in which every dealer has a new epoch."""
        assert self.backup
        if self.backup.is_dir():
            self._lose_home(self.backup)
            with closing(sqlite3.connect(self.config.home / DATABASE)) as database, database:
                database.execute("UPDATE dealers SET epoch = lower(hex(randomblob(8)))")
        else:
            self._lose_home()
            with open_archive(self.config) as archive:
                archive.read(self.backup)
        self.start()


def _environ(request: dict[str, Any], body: bytes | None, cookie: str | None) -> dict[str, Any]:
    """A request as a server hands it to the application (PEP 3333)."""
    path, _, query = request["path"].partition("?")
    made = {
        "REQUEST_METHOD": request["method"], "SCRIPT_NAME": "", "PATH_INFO": unquote(path), "QUERY_STRING": query,
        "SERVER_NAME": "localhost", "SERVER_PORT": "80", "SERVER_PROTOCOL": "HTTP/1.1", "HTTP_HOST": "localhost",
        "REMOTE_ADDR": "127.0.0.1",
        "wsgi.version": (1, 0), "wsgi.url_scheme": "http", "wsgi.input": io.BytesIO(body or b""), "wsgi.errors": sys.stderr,
        "wsgi.multithread": False, "wsgi.multiprocess": False, "wsgi.run_once": False,
    }
    if body is not None:
        made["CONTENT_LENGTH"] = str(len(body))
    for name, value in {**request["headers"], **({"Cookie": cookie} if cookie else {})}.items():
        key = name.upper().replace("-", "_")
        made[key if key == "CONTENT_TYPE" else f"HTTP_{key}"] = value
    return made
