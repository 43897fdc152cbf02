"""The desk under load: the inbox of many jobs, a large library published, what a phone fetches when one of it changes."""

from __future__ import annotations

import argparse
import gzip
import json
import sys
import tempfile
import time
import uuid
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from flask import Flask
from tests.api.conftest import Asker, sign_in
from tests.making import Journal, a_pack, with_dealer, with_device

from benchtrail.app import create_app
from benchtrail.config import Config
from benchtrail.services.envelopes import seal
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.records import StoredEvent

DEALER, AT_ONCE = "withen-bridge", 5000


def app_of(home: Path) -> Flask:
    return create_app(Config(home=home, database_url=f"sqlite:///{home}/bench.db", secret=b"x" * 32,
                             signing_key=f"{home}/{{dealer}}.pem", web=home, lighter_passwords=True, photos_at_once=True))


def packs(count: int, revision: int = 1) -> list[dict[str, Any]]:
    """Procedures of a usual size: forty steps each, told at usual length."""
    made = []
    for number in range(count):
        pack = a_pack(f"job-{number:03}", revision=revision)
        step = pack["steps"][0]
        more = [step | {"id": f"look-{n:02}", "do": [], "say": f"Look at place {n} of {number} with a lamp. Wipe it dry.",
                        "detail": "Oil or dust that comes back within a minute points to the seal beside it."} for n in range(38)]
        made.append(pack | {"title": f"Look at the plug, way {number}", "steps": [step, *more, pack["steps"][1]]})
    return made


def fill(app: Flask, jobs: int, events: int) -> None:
    """Jobs with their events, written as the server keeps them."""
    ports = app.extensions["benchtrail"]
    with app.app_context():
        device = with_device(ports)
        with ports.storage.reading() as unit:
            published = [pack.sha256 for pack in unit.packs.all(DEALER)][:20]
        journal, rows = Journal(device.device), []
        for number in range(jobs):
            journal.job, journal.pack = str(uuid.uuid4()), published[number % len(published)]
            for n in range(events // jobs):
                kind, body = ("NoteWritten", {"step": None, "text": f"Note {n}"}) if n % 3 else ("StepDone", {"step": f"look-{n:02}"})
                event = journal.write(kind, body)
                sealed = seal(event)
                rows.append(StoredEvent(DEALER, len(rows) + 1, event["id"], device.device, event["seq"], journal.job, kind, sealed.sha256,
                                        sealed.text, ports.clock.now()))
        with ports.storage.writing() as unit:
            unit.dealers.take_positions(DEALER, len(rows))
            for start in range(0, len(rows), AT_ONCE):
                unit.events.add(rows[start : start + AT_ONCE])


def seconds(asker: Asker, path: str) -> float:
    started = time.perf_counter()
    answer = asker.get(path)
    assert answer.status_code == 200, answer.text[:200]
    return time.perf_counter() - started


def phone_bytes(asker: Asker, known: set[str]) -> tuple[int, set[str]]:
    """What a phone that has `known` fetches, gzipped as it is served: the manifest, and the packs that it does not have."""
    signed = asker.get(f"/api/v1/dealers/{DEALER}/manifest")
    entries = json.loads(signed.get_json()["payload"])["packs"]
    new = [entry["sha256"] for entry in entries if entry["sha256"] not in known]
    size = len(gzip.compress(signed.data))
    for sha256 in new:
        size += len(gzip.compress(asker.get(f"/packs/{sha256}.json").data))
    return size, {entry["sha256"] for entry in entries}


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench desk")
    parser.add_argument("--jobs", type=int, default=10_000)
    parser.add_argument("--events", type=int, default=100_000)
    parser.add_argument("--procedures", type=int, default=500)
    asked = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        app = app_of(home)
        ports = app.extensions["benchtrail"]
        with app.app_context():
            with_dealer(ports)
            started = time.perf_counter()
            publish_packs(ports, DEALER, Order(packs(asked.procedures), "anna"))
            publish_s = time.perf_counter() - started
        first, known = phone_bytes(Asker(app.test_client()), set())
        with app.app_context():
            (changed,) = [pack for pack in packs(asked.procedures, 2) if pack["procedure"] == "job-250" or asked.procedures <= 250][:1]
            publish_packs(ports, DEALER, Order([changed], "anna"))
        one, _ = phone_bytes(Asker(app.test_client()), known)
        fill(app, asked.jobs, asked.events)
        asker = sign_in(app, "ben")
        folded = seconds(asker, "/api/v1/desk/jobs?most=100")
        again = min(seconds(asker, "/api/v1/desk/jobs?most=100") for _ in range(3))
        with app.app_context():
            ports.storage.close()
        other = app_of(home)
        restarted = seconds(sign_in(other, "ben"), "/api/v1/desk/jobs?most=100")
        with other.app_context():
            other.extensions["benchtrail"].storage.close()
    print(f"publish {asked.procedures} procedures         {publish_s:8.2f} s")
    print(f"inbox of {asked.jobs} jobs, all folded      {folded:8.2f} s")
    print(f"  the same, rows kept                 {again:8.3f} s   {folded / again:6.0f} times as quick")
    print(f"  first list after a start            {restarted:8.3f} s   {folded / restarted:6.0f} times as quick")
    print(f"phone: whole library {first / 1024:9.0f} KiB; one changed of {asked.procedures}: {one / 1024:6.0f} KiB, 1/{first / one:.0f}")
    print(f"RESULT desk jobs={asked.jobs} events={asked.events} folded_s={folded:.2f} kept_s={again:.3f} restart_s={restarted:.3f} "
          f"restart_ratio={folded / restarted:.1f} publish_s={publish_s:.2f} library_bytes={first} one_change_bytes={one}")
    return 0
