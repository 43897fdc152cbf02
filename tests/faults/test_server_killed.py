"""The server is killed while phones send: everything it had acknowledged is there afterwards, exactly once."""

import base64
import contextlib
import hashlib
import http.client
import json
import random
import subprocess
import sys
import threading
import time
import uuid
from pathlib import Path
from typing import Any

import pytest
from tests.faults.serving import ServerProcess, enrolled_phone, environment, opened_home, prepared_home
from tests.making import Journal, a_photo, sha256_of

from benchtrail.services.doctor import examine

CUT = (OSError, http.client.HTTPException)
KILLS = 6


class Phone:
    """Sends notes until told to stop; remembers what was acknowledged; sends again what was not."""

    def __init__(self, server: ServerProcess, device: str, cookie: str) -> None:
        self.server, self.cookie = server, cookie
        self.journal = Journal(device)
        self.waiting: list[dict[str, Any]] = []
        self.receipts: dict[str, str] = {}
        self.stop = threading.Event()

    def run(self) -> None:
        while not self.stop.is_set():
            self.send()

    def send(self) -> None:
        if len(self.waiting) < 7:
            self.waiting += [self.journal.write() for _ in range(7)]
        try:
            status, body, _ = self.server.ask("POST", "/api/v1/events", {"events": self.waiting, "waiting": 0},
                                              Cookie=self.cookie)
        except CUT:
            time.sleep(0.01)
            return
        assert status == 200, body
        for result in body["results"]:
            assert result["status"] in ("stored", "duplicate"), result
            self.receipts[result["id"]] = result["sha256"]
        self.waiting = [event for event in self.waiting if event["id"] not in self.receipts]


def test_every_acknowledged_event_is_there_exactly_once_after_kills(tmp_path: Path) -> None:
    server = ServerProcess(prepared_home(tmp_path / "home"))
    server.start()
    with opened_home(server.home) as ports:
        phones = [Phone(server, *enrolled_phone(server, ports)) for _ in range(2)]
    threads = [threading.Thread(target=phone.run) for phone in phones]
    for thread in threads:
        thread.start()
    chance = random.Random(5)
    for _ in range(KILLS):
        time.sleep(chance.uniform(0.1, 0.5))
        server.kill()
        server.start()
    time.sleep(0.2)
    for phone in phones:
        phone.stop.set()
    for thread in threads:
        thread.join(timeout=20)
    server.kill()
    acknowledged = {id: sha256 for phone in phones for id, sha256 in phone.receipts.items()}
    assert len(acknowledged) > 10 * KILLS, "too little was sent for the test to say anything"
    with opened_home(server.home) as ports:
        with ports.storage.reading() as unit:
            stored = unit.events.all("withen-bridge")
            assert unit.events.quarantined("withen-bridge") == []
        assert [one for one in examine(ports) if one.grave] == []
    kept = {one.id: one.sha256 for one in stored}
    assert len(kept) == len(stored), "an event is there twice"
    assert {id: kept.get(id) for id in acknowledged} == acknowledged
    assert [one.position for one in stored] == sorted(one.position for one in stored)
    print(f"{len(acknowledged)} acknowledged, {KILLS} kills: 0 lost, 0 doubled")


