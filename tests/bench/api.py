"""Random requests from the OpenAPI description: how many, how answered, how many broke it (`--cases 10000`)."""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.api.conftest import Asker, enrolled
from tests.api.random_cases import run_cases
from tests.api.test_tenants import Ours
from tests.making import with_dealer

from benchtrail.app import create_app
from benchtrail.config import Config


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench api")
    parser.add_argument("--cases", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        app = create_app(Config(
            home=home, database_url=f"sqlite:///{home}/bench.db", secret=b"x" * 32, signing_key=f"{home}/{{dealer}}.pem",
            web=home, lighter_passwords=True, photos_at_once=True))
        ports = app.extensions["benchtrail"]
        with app.app_context():
            with_dealer(ports)
        phone: Asker = enrolled(app)
        ours = Ours(app, ports, phone)
        cookie = phone.client.get_cookie("benchtrail_device")
        assert cookie is not None
        started = time.monotonic()
        outcome = run_cases(app, ours.ids, cookie.value, asked.cases, asked.seed)
        seconds = time.monotonic() - started
        with app.app_context():
            ports.storage.close()
    for line in outcome.broken[:20]:
        print(line)
    for status, count in sorted(outcome.statuses.items()):
        print(f"{status:6} {count:7}")
    print(f"RESULT api cases={outcome.sent} operations={outcome.operations} broken={len(outcome.broken)} "
          f"faults={outcome.statuses['5xx']} seconds={seconds:.0f}")
    return 1 if outcome.broken else 0
