"""The whole application on PostgreSQL: from the code at the desk to the job at the desk."""

import threading
import uuid
from pathlib import Path

import pytest
from tests.api.conftest import Asker, enrolled, sign_in
from tests.making import Journal, a_pack, a_photo, with_dealer
from tests.postgres import fresh_database
from tests.storage.test_archive import config_of

from benchtrail.app import create_app
from benchtrail.services.devices import make_code
from benchtrail.services.doctor import examine
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs

pytestmark = pytest.mark.postgres


def test_a_job_goes_all_the_way(tmp_path: Path, cluster: str) -> None:
    with fresh_database(cluster) as url:
        app = create_app(config_of(tmp_path / "home", url))
        ports: Ports = app.extensions["benchtrail"]
        with app.app_context():
            with_dealer(ports)
            (pack,) = publish_packs(ports, "withen-bridge", Order([a_pack()], "anna"))
        phone, reader = enrolled(app), sign_in(app, "ben")
        journal = Journal(phone.device, pack=pack.sha256)
        events = [journal.write(), journal.write("StepDone", {"step": "open"}), {"malformed": "\u0000"}]
        results = phone.post("/api/v1/events", {"events": events, "waiting": 1}).get_json()["results"]
        assert [one["status"] for one in results] == ["stored", "stored", "quarantined"]
        phone.send_photo(a_photo(), journal.job)
        assert phone.get("/api/v1/events").get_json()["events"] == events[:2]
        (row,) = reader.get("/api/v1/desk/jobs").get_json()["jobs"]
        assert (row["done"], row["notes"], row["total"], row.pop("needs")) == (1, 1, 2, [])
        assert row == {name: value for name, value in reader.get(f"/api/v1/desk/jobs/{journal.job}").get_json().items()
                       if name in row}
        with app.app_context():
            assert examine(ports) == []
            ports.storage.close()


def test_of_many_phones_at_the_same_moment_one_gets_the_code(tmp_path: Path, cluster: str) -> None:
    with fresh_database(cluster) as url:
        app = create_app(config_of(tmp_path / "home", url))
        ports: Ports = app.extensions["benchtrail"]
        with app.app_context():
            with_dealer(ports)
            code, _ = make_code(ports, "withen-bridge", "x", "anna")
        outcomes: list[int] = []

        def try_it() -> None:
            body = {"code": code, "device": str(uuid.uuid4()), "label": "x"}
            outcomes.append(Asker(app.test_client()).post("/api/v1/devices/enrol", body).status_code)

        threads = [threading.Thread(target=try_it) for _ in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(outcomes) == [201, 409, 409, 409, 409, 409]
        with app.app_context():
            ports.storage.close()
