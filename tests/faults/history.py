"""One history: phones write, send, die and come back; the way loses, doubles, delays and garbles; the server dies and is restored.

A move is a name and a number; all chance of a move comes from its number, so a history can be replayed and moves can be left out of it.
At the end the faults stop, everything is sent, and `counting` says whether anything was lost, doubled or untrue.
"""

import base64
import uuid
from dataclasses import dataclass, field
from random import Random
from typing import Any

from tests.faults.one_server import OneServer
from tests.faults.phone_host import PhoneHost
from tests.faults.standing import Broken, cursor_has_its_events, phone_forgets_nothing, photo_is_there, receipts_are_true

Move = tuple[str, int]
MODES = ("plain", "server restored", "phone restored")
TEN_YEARS_S = 10 * 365 * 24 * 3600
JSON_TYPE = {"Content-Type": "application/json"}
PORTAL = {"status": 200, "headers": {"Content-Type": "text/html"}, "body": b"<h1>Welcome! Sign in to use this network</h1>"}

AT_REST = {"GET probe", "GET events"}  # what a phone asks that has nothing to say
GARBLED = ("500 before", "500 after", "502 page before", "502 page after", "sign-in page", "cut answer", "413", "429", "503 after", "408")
PHOTO_BYTES = (1, *[300] * 4, *[3000] * 9, 262_144, 300_000)  # the last two are more than one piece; most are small, so that more are taken
FAULTS = ("none", "answer delayed", "request lost", "answer lost", "doubled", "request delayed", *GARBLED)
REQUESTS = ("POST devices", "GET probe", "POST events", "GET events", "GET jobs digest", "GET photo receipt", "POST photos", "HEAD photo",
            "PATCH photo")

# name: weight; the modes that have it
WEIGHTS: dict[str, tuple[int, tuple[str, ...]]] = {
    "note": (18, MODES), "two tabs write": (6, MODES), "photo": (5, MODES), "wake": (22, MODES), "deliver": (60, MODES),
    "hold answer": (4, MODES), "answer at last": (5, MODES),
    "lose request": (3, MODES), "lose answer": (3, MODES), "double": (3, MODES), "late": (3, MODES), "late arrives": (3, MODES),
    "garble": (5, MODES),
    "page dies": (2, MODES), "page dies at a write": (4, MODES), "open page": (8, MODES), "storage refuses": (2, MODES),
    "server dies": (1, MODES), "server dies at a boundary": (4, MODES), "server starts": (4, MODES),
    "phone's clock is wrong": (1, MODES), "server's clock is wrong": (1, MODES), "shut out": (1, MODES), "join": (6, MODES),
    "backup": (4, ("server restored",)), "restore": (2, ("server restored",)),
    "copy of phone": (3, ("phone restored",)), "phone comes back from copy": (2, ("phone restored",)),
}


def random_moves(chance: Random, count: int, mode: str) -> list[Move]:
    names = [name for name, (_, modes) in WEIGHTS.items() if mode in modes]
    weights = [WEIGHTS[name][0] for name in names]
    return [(name, chance.getrandbits(32)) for name in chance.choices(names, weights, k=count)]


@dataclass
class Page:
    """One tab as it last said it was."""

    name: str
    alive: bool = True
    busy: bool = False
    joined: bool = False
    requests: dict[int, dict[str, Any]] = field(default_factory=dict)


@dataclass
class Phone:
    """One phone: its tabs, its cookie, and what a person was told is saved on it."""

    name: str
    pages: list[Page] = field(default_factory=list)
    cookie: str | None = None
    saved: dict[str, dict[str, Any]] = field(default_factory=dict)
    safe: set[str] = field(default_factory=set)
    copied: tuple[dict[str, dict[str, Any]], set[str]] | None = None


@dataclass
class Held:
    """An answer that is on its way back."""

    phone: Phone
    page: Page
    id: int
    answer: dict[str, Any] | None


