"""Short histories made on purpose: each meets one kind of fault at every place, and sees one of our hand-made faults by construction.

The hand-made faults are the patches under tests/bench/mutants; each names the test that must see it.
"""

import itertools
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import text
from tests.bench.faults import FAST_FOLDER
from tests.faults.counting import count
from tests.faults.history import Page, Phone, World, kind_of
from tests.faults.one_server import OneServer
from tests.faults.phone_host import PhoneHost

WRITES_OF_A_NOTE, WRITES_OF_A_PHOTO, STEPS_OF_A_PIECE = 4, 12, 14
TWO_PIECES, ONE_PIECE = b"two pieces " * 24_000, b"one piece"
NewWorld = Callable[..., World]


@pytest.fixture(scope="module")
def host() -> Iterator[PhoneHost]:
    with PhoneHost() as made:
        yield made


@pytest.fixture(scope="module")
def server() -> Iterator[OneServer]:
    with tempfile.TemporaryDirectory(dir=FAST_FOLDER if FAST_FOLDER.is_dir() else None) as name:
        made = OneServer(Path(name))
        yield made
        made.stop()


@pytest.fixture
def new_world(host: PhoneHost, server: OneServer) -> NewWorld:
    """A fresh server and phones that have joined."""
    numbers = itertools.count(1)

    def make(phones: int = 1, mode: str = "plain") -> World:
        server.renew()
        world = World(host, server, f"d{next(numbers)}", mode, next(numbers), phones=phones)
        for phone in world.phones:
            world.join(phone, phone.pages[0])
            world.drive(phone, phone.pages[0])
        return world

    return make


def first(world: World) -> tuple[Phone, Page]:
    return world.phones[0], world.phones[0].pages[-1]


def write(world: World, phone: Phone | None = None) -> None:
    """One note, with words of its own."""
    world.texts += 1
    writer = phone or world.phones[0]
    world.write_note(writer, writer.pages[-1], world.jobs[0], f"note {world.texts}")


def wake(world: World, phone: Phone) -> None:
    world.host("clock", phone=phone.name, sinceMs=200_000)
    world.hear(phone, phone.pages[-1], world.host("wake", page=phone.pages[-1].name, why="timer"))


def send(world: World, phone: Phone | None = None) -> None:
    """Everything that waits on the phone, without faults."""
    sender = phone or world.phones[0]
    wake(world, sender)
    world.drive(sender, sender.pages[-1])


def until(world: World, kind: str) -> dict[str, object]:
    """Sends without faults up to the first request of a kind, which is left waiting."""
    phone, page = first(world)
    wake(world, phone)
    while kind_of(request := next(iter(page.requests.values()))) != kind:
        world.meet(phone, page, request, "none")
    return request


def reopened(world: World) -> None:
    """The page is gone, and somebody opens it again: everything told must still be there."""
    phone, page = first(world)
    world.end_page(page)
    world.open(phone, 0)


def over(world: World) -> None:
    """Everything is sent and counted."""
    world.settle()
    count(world)


def test_a_note_met_by_a_death_at_any_write_is_whole_or_not_there(new_world: NewWorld) -> None:
    for writes in range(WRITES_OF_A_NOTE):
        world = new_world()
        world.host("arm", page=first(world)[1].name, writes=writes)
        write(world)
        reopened(world)
        over(world)


def test_a_receipt_met_by_a_death_at_any_write_leaves_the_note_waiting_or_received(new_world: NewWorld) -> None:
    for writes in range(WRITES_OF_A_NOTE):
        world = new_world()
        phone, page = first(world)
        write(world)
        request = until(world, "POST events")
        world.host("arm", page=page.name, writes=writes)
        world.meet(phone, page, request, "none")
        reopened(world)
        over(world)


@pytest.mark.parametrize("content", [TWO_PIECES, ONE_PIECE], ids=["two pieces", "one piece"])
def test_a_photos_receipt_met_by_a_death_at_any_write_leaves_it_waiting_or_received(new_world: NewWorld, content: bytes) -> None:
    for writes in range(WRITES_OF_A_NOTE):
        world = new_world()
        phone, page = first(world)
        world.take_photo(phone, page, world.jobs[0], content)
        request = until(world, "PATCH photo" if content == TWO_PIECES else "POST photos")
        world.host("arm", page=page.name, writes=writes)
        world.meet(phone, page, request, "none")
        reopened(world)
        over(world)


