"""A share of the fault histories: the phone's own code against the real app on a real database. More: `python3 tests/bench faults`."""

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import text
from tests.bench.faults import FAST_FOLDER
from tests.faults.counting import count
from tests.faults.history import FAULTS, World
from tests.faults.one_server import OneServer
from tests.faults.phone_host import PhoneHost
from tests.faults.run_histories import Histories
from tests.faults.small_model import RESUMED, run, singles
from tests.faults.standing import Broken

SECONDS = 15
LEAST = 8


@pytest.fixture(scope="module")
def host() -> Iterator[PhoneHost]:
    with PhoneHost() as made:
        yield made


@pytest.fixture
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(dir=FAST_FOLDER if FAST_FOLDER.is_dir() else None) as name:
        yield Path(name)


def test_random_histories_lose_and_double_nothing(host: PhoneHost, folder: Path) -> None:
    """As many seeds as fit into the time, at least a few; the same seeds in the same order every time."""
    made, end, seed = Histories(host, folder), time.monotonic() + SECONDS, 1
    while seed <= LEAST or time.monotonic() < end:
        made.run_seed(seed)
        seed += 1
    made.close()
    print(f"{made.steps} steps in {made.histories} histories, {made.saved} saved: 0 lost, 0 doubled")
    assert made.saved > 20 * LEAST
    assert len(made.cells) > 30, "too few kinds of request met too few kinds of fault"


def test_single_faults_of_the_small_model_lose_nothing(host: PhoneHost, folder: Path) -> None:
    """Every third of them; all are met by `python3 tests/bench faults --small singles`."""
    server = OneServer(folder)
    shaken = ("429", "answer lost")
    chosen = [one for at, one in enumerate(singles()) if at % 3 == 0 or (one[-1] == RESUMED and one[0][0] in shaken)]
    cells = set()
    for number, one in enumerate(chosen):
        world = World(host, server, f"s{number}", "plain", number, phones=2)
        run(world, *one, photo=True)
        cells |= world.cells
    server.stop()
    of_a_round = {"GET probe", "POST events", "GET events", "GET photo receipt", "POST photos", "HEAD photo", "PATCH photo",
                  "GET jobs digest"}
    assert of_a_round <= {request for request, fault in cells if fault != "none"}
    assert set(FAULTS[2:]) <= {fault for _, fault in cells}


SPOILED = {
    "SELECT 1": "",
    "DELETE FROM events WHERE seq = 1": "neither counted nor aside",
    "UPDATE events SET text = replace(text, 'note 1', 'note X')": "another hash than its text",
    "UPDATE events SET text = replace(text, 'note 1', 'note 2')": "doubled",
    "UPDATE photos SET bytes = 1": "receipt for a photo that is not there",
    "INSERT INTO quarantined_events (dealer, sha256, device, reason, \"values\", text, received_at) "
    "SELECT dealer, 'x', device, 'event_malformed', '{}', '{\"body\": {}}', received_at FROM events WHERE seq = 1": "set aside",
}


@pytest.mark.parametrize("spoil", SPOILED)
def test_the_judge_can_say_no(host: PhoneHost, folder: Path, spoil: str) -> None:
    server = OneServer(folder)
    world = World(host, server, "judge", "plain", 5, phones=1)
    world.move_join(Random(1))
    for number in range(3):
        world.move_note(Random(number))
    world.move_photo(Random(4))
    assert len(world.phones[0].saved) == 4
    world.settle()
    with server.inside() as ports:
        engine = ports.storage.engine  # type: ignore[attr-defined]
        with engine.connect().execution_options(benchtrail_writes=True) as connection, connection.begin():
            connection.execute(text(spoil))
    said = ""
    try:
        count(world)
    except Broken as reason:
        said = str(reason)
    server.stop()
    assert SPOILED[spoil] in said
    assert bool(said) == bool(SPOILED[spoil])