class World:
    """All of one history. `counts` says how often each kind of move really happened."""

    def __init__(self, host: PhoneHost, server: OneServer, dealer: str, mode: str, seed: int, phones: int = 3) -> None:
        self.host, self.server, self.dealer, self.mode = host, server, dealer, mode
        self.counts: dict[str, int] = {}
        self.cells: set[tuple[str, str]] = set()
        self.held: list[Held] = []
        self.late: list[tuple[dict[str, Any], str | None]] = []
        self.refused_storage = False
        self.texts = 0
        chance = Random(seed)
        self.jobs = [str(uuid.UUID(int=chance.getrandbits(128), version=4)) for _ in range(2)]
        host("clear")
        server.add_dealer(dealer)
        self.phones = [Phone(f"p{n}") for n in range(phones)]
        for number, phone in enumerate(self.phones):
            host("phone", phone=phone.name, seed=seed * 10 + number)
            self.open(phone, 0)

    # moving

    def run(self, moves: list[Move]) -> None:
        for name, number in moves:
            self.server.clock.move(7)
            if getattr(self, "move_" + name.replace(" ", "_").replace("'", ""))(Random(number)) is not False:
                self.counts[name] = self.counts.get(name, 0) + 1

    def hear(self, phone: Phone, page: Page, said: dict[str, Any]) -> dict[str, Any]:
        page.alive, page.busy, page.joined = not said["dead"], said["busy"], said["joined"]
        # A request is told whole once; after that its number says that it still waits.
        page.requests = {} if said["dead"] else {one["id"]: page.requests.get(one["id"], one) for one in said["requests"]}
        if said["heard"] and not said["dead"] and not self.refused_storage:
            raise Broken(f"{phone.name} complained: {said['heard']}")
        return said

    def open(self, phone: Phone, tab: int) -> None:
        page = Page(f"{phone.name}.{tab}.{uuid.uuid4().hex[:6]}")
        phone.pages = [one for one in phone.pages if one.alive] + [page]
        self.hear(phone, page, self.host("open", phone=phone.name, page=page.name))
        self.look_at(phone, page)

    def look_at(self, phone: Phone, page: Page) -> None:
        """What must hold on a phone whenever somebody opens it again, whatever died before."""
        if not page.alive or not (phone.saved or phone.safe):
            return
        said = self.hear(phone, page, self.host("dump", page=page.name))
        if "value" not in said:
            return
        phone_forgets_nothing(phone.name, phone.saved, phone.safe, said["value"])
        if self.server.app is not None:
            with self.server.inside() as ports:
                cursor_has_its_events(ports, self.dealer, phone.name, said["value"])

    def alive(self) -> list[tuple[Phone, Page]]:
        return [(phone, page) for phone in self.phones for page in phone.pages if page.alive]

    def waiting(self) -> list[tuple[Phone, Page, dict[str, Any]]]:
        taken = {(held.page.name, held.id) for held in self.held}
        return [(phone, page, request) for phone, page in self.alive() for id, request in page.requests.items()
                if (page.name, id) not in taken]

    def ask(self, phone: Phone, request: dict[str, Any]) -> dict[str, Any] | None:
        return self.ask_as(request, phone.cookie)

    def ask_as(self, request: dict[str, Any], cookie: str | None) -> dict[str, Any] | None:
        body = base64.b64decode(request["body"]) if request["body"] is not None else None
        answer = self.server.ask(request, body, cookie)
        kind = kind_of(request)
        if answer and answer["status"] == 200 and kind == "POST events":
            with self.server.inside() as ports:
                receipts_are_true(ports, self.dealer, answer)
        receipt = answer["body"] if answer and answer["status"] == 200 and kind == "GET photo receipt" else None
        if receipt := receipt or (answer or {"headers": {}})["headers"].get("Benchtrail-Receipt"):
            with self.server.inside() as ports:
                photo_is_there(ports, self.dealer, receipt)
        return answer

    def answer(self, phone: Phone, page: Page, id: int, answer: dict[str, Any] | None) -> None:
        if not page.alive or id not in page.requests:
            return
        sent = None
        if answer is not None:
            cookie = answer["headers"].get("Set-Cookie")
            phone.cookie = cookie.split(";")[0] if cookie else phone.cookie
            headers = {name: value for name, value in answer["headers"].items() if name != "Set-Cookie"}
            sent = {"status": answer["status"], "headers": headers, "body": base64.b64encode(answer["body"]).decode()}
        self.hear(phone, page, self.host("answer", page=page.name, id=id, answer=sent))

    # people

    def move_note(self, chance: Random) -> Any:
        found = self.alive()
        if not found:
            return False
        self.texts += 1
        self.write_note(*chance.choice(found), chance.choice(self.jobs), f"note {self.texts}")
        return True

    def write_note(self, phone: Phone, page: Page, job: str, text: str) -> None:
        said = self.hear(phone, page, self.host("note", page=page.name, job=job, text=text))
        if "value" in said and page.alive:
            phone.saved[said["value"]["id"]] = {**said["value"], "text": text}

    def move_two_tabs_write(self, chance: Random) -> Any:
        pairs = [(phone, [page for page in phone.pages if page.alive]) for phone in self.phones]
        found = [(phone, pages) for phone, pages in pairs if len(pages) > 1]
        if not found:
            return False
        phone, pages = chance.choice(found)
        texts = [f"note {self.texts + 1 + tab}" for tab in range(len(pages))]
        self.texts += len(pages)
        tabs = [page.name for page in pages]
        for page, text, said in zip(pages, texts, self.host("together", tabs=tabs, job=chance.choice(self.jobs), texts=texts)["said"],
                                    strict=True):
            if "value" in self.hear(phone, page, said) and page.alive:
                phone.saved[said["value"]["id"]] = {**said["value"], "text": text}
        return True

    def move_photo(self, chance: Random) -> Any:
        found = self.alive()
        if not found:
            return False
        phone, page = chance.choice(found)
        size = chance.choice(PHOTO_BYTES)
        self.take_photo(phone, page, chance.choice(self.jobs), chance.randbytes(size))
        return True

    def take_photo(self, phone: Phone, page: Page, job: str, content: bytes) -> None:
        data = base64.b64encode(b"\xff\xd8\xff" + content).decode()
        said = self.hear(phone, page, self.host("photo", page=page.name, job=job, data=data))
        phone.safe |= set(said["safe"])
        if "value" in said and page.alive:
            phone.saved[said["value"]["id"]] = said["value"]

    def move_wake(self, chance: Random) -> Any:
        found = [(phone, page) for phone, page in self.alive() if not page.requests]
        if not found:
            return False
        phone, page = chance.choice(found)
        self.host("clock", phone=phone.name, sinceMs=chance.choice([500, 20_000, 70_000, 200_000]))
        why = chance.choice(["timer", "saved", "online", "visible", "button"])
        self.hear(phone, page, self.host("wake", page=page.name, why=why))
        return True

    def move_join(self, chance: Random) -> Any:
        found = [(phone, page) for phone, page in self.alive() if not page.joined and not page.requests]
        if not found or self.server.app is None:
            return False
        self.join(*chance.choice(found))
        return True

    def join(self, phone: Phone, page: Page) -> None:
        code = self.server.code(self.dealer)
        self.hear(phone, page, self.host("enrol", page=page.name, code=code, label="phone"))

    def move_shut_out(self, chance: Random) -> Any:
        if self.server.app is None:
            return False
        with self.server.inside() as ports, ports.storage.reading() as unit:
            known = [one.device for one in unit.devices.all(self.dealer)]
        if not known:
            return False
        self.server.revoke(self.dealer, chance.choice(known))
        return True

    # the way

    def meet(self, phone: Phone, page: Page, request: dict[str, Any], fault: str) -> None:
        """What becomes of one request; `fault` is one of FAULTS."""
        self.cells.add((kind_of(request), fault))
        id = request["id"]
        if fault == "answer delayed":
            self.held.append(Held(phone, page, id, self.ask(phone, request)))
            return
        if fault == "request delayed":
            self.late.append((request, phone.cookie))
        if fault in ("answer lost", "doubled"):
            self.ask(phone, request)
        if fault in ("none", "doubled"):
            self.answer(phone, page, id, self.ask(phone, request))
        elif fault in ("request lost", "answer lost", "request delayed"):
            self.answer(phone, page, id, None)
        else:
            self.answer(phone, page, id, self.garbled(phone, request, fault))

    def move_meet(self, chance: Random, *faults: str) -> Any:
        found = self.waiting()
        if not found:
            return False
        self.meet(*chance.choice(found), chance.choice(faults))
        return True

    def move_deliver(self, chance: Random) -> Any:
        return self.move_meet(chance, "none")

    def move_hold_answer(self, chance: Random) -> Any:
        return self.move_meet(chance, "answer delayed")

    def move_lose_request(self, chance: Random) -> Any:
        return self.move_meet(chance, "request lost")

    def move_lose_answer(self, chance: Random) -> Any:
        return self.move_meet(chance, "answer lost")

    def move_double(self, chance: Random) -> Any:
        return self.move_meet(chance, "doubled")

    def move_late(self, chance: Random) -> Any:
        return self.move_meet(chance, "request delayed")

    def move_garble(self, chance: Random) -> Any:
        return self.move_meet(chance, *GARBLED)

    def move_answer_at_last(self, chance: Random) -> Any:
        if not self.held:
            return False
        one = self.held.pop(chance.randrange(len(self.held)))
        self.answer(one.phone, one.page, one.id, one.answer)
        return True

    def move_late_arrives(self, chance: Random) -> Any:
        if not self.late or self.server.app is None:
            return False
        self.ask_as(*self.late.pop(chance.randrange(len(self.late))))
        return True

    def garbled(self, phone: Phone, request: dict[str, Any], kind: str) -> dict[str, Any] | None:
        real = self.ask(phone, request) if "after" in kind or kind == "cut answer" else None
        if kind == "sign-in page":
            return PORTAL
        if kind == "cut answer":
            return None if real is None else {**real, "body": real["body"][: len(real["body"]) // 2]}
        status, asked = int(kind[:3]), {"Retry-After": "5"} if kind == "429" else {}
        if "page" in kind:
            return {"status": status, "headers": {"Content-Type": "text/html"}, "body": b"<h1>Bad gateway</h1>"}
        return {"status": status, "headers": {**JSON_TYPE, **asked}, "body": b'{"code": "from_the_way"}'}

    # deaths

    def move_page_dies(self, chance: Random) -> Any:
        found = self.alive()
        if not found:
            return False
        self.end_page(chance.choice(found)[1])
        return True

    def end_page(self, page: Page) -> None:
        self.host("close", page=page.name)
        page.alive, page.requests = False, {}

    def move_page_dies_at_a_write(self, chance: Random) -> Any:
        found = self.alive()
        if not found:
            return False
        self.host("arm", page=chance.choice(found)[1].name, writes=chance.randrange(7))
        return True

    def move_storage_refuses(self, chance: Random) -> Any:
        found = self.alive()
        if not found:
            return False
        self.refused_storage = True
        name = chance.choice(["QuotaExceededError", "UnknownError", "AbortError"])
        refusal = {"name": name, "after": chance.randrange(6), "times": chance.choice([1, 1, 2, 6])}
        self.host("arm", page=chance.choice(found)[1].name, refusal=refusal)
        return True

    def move_open_page(self, chance: Random) -> Any:
        found = [phone for phone in self.phones if sum(page.alive for page in phone.pages) < (2 if chance.random() < 0.3 else 1)]
        if not found:
            return False
        self.open(chance.choice(found), chance.randrange(2))
        return True

    def move_server_dies(self, chance: Random) -> Any:
        if self.server.app is None:
            return False
        self.server.stop()
        return True

    def move_server_dies_at_a_boundary(self, chance: Random) -> Any:
        if self.server.app is None:
            return False
        self.server.die_at = chance.randrange(9)
        return True

    def move_server_starts(self, _: Random) -> Any:
        if self.server.app is not None:
            return False
        self.server.start()
        return True

    # clocks

    def move_phones_clock_is_wrong(self, chance: Random) -> Any:
        jump_s = chance.choice([-TEN_YEARS_S, TEN_YEARS_S, -3600, 86_400])
        self.host("clock", phone=chance.choice(self.phones).name, wallMs=jump_s * 1000)

    def move_servers_clock_is_wrong(self, chance: Random) -> Any:
        years = chance.choice([-1, 1]) if 2020 < self.server.clock.at.year < 2035 else 0
        self.server.clock.move(years * TEN_YEARS_S / 3 + chance.choice([-3600, 86_400]))

    # copies

    def move_backup(self, _: Random) -> Any:
        if self.server.app is None:
            return False
        self.server.back_up()
        return True

    def move_restore(self, _: Random) -> Any:
        if self.server.backup is None:
            return False
        self.server.restore()
        return True

    def move_copy_of_phone(self, chance: Random) -> Any:
        found = self.alive()
        if not found:
            return False
        phone, page = chance.choice(found)
        before = (dict(phone.saved), set(phone.safe))
        said = self.hear(phone, page, self.host("snapshot", phone=phone.name, page=page.name))
        phone.copied = before if "value" in said else phone.copied
        return True

    def move_phone_comes_back_from_copy(self, chance: Random) -> Any:
        found = [phone for phone in self.phones if phone.copied is not None]
        if not found:
            return False
        phone = chance.choice(found)
        for page in phone.pages:
            self.end_page(page)
        page = Page(f"{phone.name}.9.{uuid.uuid4().hex[:6]}")
        saved, safe = phone.copied or ({}, set())
        phone.pages, phone.saved, phone.safe = [page], dict(saved), set(safe)
        self.hear(phone, page, self.host("rollback", phone=phone.name, page=page.name))
        return True

    # the end

    def settle(self) -> None:
        """The faults stop: the server runs, every phone has one page, everything is sent."""
        if self.server.app is None:
            self.server.start()
        self.server.die_at = None
        for phone in self.phones:
            for page in phone.pages:
                self.end_page(page)
            self.open(phone, 0)
        for _ in range(10):
            asked = {kind for phone in self.phones for kind in self.round(phone, phone.pages[-1])}
            while self.late:
                self.ask_as(*self.late.pop())
                asked.add("late")
            if asked <= AT_REST or (asked <= {*AT_REST, "GET jobs digest"} and self.differs_with_cause()):
                return
        raise Broken(f"the phones do not come to rest; the last turn still asked {sorted(asked)}")

    def differs_with_cause(self) -> bool:
        """Whether every job said to differ does: the dealer has aside what a lost life of the phone wrote. It is asked until equal."""
        if self.mode != "phone restored":
            return False
        with self.server.inside() as ports, ports.storage.reading() as unit:
            aside = unit.events.quarantined(self.dealer)
        dumps = [self.host("dump", page=phone.pages[-1].name)["value"] for phone in self.phones]
        differing = [(dump, row["job"]) for dump in dumps for row in dump["attention"] if row["what"] == "job"]
        lost = [any(one.device == dump["head"]["device"] and one.job == job and one.claimed_id not in {row["id"] for row in dump["events"]}
                    for one in aside) for dump, job in differing]
        return bool(lost) and all(lost)

    def round(self, phone: Phone, page: Page) -> list[str]:
        self.server.clock.move(120)
        self.host("clock", phone=phone.name, sinceMs=200_000)
        asked = []
        if not page.joined:
            self.join(phone, page)
            asked += self.drive(phone, page)
        self.hear(phone, page, self.host("wake", page=page.name, why="button"))
        return asked + self.drive(phone, page)

    def drive(self, phone: Phone, page: Page) -> list[str]:
        asked = []
        while page.requests:
            request = next(iter(page.requests.values()))
            asked.append(kind_of(request))
            self.answer(phone, page, request["id"], self.ask(phone, request))
            self.counts["deliver at the end"] = self.counts.get("deliver at the end", 0) + 1
            if len(asked) > 400:
                raise Broken(f"{phone.name} never stopped asking: {asked[-5:]}")
        return asked


def kind_of(request: dict[str, Any]) -> str:
    """Which of the API's requests this is."""
    path = request["path"].partition("?")[0].removeprefix("/api/v1/").split("/")
    if path[0] == "photos" and len(path) > 1:
        return f"{request['method']} photo{' receipt' if path[-1] == 'receipt' else ''}"
    return f"{request['method']} {path[0]}{' digest' if path[-1] == 'digest' else ''}"