def test_a_photo_arrives_whole_through_kills_and_repeats_at_most_a_piece_each_time(tmp_path: Path) -> None:
    server = ServerProcess(prepared_home(tmp_path / "home"))
    server.start()
    with opened_home(server.home) as ports:
        _, cookie = enrolled_phone(server, ports)
    content = a_photo(1400, 1000, quality=97)
    name, piece, cuts = hashlib.sha256(content).hexdigest(), 64 * 1024, 0
    facts = {"sha256": name, "mime": "image/jpeg", "job": str(uuid.uuid4())}
    metadata = ",".join(f"{key} {base64.b64encode(value.encode()).decode()}" for key, value in facts.items())
    tus = {"Tus_Resumable": "1.0.0", "Cookie": cookie}
    announced = {"Upload_Length": str(len(content)), "Upload_Metadata": metadata}
    _, _, headers = server.ask("POST", "/api/v1/photos", **announced, **tus)
    place, offset, sent = headers["location"], 0, 0
    chance = random.Random(7)
    while offset < len(content):
        killer = threading.Timer(chance.uniform(0.001, 0.02), server.kill) if cuts < 4 else None
        if killer:
            killer.start()
        try:
            chunk = content[offset : offset + piece]
            sent += len(chunk)
            status, body, headers = server.ask("PATCH", place, chunk, Upload_Offset=str(offset),
                                               Content_Type="application/offset+octet-stream", **tus)
            assert status in (204, 409), body
        except CUT:
            pass
        if killer:
            killer.join()
            cuts += 1
            server.start()
        offset = int(server.ask("HEAD", place, **tus)[2]["upload-offset"])
    assert cuts == 4
    assert sent <= len(content) + cuts * piece
    status, receipt, _ = server.ask("GET", f"/api/v1/photos/{name}/receipt", Cookie=cookie)
    assert (status, receipt["sha256"], receipt["bytes"]) == (200, name, len(content))
    assert server.stop() == 0
    with opened_home(server.home) as ports:
        examine(ports, mend=True)
        assert examine(ports) == []


def test_a_stop_finishes_what_was_begun(tmp_path: Path) -> None:
    server = ServerProcess(prepared_home(tmp_path / "home"))
    server.start()
    with opened_home(server.home) as ports:
        device, cookie = enrolled_phone(server, ports)
    journal, answers = Journal(device), []
    events = [journal.write() for _ in range(100)]

    def push() -> None:
        answers.append(server.ask("POST", "/api/v1/events", {"events": events, "waiting": 0}, Cookie=cookie))

    thread = threading.Thread(target=push)
    thread.start()
    time.sleep(0.02)
    assert server.stop() == 0
    thread.join()
    ((status, body, _),) = answers
    assert status == 200
    assert {one["status"] for one in body["results"]} == {"stored"}


@pytest.mark.parametrize("command", ["backup", "restore"])
def test_backup_and_restore_may_be_killed_at_any_moment(tmp_path: Path, command: str) -> None:
    home = prepared_home(tmp_path / "home")
    with opened_home(home) as ports:
        for number in range(300):
            ports.files.put("withen-bridge", "uploads", f"{number:036x}", b"x" * 5000)
    whole = tmp_path / "whole.tar"
    run = [sys.executable, "-m", "benchtrail"]
    subprocess.run([*run, "backup", str(whole)], env=environment(home), check=True, stdout=subprocess.DEVNULL)
    chance = random.Random(3)
    for number in range(4):
        target = tmp_path / f"target-{number}"
        argument = target if command == "backup" else whole
        place = home if command == "backup" else target
        started = subprocess.Popen([*run, command, str(argument)], env=environment(place), stdout=subprocess.DEVNULL)
        with contextlib.suppress(subprocess.TimeoutExpired):
            started.wait(timeout=chance.uniform(0.4, 1.1))
        started.kill()
        started.wait()
        if command == "backup":
            if target.exists():
                assert target.stat().st_size >= whole.stat().st_size - 10_240, "a backup that is there is whole"
            continue
        again = subprocess.run([*run, "restore", str(whole)], env=environment(target), capture_output=True, text=True)
        assert again.returncode == 0 or "holds data already" in again.stderr, again.stderr
        with opened_home(target) as ports:
            assert [one for one in examine(ports) if one.grave] == []
            assert len(list(ports.files.names("withen-bridge", "uploads"))) == 300


def test_a_receipt_names_the_hash_that_the_phone_computes(tmp_path: Path) -> None:
    server = ServerProcess(prepared_home(tmp_path / "home"))
    server.start()
    with opened_home(server.home) as ports:
        device, cookie = enrolled_phone(server, ports)
    event = Journal(device).write(body={"step": None, "text": "Öl é 🔧", "n": 0.1})
    _, body, _ = server.ask("POST", "/api/v1/events", json.dumps({"events": [event]}).encode(), Cookie=cookie)
    assert body["results"][0]["sha256"] == sha256_of(event)
    assert server.stop() == 0
