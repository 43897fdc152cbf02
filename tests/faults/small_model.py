"""The small model, to exhaustion: two phones write one note each in one job and send it, and every pair of faults is met.

A fault is met by one phone at one request, at one write of its database, or at one durable step of the server. The rounds of the two
phones run one after the other or request by request in turn. After that the faults end, and all is counted. With single faults each
phone also takes a photo, one of two pieces and one that goes whole with its announcement, and may die at any write of taking it; and
a photo goes on after the answer to its last piece was lost.
"""

from collections.abc import Iterator
from itertools import product

from tests.faults.counting import count
from tests.faults.history import FAULTS, Page, Phone, World, kind_of

NOTES = (6, 10, 8)  # of one phone's round: requests, writes on the phone, durable steps of the server
WITH_PHOTO = (10, 20, 20)
AFTER_LOSS = 4  # requests of a photo that goes on
PHOTOS = (b"two pieces " * 24_000, b"one piece")
Point = tuple[str, int | str]
ORDERS = ("one after the other", "in turn")
RESUMED = "after a lost answer"
LOST_LAST: Point = ("answer lost", "PATCH photo")


def points(sizes: tuple[int, int, int]) -> list[Point]:
    """Every place at which one phone can meet a fault."""
    requests, writes, boundaries = sizes
    at_requests = [(fault, at) for fault in FAULTS[2:] for at in range(requests)]
    return [*(("page dies", at) for at in range(writes)), *(("server dies", at) for at in range(boundaries)), *at_requests]


def pairs() -> Iterator[tuple[Point, Point, str]]:
    """Every pair of places, in both orders of sending."""
    yield from product(points(NOTES), points(NOTES), ORDERS)


def singles() -> Iterator[tuple[Point, Point, str]]:
    """One phone meets a fault, the other none; both have a photo."""
    yield from ((point, ("none", 0), "in turn") for point in points(WITH_PHOTO))
    yield from ((point, ("none", 0), RESUMED) for point in points((AFTER_LOSS, AFTER_LOSS, AFTER_LOSS)))


def run(world: World, first: Point, second: Point, order: str, photo: bool = False) -> None:
    """One history of the model. Raises Broken."""
    for phone in world.phones:
        page = phone.pages[0]
        world.join(phone, page)
        world.drive(phone, page)
    for phone, (fault, at), content in zip(world.phones, (first, second), PHOTOS, strict=True):
        world.write_note(phone, phone.pages[0], world.jobs[0], f"of {phone.name}")
        if fault == "page dies" and order != RESUMED:
            world.host("arm", page=phone.pages[0].name, writes=at)
        if photo:
            world.take_photo(phone, phone.pages[0], world.jobs[0], content)
    if order == RESUMED:
        _resume(world, *first)
    rounds = [_round(world, phone, phone.pages[0], point) for phone, point in zip(world.phones, (first, second), strict=True)]
    if order == "in turn":
        while rounds:
            rounds = [one for one in rounds if next(one, "over") != "over"]
    for one in rounds:
        for _ in one:
            pass
    world.settle()
    count(world)


def _resume(world: World, fault: str, at: int | str) -> None:
    """The first phone has sent all of its photo and does not know it."""
    phone = world.phones[0]
    for _ in _round(world, phone, phone.pages[0], LOST_LAST):
        pass
    if fault == "page dies":
        world.host("arm", page=phone.pages[0].name, writes=at)


def _round(world: World, phone: Phone, page: Page, point: Point) -> Iterator[str]:
    fault, at = point
    world.host("clock", phone=phone.name, sinceMs=70_000)
    if page.alive:
        world.hear(phone, page, world.host("wake", page=page.name, why="timer"))
    if fault == "server dies":
        world.server.die_at = int(at)
    asked = 0
    while page.requests and asked < 40:
        request = next(iter(page.requests.values()))
        world.meet(phone, page, request, fault if at in (asked, kind_of(request)) and fault in FAULTS else "none")
        asked += 1
        if world.server.app is None:
            world.server.start()
        yield "asked"