def test_a_photo_met_by_a_death_at_any_write_of_taking_it_is_not_lost_once_it_is_called_safe(new_world: NewWorld) -> None:
    for writes in range(WRITES_OF_A_PHOTO):
        world = new_world()
        phone, page = first(world)
        world.host("arm", page=page.name, writes=writes)
        world.take_photo(phone, page, world.jobs[0], ONE_PIECE)
        reopened(world)
        over(world)


def test_a_photo_is_there_whole_wherever_the_server_dies_over_it(new_world: NewWorld) -> None:
    for steps in range(STEPS_OF_A_PIECE):
        world = new_world()
        phone, page = first(world)
        world.take_photo(phone, page, world.jobs[0], ONE_PIECE)
        request = until(world, "POST photos")
        world.server.die_at = steps
        world.meet(phone, page, request, "none")
        world.server.start()
        over(world)


def test_a_push_is_there_when_it_is_answered_for_and_once_wherever_the_server_dies(new_world: NewWorld) -> None:
    for steps in range(WRITES_OF_A_NOTE):
        world = new_world()
        phone, page = first(world)
        write(world)
        request = until(world, "POST events")
        world.server.die_at = steps
        world.meet(phone, page, request, "none")
        world.server.start()
        write(world)
        over(world)


def test_a_cursor_never_passes_events_that_a_death_kept_away(new_world: NewWorld) -> None:
    world = new_world(phones=2)
    for phone in world.phones:
        write(world, phone)
        send(world, phone)
    for writes in range(WRITES_OF_A_NOTE):
        write(world, world.phones[1])
        send(world, world.phones[1])
        phone, page = first(world)
        request = until(world, "GET events")
        world.host("arm", page=page.name, writes=writes)
        world.meet(phone, page, request, "none")
        reopened(world)
    over(world)


def test_a_difference_of_digests_is_healed_by_sending_again(new_world: NewWorld) -> None:
    world = new_world()
    write(world)
    send(world)
    with world.server.inside() as ports:
        engine = ports.storage.engine  # type: ignore[attr-defined]
        with engine.connect().execution_options(benchtrail_writes=True) as connection, connection.begin():
            connection.execute(text("DELETE FROM events WHERE dealer = :dealer"), {"dealer": world.dealer})
    write(world)
    over(world)


@pytest.mark.parametrize("own_archive", [True, False], ids=["by the command", "by a copy"])
def test_a_server_restored_from_before_a_note_gets_it_again(new_world: NewWorld, own_archive: bool) -> None:
    world = new_world(mode="server restored")
    write(world)
    send(world)
    world.server.back_up(own_archive)
    write(world)
    world.take_photo(*first(world), world.jobs[0], ONE_PIECE)
    send(world)
    world.server.restore()
    over(world)


def test_two_tabs_that_write_at_once_write_one_after_the_other(new_world: NewWorld) -> None:
    world = new_world()
    phone, _ = first(world)
    world.open(phone, 1)
    for number in range(4):
        assert world.move_two_tabs_write(Random(number))
    over(world)


@pytest.mark.parametrize("fault", ["413", "429", "500 before", "408", "sign-in page", "cut answer"])
def test_a_note_that_the_way_refused_still_waits(new_world: NewWorld, fault: str) -> None:
    world = new_world()
    phone, page = first(world)
    write(world)
    world.meet(phone, page, until(world, "POST events"), fault)
    reopened(world)
    over(world)


@pytest.mark.parametrize("name", ["QuotaExceededError", "UnknownError", "AbortError"])
def test_a_note_that_the_disk_refused_after_all_was_not_called_saved(new_world: NewWorld, name: str) -> None:
    world = new_world()
    world.refused_storage = True
    for after, times in itertools.product(range(3), (1, 6)):
        world.host("arm", page=first(world)[1].name, refusal={"name": name, "after": after, "times": times})
        write(world)
        reopened(world)
    over(world)


def test_the_word_that_a_phone_was_shut_out_goes_when_a_restored_server_takes_it_again(new_world: NewWorld) -> None:
    for writes in range(WRITES_OF_A_NOTE):
        world = new_world(mode="server restored")
        phone, page = first(world)
        write(world)
        send(world)
        world.server.back_up()
        assert world.move_shut_out(Random(1))
        write(world)
        request = until(world, "POST events")
        world.host("arm", page=page.name, writes=writes)
        world.meet(phone, page, request, "none")
        world.server.restore()
        reopened(world)
        over(world)
