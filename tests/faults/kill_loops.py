"""Kill loops: a browser, its renderer or the server is killed with SIGKILL at a random moment, again and again.

The checker is a set: whatever was acknowledged must be there afterwards, once, and nothing may be there twice.
"""

from __future__ import annotations

import http.client
import random
import threading
import time
from dataclasses import dataclass, field
from typing import Any

from tests.faults.serving import ServerProcess, enrolled_phone, opened_home
from tests.making import Journal
from tests.offline.phone import Phone

WRITE = """
window.stopped = false;
void (async () => {
  for (let n = 0; !window.stopped; n++) {
    const made = await bench.record(a, "NoteWritten", { step: null, text: `note ${n}` });
    console.log(`acknowledged ${made.id}`);
  }
})();
"""


@dataclass
class Tally:
    """What one loop came to."""

    acknowledged: int = 0
    kills: int = 0
    lost: list[str] = field(default_factory=list)
    doubled: int = 0


class WritingPhone:
    """A real browser that writes notes as fast as it can, and says each one only after it is saved."""

    def __init__(self, phone: Phone, address: str, pack: str) -> None:
        self._phone, self._address, self._pack = phone, address, pack
        self.acknowledged: set[str] = set()
        self.jobs: list[str] = []

    def write_for(self, seconds: float) -> None:
        """Begins a job and writes into it; returns while it still writes."""
        self._phone.context.on("console", self._hear)
        self.jobs.append(self._phone.bench("await bench.startJob(null, a, null)", self._pack))
        self._phone.page.evaluate(f"(a) => {{ const bench = window.bench; {WRITE} }}", self.jobs[-1])
        self._phone.page.wait_for_timeout(seconds * 1000)

    def _hear(self, message: Any) -> None:
        word, _, id = message.text.partition(" ")
        if word == "acknowledged":
            self.acknowledged.add(id)

    def kill_browser(self) -> None:
        self._phone.kill()
        self._phone.switch_on()
        self._phone.open(self._address)

    def kill_renderer(self) -> None:
        self._phone.kill_renderer(lambda: self._phone.open(self._address))

    def check(self, tally: Tally) -> None:
        """Reads everything that is on the phone."""
        held = [event for job in self.jobs for event in self._phone.bench("bench.journalOf(a).value.map((e) => [e.id, e.seq])", job)]
        ids = [id for id, _ in held]
        tally.acknowledged = len(self.acknowledged)
        tally.lost = sorted(self.acknowledged - set(ids))
        tally.doubled = len(ids) - len(set(ids)) + (len(held) - len({seq for _, seq in held}))


def kill_pages(phone: Phone, address: str, pack: str, kills: int, notes: int, chance: random.Random,
               longest_s: float = 2.5) -> dict[str, Tally]:
    """Kills browser and renderer in turn, each after at most `longest_s` of writing, until at least `kills` and `notes` are reached."""
    writing = WritingPhone(phone, address, pack)
    tallies = {"browser": Tally(), "renderer": Tally()}
    while sum(one.kills for one in tallies.values()) < kills or len(writing.acknowledged) < notes:
        which = ("browser", "renderer")[sum(one.kills for one in tallies.values()) % 2]
        writing.write_for(chance.uniform(0.1, longest_s))
        before = len(writing.acknowledged)
        (writing.kill_browser if which == "browser" else writing.kill_renderer)()
        tallies[which].kills += 1
        tallies[which].acknowledged = before
    whole = Tally(kills=sum(one.kills for one in tallies.values()))
    writing.check(whole)
    return {**tallies, "pages": whole}


class SendingPhone:
    """Sends batches until told to stop; remembers what was acknowledged, sends again what was not."""

    def __init__(self, server: ServerProcess, device: str, cookie: str, batch: int) -> None:
        self._server, self._cookie, self._batch = server, cookie, batch
        self._journal = Journal(device)
        self._waiting: list[dict[str, Any]] = []
        self.receipts: dict[str, str] = {}
        self.stop = threading.Event()

    def run(self) -> None:
        while not self.stop.is_set():
            self._waiting += [self._journal.write() for _ in range(self._batch - len(self._waiting))]
            body = {"events": self._waiting, "waiting": 0}
            try:
                status, answer, _ = self._server.ask("POST", "/api/v1/events", body, Cookie=self._cookie)
            except (OSError, http.client.HTTPException):
                time.sleep(0.01)
                continue
            assert status == 200, answer
            self.receipts |= {one["id"]: one["sha256"] for one in answer["results"]}
            self._waiting = [event for event in self._waiting if event["id"] not in self.receipts]


def kill_server(server: ServerProcess, kills: int, notes: int, chance: random.Random, batch: int = 50) -> Tally:
    """Two phones send while the server is killed, until at least `kills` and `notes` are reached."""
    server.start()
    with opened_home(server.home) as ports:
        phones = [SendingPhone(server, *enrolled_phone(server, ports), batch) for _ in range(2)]
    threads = [threading.Thread(target=phone.run, daemon=True) for phone in phones]
    for thread in threads:
        thread.start()
    tally = Tally()
    while tally.kills < kills or sum(len(phone.receipts) for phone in phones) < notes:
        time.sleep(chance.uniform(0.05, 1.2))
        server.kill()
        tally.kills += 1
        server.start()
    for phone in phones:
        phone.stop.set()
    for thread in threads:
        thread.join(timeout=30)
    server.kill()
    acknowledged = {id: sha256 for phone in phones for id, sha256 in phone.receipts.items()}
    with opened_home(server.home) as ports, ports.storage.reading() as unit:
        stored = unit.events.all("withen-bridge")
        aside = unit.events.quarantined("withen-bridge")
    kept = {event.id: event.sha256 for event in stored}
    tally.acknowledged = len(acknowledged)
    tally.lost = sorted(id for id, sha256 in acknowledged.items() if kept.get(id) != sha256)
    tally.doubled = len(stored) - len(kept) + len(aside) + len(stored) - len({(event.device, event.seq) for event in stored})
    return tally
