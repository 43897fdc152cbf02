"""The demo's dealership: whole, through the real services, and never twice."""

import pytest
from tests.making import memory_ports

from benchtrail.cli.demo import load_seed
from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import sign_in
from benchtrail.services.desk_jobs import job_whole
from benchtrail.services.doctor import examine
from benchtrail.services.job_list import KeptRows, job_list
from benchtrail.services.jobs import job_of
from benchtrail.services.ports import Ports
from benchtrail.services.seed_demo import DEMO_ACCOUNTS, Seed, ready_code, seed_demo, uuid7


@pytest.fixture(scope="module")
def ports() -> Ports:
    made = memory_ports()
    assert seed_demo(made, load_seed()) == [], "the library of the demo must have no finding that blocks"
    return made


def test_every_account_signs_in(ports: Ports) -> None:
    for name, role, password in DEMO_ACCOUNTS:
        assert sign_in(ports, name, password, "127.0.0.1")[1].account.role == role


def test_five_procedures_and_the_map_are_published(ports: Ports) -> None:
    with ports.storage.reading() as unit:
        packs = unit.packs.all("withen-bridge")
    assert sorted({pack.kind for pack in packs}) == ["model", "procedure"]
    assert sum(pack.kind == "procedure" for pack in packs) >= 5


def test_the_jobs_came_through_whole_and_are_told_apart(ports: Ports) -> None:
    rows = {row["procedure"]: row for row in job_list(ports, KeptRows(), "withen-bridge")}
    seal, brakes = rows["renew-water-pump-seal"], rows["renew-front-brake-pads-and-fluid"]
    assert seal["closed"]["outcome"] == "finished"
    assert seal["done"] == seal["total"] - 1 > 40
    assert (seal["outside"], seal["skipped"], seal["notes"], seal["photos"]) == (1, 1, 3, 1)
    assert brakes["closed"] is None
    assert 0 < brakes["done"] < brakes["total"]
    assert brakes["outside"] == 1
    assert all(row["attention"] == 0 for row in rows.values())


def test_the_half_done_job_says_what_is_not_final(ports: Ports) -> None:
    rows = job_list(ports, KeptRows(), "withen-bridge")
    (id,) = [row["job"] for row in rows if row["procedure"].startswith("renew-front")]
    brakes = job_of(ports, "withen-bridge", id)
    assert "part_not_on" in {item["code"] for item in job_whole(brakes)["end_items"]}
    assert brakes.fold["paused"]
    assert brakes.fold["place"] == "bleed"


def test_every_photo_is_shown_byte_for_byte(ports: Ports) -> None:
    with ports.storage.reading() as unit:
        photos = unit.photos.all("withen-bridge")
    assert [(photo.state, photo.clean_sha256 == photo.sha256) for photo in photos] == [("clean", True)] * 3


def test_nothing_ails_it_and_a_second_start_changes_nothing(ports: Ports) -> None:
    before = job_list(ports, KeptRows(), "withen-bridge")
    assert seed_demo(ports, load_seed()) == []
    assert job_list(ports, KeptRows(), "withen-bridge") == before
    assert len(before) == 3
    assert examine(ports) == []
    assert len(ready_code(ports, "withen-bridge")) == 8


def test_a_job_that_names_a_step_that_is_not_there_is_refused() -> None:
    whole = load_seed()
    job = whole.dealership["jobs"][0] | {"skip": {"no-such-step": "x"}}
    seed = Seed(whole.dealership | {"jobs": [job]}, whole.photos, whole.files, whole.read_picture)
    with pytest.raises(Refused, match="seed_names_nothing"):
        seed_demo(memory_ports(), seed)


def test_ids_are_uuids_of_version_7_in_the_order_of_time() -> None:
    """RFC 9562, section 5.7 and its example in appendix A.6: 0x017F22E279B0 is the time of 017F22E2-79B0-7CC3-…"""
    made = uuid7(0x017F22E279B0)
    assert made.startswith("017f22e2-79b0-7")
    assert made[19] in "89ab"
    assert uuid7(0x017F22E279B0) < uuid7(0x017F22E279B1)
