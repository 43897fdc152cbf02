"""Backup and restore: everything comes back, also into the other database, also while others write."""

import hashlib
import io
import json
import tarfile
import threading
import uuid
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine
from tests.making import Journal, SetClock, a_pack, a_photo, with_dealer, with_device
from tests.postgres import fresh_database

from benchtrail.app import create_app
from benchtrail.config import Config, database_url
from benchtrail.domain.refused import Refused
from benchtrail.services.devices import device_of, enrol, make_code
from benchtrail.services.doctor import examine
from benchtrail.services.photos import look_into_photo
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.receive_events import receive_events
from benchtrail.services.records import Device
from benchtrail.services.uploads import add_piece, begin_upload
from benchtrail.storage import archive as archive_module
from benchtrail.wiring import open_archive


def config_of(home: Path, url: str | None = None) -> Config:
    home.mkdir(exist_ok=True)
    secret = home / "secret"
    if not secret.exists():
        secret.write_bytes(b"x" * 64)
    return Config(home=home, database_url=database_url(url or f"sqlite:///{home}/benchtrail.db"), secret=b"x" * 64,
                  signing_key=str(home / "keys" / "{dealer}.pem"), lighter_passwords=True, photos_at_once=True)


@contextmanager
def running(config: Config) -> Iterator[Ports]:
    app = create_app(config, SetClock())
    with app.app_context():
        ports: Ports = app.extensions["benchtrail"]
        yield ports
        ports.storage.close()


def send_photo(ports: Ports, device: Device, content: bytes, pieces: int = 1) -> str:
    name = hashlib.sha256(content).hexdigest()
    place = begin_upload(ports, device, name, "image/jpeg", str(uuid.uuid4()), len(content))
    size = len(content) // pieces + 1
    for start in range(0, len(content), size):
        add_piece(ports, device, place.id, start, content[start : start + size], None)
    return name


def fill(ports: Ports) -> str:
    """A dealer with a library, phones, a job, photos clean and not, a half-sent photo. Answers a phone's credential."""
    with_dealer(ports)
    picture = a_photo(kind="PNG")
    sha256 = hashlib.sha256(picture).hexdigest()
    shown = {"a": {"sha256": sha256, "mime": "image/png", "bytes": len(picture), "alt": "A"}}
    packs = [a_pack(), a_pack("other", pictures=shown)]
    texts = {"procedure test-drain": b"procedure: test-drain"}
    publish_packs(ports, "withen-bridge", Order(packs, "anna", pictures={sha256: picture}, texts=texts))
    code, _ = make_code(ports, "withen-bridge", "Mrs Ashdown", "anna")
    credential, device, _ = enrol(ports, code, str(uuid.uuid4()), "", "192.0.2.1")
    journal = Journal(device.device)
    receive_events(ports, device, [journal.write(body={"text": "Ä € 🔧"}), {"malformed": True}, journal.write()], 2)
    send_photo(ports, device, a_photo())
    send_photo(ports, device, b"not a picture")
    begun = begin_upload(ports, device, "a" * 64, "image/png", journal.job, 100)
    add_piece(ports, device, begun.id, 0, b"half", None)
    return credential


def everything(config: Config) -> dict[str, Any]:
    """All rows, without what a restore renews."""
    with open_archive(config) as archive:
        path = config.home / f"dump-{uuid.uuid4().hex}.tar"
        archive.write(path)
    with tarfile.open(path) as tar:
        names = [name for name in tar.getnames() if name.startswith("tables/")]
        tables = {name: [json.loads(line) for line in tar.extractfile(name)] for name in names}  # type: ignore[union-attr]
    path.unlink()
    for row in tables["tables/dealers.jsonl"]:
        row.pop("epoch")
    return tables


