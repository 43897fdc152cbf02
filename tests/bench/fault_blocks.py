"""Fault histories in blocks: done by several processes side by side, kept in a log, and gone on with another day."""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import json
import multiprocessing
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from tests.faults.history import World
from tests.faults.one_server import OneServer
from tests.faults.phone_host import PhoneHost
from tests.faults.run_histories import Histories
from tests.faults.small_model import pairs, run, singles
from tests.faults.standing import Broken

NewDatabase = Callable[[Path], str] | None
CASES_PER_HOME = 25


@dataclass(frozen=True)
class Block:
    """Histories `first` to `end - 1` of a kind: `seeds`, `singles` or `pairs`."""

    kind: str
    first: int
    end: int


@dataclass
class Done:
    """What one block came to; `broken` holds what did not hold, in words."""

    block: Block
    histories: int = 0
    steps: int = 0
    saved: int = 0
    stored: int = 0
    photos: int = 0
    aside: int = 0
    boundaries: int = 0
    counts: dict[str, int] = field(default_factory=dict)
    cells: list[list[str]] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)


class Totals:
    """All blocks together."""

    def __init__(self) -> None:
        self.blocks = self.histories = self.steps = self.saved = self.stored = self.photos = self.aside = self.boundaries = self.last = 0
        self.counts: Counter[str] = Counter()
        self.cells: set[tuple[str, str]] = set()
        self.broken: list[str] = []

    def add(self, done: Done) -> None:
        for name in ("histories", "steps", "saved", "stored", "photos", "aside", "boundaries"):
            setattr(self, name, getattr(self, name) + getattr(done, name))
        self.blocks += 1
        self.last = max(self.last, done.block.end - 1)
        self.counts.update(done.counts)
        self.cells |= {(request, fault) for request, fault in done.cells}
        self.broken += done.broken


class Log:
    """One line of JSON for each block, with the code that it was run on; blocks of other code count as not done."""

    def __init__(self, path: Path | None, code: str) -> None:
        self._path, self._code = path, code
        self._kept: list[Done] = []
        for line in path.read_text(encoding="utf-8").splitlines() if path and path.exists() else []:
            row = json.loads(line)
            if row.pop("code") == code:
                self._kept.append(Done(**{**row, "block": Block(**row["block"])}))

    @property
    def done(self) -> set[Block]:
        return {one.block for one in self._kept}

    def totals(self) -> Totals:
        made = Totals()
        for one in self._kept:
            made.add(one)
        return made

    def keep(self, done: Done) -> None:
        if self._path:
            with self._path.open("a", encoding="utf-8") as file:
                file.write(json.dumps({"code": self._code, **dataclasses.asdict(done)}) + "\n")


def code_of(root: Path, bundle: Path) -> str:
    """A name for the code that the histories run on: the phone's bundle, the server's sources, the histories themselves."""
    sum = hashlib.sha256(bundle.read_bytes())
    for path in sorted([*(root / "backend").rglob("*.py"), *(root / "tests/faults").rglob("*.*")]):
        if "__pycache__" not in path.parts:
            sum.update(path.read_bytes())
    return sum.hexdigest()[:16]


class Way(Protocol):
    """How one process does a block."""

    def __call__(self, block: Block) -> Done: ...


@contextlib.contextmanager
def way(bundle: Path, folder: Path, new_database: NewDatabase, length: int | None, shorten: bool) -> Iterator[Way]:
    """A host of phones and a server, kept for all blocks of this process."""
    with PhoneHost(bundle) as host:
        random = Histories(host, Path(tempfile.mkdtemp(dir=folder)), new_database)
        small = _SmallModel(host, Path(tempfile.mkdtemp(dir=folder)), new_database)

        def work(block: Block) -> Done:
            return _seeds(random, block, length, shorten) if block.kind == "seeds" else small.block(block)

        yield work
        random.close()
        small.close()


def _seeds(made: Histories, block: Block, length: int | None, shorten: bool) -> Done:
    made.forget()
    done = Done(block)
    for seed in range(block.first, block.end):
        try:
            made.run_seed(seed, length, shorten)
        except Broken as reason:
            done.broken.append(str(reason))
        done.histories += 1
    for name in ("steps", "saved", "stored", "photos", "aside", "boundaries"):
        setattr(done, name, getattr(made, name))
    done.counts, done.cells = dict(made.counts), sorted(map(list, made.cells))
    return done


class _SmallModel:
    def __init__(self, host: PhoneHost, folder: Path, new_database: NewDatabase) -> None:
        self._host, self._folder, self._new_database = host, folder, new_database
        self._server: OneServer | None = None
        self._cases = {"singles": [*singles()], "pairs": [*pairs()]}

    def block(self, block: Block) -> Done:
        done, cells = Done(block), set[tuple[str, str]]()
        if self._server is None:
            self._server = OneServer(self._folder, self._new_database)
        for number in range(block.first, block.end):
            if number % CASES_PER_HOME == 0:
                self._server.renew()
            case = self._cases[block.kind][number]
            world = World(self._host, self._server, f"s{number}", "plain", number, phones=2)
            try:
                run(world, *case, photo=block.kind == "singles")
            except Broken as reason:
                done.broken.append(f"{number} {case}: {reason}")
                self._server.renew()
            done.histories += 1
            done.steps += sum(world.counts.values())
            cells |= world.cells
        done.cells = sorted(map(list, cells))
        return done

    def close(self) -> None:
        if self._server:
            self._server.stop()


def side_by_side(blocks: Iterable[Block], processes: int, make: Callable[[], Any]) -> Iterator[Done]:
    """The blocks as they get done. Each process takes every n-th one; all end when nobody asks for more."""
    queue: multiprocessing.Queue[Done | None] = multiprocessing.Queue(2 * processes)

    def work(number: int) -> None:
        with make() as way:
            for at, block in enumerate(blocks):
                if at % processes == number:
                    queue.put(way(block))
        queue.put(None)

    fork = multiprocessing.get_context("fork")
    running = [fork.Process(target=work, args=(number,), daemon=True) for number in range(processes)]
    for one in running:
        one.start()
    left = processes
    try:
        while left:
            done = queue.get()
            left -= done is None
            if done is not None:
                yield done
    finally:
        for one in running:
            one.terminate()
            one.join()


def one_after_another(blocks: Iterable[Block], make: Callable[[], Any]) -> Iterator[Done]:
    """The same in this process."""
    with make() as way:
        yield from map(way, blocks)
