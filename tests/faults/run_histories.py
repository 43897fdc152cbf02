"""Many histories, one after another, on one server; a failing one is made as short as it goes."""

import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random

from tests.faults.counting import Tally, count
from tests.faults.history import MODES, Move, World, random_moves
from tests.faults.one_server import OneServer
from tests.faults.phone_host import PhoneHost
from tests.faults.standing import Broken

HISTORIES_PER_HOME = 5
LENGTHS = (120, 250, 250, 600)  # some faults need a long life before them


class Histories:
    """Runs histories; `steps` are the moves that really happened, `counts` each kind of them."""

    def __init__(self, host: PhoneHost, folder: Path, new_database: Callable[[Path], str] | None = None) -> None:
        self.host, self._folder, self._new_database = host, folder, new_database
        self.forget()
        self.histories = 0
        self._spoiled = False
        self._server: OneServer | None = None
        self._home: Path | None = None

    def forget(self) -> None:
        """Counts from nothing again."""
        self.counts: Counter[str] = Counter()
        self.cells: set[tuple[str, str]] = set()
        self.saved = self.stored = self.photos = self.aside = self.boundaries = 0

    @property
    def steps(self) -> int:
        return sum(self.counts.values())

    def run(self, moves: list[Move], mode: str, seed: int) -> Tally:
        """One history from its beginning to the count. Raises Broken."""
        server = self._fresh_enough()
        server.forget_backup()
        boundaries = server.boundaries
        world = World(self.host, server, f"d{self.histories}", mode, seed)
        self.histories += 1
        try:
            world.run(moves)
            world.settle()
            tally = count(world)
        except BaseException:
            self._spoiled = True
            raise
        self.counts.update(world.counts)
        self.boundaries += server.boundaries - boundaries
        self.cells |= world.cells
        self.saved, self.stored = self.saved + tally.saved, self.stored + tally.stored
        self.photos, self.aside = self.photos + tally.photos, self.aside + tally.aside
        return tally

    def run_seed(self, seed: int, length: int | None = None, shorten: bool = True) -> Tally:
        """The history of a seed. Raises Broken, with the shortest history found that still fails."""
        chance = Random(seed)
        mode = MODES[(0, 0, 1, 2)[chance.randrange(4)]]
        moves = random_moves(chance, length or LENGTHS[chance.randrange(len(LENGTHS))], mode)
        try:
            return self.run(moves, mode, seed)
        except Broken as broken:
            if not shorten:
                raise
            short, reason = self.shortened(moves, mode, seed, str(broken))
            raise Broken(f"seed {seed} ({mode}): {reason}\nshortest history found, {len(short)} moves:\n{short}") from None

    def shortened(self, moves: list[Move], mode: str, seed: int, reason: str, seconds: float = 60) -> tuple[list[Move], str]:
        """Leaves moves out as long as the history still fails (delta debugging, Zeller and Hildebrandt 2002)."""
        end, size = time.monotonic() + seconds, len(moves) // 2
        while size >= 1 and time.monotonic() < end:
            at = 0
            while at < len(moves) and time.monotonic() < end:
                fewer = moves[:at] + moves[at + size :]
                failed = self._fails(fewer, mode, seed)
                moves, reason, at = (fewer, failed, at) if failed else (moves, reason, at + size)
            size //= 2
        return moves, reason

    def _fails(self, moves: list[Move], mode: str, seed: int) -> str | None:
        try:
            self.run(moves, mode, seed)
        except Broken as broken:
            return str(broken)
        return None

    def _fresh_enough(self) -> OneServer:
        if self._server is None:
            self._home = Path(tempfile.mkdtemp(dir=self._folder))
            self._server = OneServer(self._home, self._new_database)
        elif self._spoiled or self.histories % HISTORIES_PER_HOME == 0:
            self._server.renew()
        self._spoiled = False
        return self._server

    def close(self) -> None:
        if self._server:
            self._server.stop()
        if self._home:
            shutil.rmtree(self._home, ignore_errors=True)
        self._server = self._home = None
