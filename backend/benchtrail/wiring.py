"""The one place where services meet real storage."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from flask import Flask

from benchtrail.clock import Clock, SystemClock
from benchtrail.config import Config
from benchtrail.messages import difference_texts
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.photos import look_into_photo
from benchtrail.services.ports import Ports
from benchtrail.storage.archive import Archive
from benchtrail.storage.database import SqlStorage
from benchtrail.storage.dealer_tables import SqlDealerTables
from benchtrail.storage.files import DiskFiles
from benchtrail.storage.lan_certificates import LanCertificates
from benchtrail.storage.locks import FolderLocks
from benchtrail.storage.passwords import Argon2Passwords
from benchtrail.storage.photo_cleaner import SubprocessCleaner
from benchtrail.storage.photo_queue import PhotosAtOnce, PhotosInBackground
from benchtrail.storage.procedure_files import library_files, picture_reader
from benchtrail.storage.signing import KeyFiles


def wire(app: Flask, config: Config, clock: Clock | None = None) -> Ports:
    """Ports on this installation's database and folders, with the database brought up to date."""
    storage = SqlStorage(app, config.database_url)
    with app.app_context():
        storage.upgrade()
    queue = PhotosAtOnce() if config.photos_at_once else PhotosInBackground()
    ports = Ports(
        storage=storage,
        tables=SqlDealerTables(storage),
        files=DiskFiles(config.home),
        signers=KeyFiles(config.signing_key),
        passwords=Argon2Passwords(config.lighter_passwords),
        cleaner=SubprocessCleaner(),
        photo_queue=queue,
        upload_locks=FolderLocks(config.home),
        clock=clock or SystemClock(),
        secret=config.secret,
        change_texts=difference_texts(),
    )
    queue.work = partial(_look_into, app, ports)
    return ports


def read_library(paths: Iterable[Path]) -> tuple[list[LibraryFile], Callable[[str], bytes | None]]:
    """The texts under the paths, and what reads their pictures. Raises as library_files."""
    files = library_files(paths)
    return files, picture_reader(files)


@contextmanager
def open_archive(config: Config) -> Iterator[Archive]:
    """Backup and restore of the installation that `config` describes; its tables stay as they are."""
    app = Flask("benchtrail")
    with app.app_context():
        storage = SqlStorage(app, config.database_url)
        yield Archive(config, storage)
        storage.close()


def lan_certificates(config: Config) -> LanCertificates:
    """The certificate authority of this installation for the workshop's network."""
    return LanCertificates(config.home)


def _look_into(app: Flask, ports: Ports, dealer: str, sha256: str) -> None:
    """Looks into a photo, also from a thread that has no application context of its own."""
    with app.app_context():
        look_into_photo(ports, dealer, sha256)