@pytest.mark.parametrize("way", [
    "sqlite to sqlite",
    pytest.param("sqlite to postgres", marks=pytest.mark.postgres),
    pytest.param("postgres to sqlite", marks=pytest.mark.postgres),
])
def test_everything_comes_back(way: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    with ExitStack() as stack:
        urls = [stack.enter_context(fresh_database(request.getfixturevalue("cluster"))) if kind == "postgres" else None
                for kind in way.split(" to ")]
        source, target = (config_of(tmp_path / name, url) for name, url in zip(("a", "b"), urls, strict=True))
        with running(source) as ports:
            credential = fill(ports)
            epoch = ports.storage.reading
            with epoch() as unit:
                old = unit.dealers.get("withen-bridge")
        with open_archive(source) as archive:
            archive.write(tmp_path / "all.tar")
        with open_archive(target) as archive:
            archive.read(tmp_path / "all.tar")
        assert everything(target) == everything(source)
        with running(target) as ports:
            assert [one.code for one in examine(ports)] == ["photo_kept_apart"]
            device, dealer = device_of(ports, credential)
            assert old is not None
            assert dealer.epoch != old.epoch
            event = Journal(device.device, seq=2).write()
            assert receive_events(ports, device, [event], 0)[0][0].status == "stored"


def test_a_backup_made_while_others_write_is_consistent(tmp_path: Path) -> None:
    source = config_of(tmp_path / "a")
    app = create_app(source)
    with app.app_context():
        with_dealer(app.extensions["benchtrail"])
    stop, sent = threading.Event(), []

    def write() -> None:
        with app.app_context():
            ports: Ports = app.extensions["benchtrail"]
            device = with_device(ports)
            journal = Journal(device.device)
            for number in range(10_000):
                if stop.is_set():
                    return
                receive_events(ports, device, [journal.write() for _ in range(5)], 0)
                sent.append(send_photo(ports, device, a_photo(64 + number % 400, 48 + number // 400)))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(2):
            while len(sent) < 3 * (number + 1):
                assert writer.is_alive()
            with open_archive(source) as archive:
                archive.write(tmp_path / f"{number}.tar")
    finally:
        stop.set()
        writer.join()
    for number in range(2):
        target = config_of(tmp_path / f"restored-{number}")
        with open_archive(target) as archive:
            facts = archive.read(tmp_path / f"{number}.tar")
        assert facts["rows"]["photos"] >= 3 * number
        with running(target) as ports:
            assert [one for one in examine(ports) if one.grave] == []


def test_a_backup_does_not_overwrite_and_a_restore_wants_a_new_home(tmp_path: Path) -> None:
    source = config_of(tmp_path / "a")
    with running(source) as ports:
        fill(ports)
    with open_archive(source) as archive:
        archive.write(tmp_path / "all.tar")
        with pytest.raises(Refused, match="backup_exists"):
            archive.write(tmp_path / "all.tar")
        with pytest.raises(Refused, match="home_not_empty"):
            archive.read(tmp_path / "all.tar")
        with pytest.raises(Refused, match="backup_not_writable"):
            archive.write(tmp_path / "nowhere" / "all.tar")


def evil(path: Path, name: str) -> None:
    with tarfile.open(path, "w") as tar:
        facts = {"format": "benchtrail.backup/1", "revision": "0001", "rows": {},
                 "sha256": {name: hashlib.sha256(b"x").hexdigest()}}
        for member, content in ((name, b"x"), ("backup.json", json.dumps(facts).encode())):
            info = tarfile.TarInfo(member)
            info.size = len(content)
            tar.addfile(info, io.BytesIO(content))


def test_what_is_not_a_whole_backup_is_refused_and_writes_nothing_outside(tmp_path: Path) -> None:
    source, target = config_of(tmp_path / "a"), config_of(tmp_path / "b")
    with running(source) as ports:
        fill(ports)
    with open_archive(source) as archive:
        archive.write(tmp_path / "all.tar")
    whole = (tmp_path / "all.tar").read_bytes()
    broken = {"empty": b"", "text": b"hello", "cut": whole[: len(whole) // 2],
              "changed": whole.replace(b"Mrs Ashdown", b"Mr  Ashdown")}
    for name, content in broken.items():
        (tmp_path / name).write_bytes(content)
    evil(tmp_path / "climbing", "../escaped")
    for name in (*broken, "climbing"):
        with open_archive(target) as archive, pytest.raises(Refused, match="backup_unreadable"):
            archive.read(tmp_path / name)
    assert not (tmp_path / "escaped").exists()
    with open_archive(target) as archive:
        archive.read(tmp_path / "all.tar")


class NotLooked:
    def put(self, dealer: str, sha256: str) -> None:
        """Leaves the photo as it came."""


def test_a_photo_that_comes_and_moves_between_files_and_tables_is_in_the_backup(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, target = config_of(tmp_path / "a"), config_of(tmp_path / "b")
    real_dump, asked = archive_module._dump, []
    app = create_app(source, SetClock())
    ports: Ports = app.extensions["benchtrail"]
    with app.app_context():
        fill(ports)
        device = with_device(ports)

    def dump(engine: Engine) -> dict[str, bytes]:
        if asked:
            return real_dump(engine)
        asked.append("once")
        with app.app_context():
            name = send_photo(replace(ports, photo_queue=NotLooked()), device, a_photo(90, 70))
        tables = real_dump(engine)  # names the photo in quarantine …
        with app.app_context():
            look_into_photo(ports, "withen-bridge", name)  # … from where it moves at once
            ports.storage.close()
        return tables

    monkeypatch.setattr(archive_module, "_dump", dump)
    with open_archive(source) as archive:
        archive.write(tmp_path / "all.tar")
    monkeypatch.undo()
    with open_archive(target) as archive:
        assert archive.read(tmp_path / "all.tar")["rows"]["photos"] == 3
    with running(target) as ports:
        assert [one.code for one in examine(ports)] == ["photo_kept_apart"]
