"""Steps of random fault histories: real app, real database, the phone's own code; how many were run, and whether anything was lost."""

from __future__ import annotations

import argparse
import contextlib
import gc
import itertools
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.bench.fault_blocks import Block, Log, Totals, code_of, one_after_another, side_by_side, way  # noqa: E402
from tests.faults.history import FAULTS, REQUESTS  # noqa: E402
from tests.faults.phone_host import build_page  # noqa: E402
from tests.faults.small_model import pairs, singles  # noqa: E402
from tests.postgres import find_binaries, fresh_database, running_cluster  # noqa: E402

from benchtrail.config import database_url  # noqa: E402

FAST_FOLDER = Path("/dev/shm")
SEEDS_OF_A_BLOCK, CASES_OF_A_BLOCK = 20, 50
SAY_EVERY_S = 60


def arguments(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="faults", description=__doc__)
    parser.add_argument("--steps", type=int, default=20_000, help="stop after this many steps")
    parser.add_argument("--seed", type=int, default=1, help="the first history's seed; the next ones follow")
    parser.add_argument("--seeds", metavar="A-B", help="just these seeds, all of them, however many steps they are")
    parser.add_argument("--minutes", type=float, default=float("inf"), help="or stop after this time")
    parser.add_argument("--seconds", type=float, default=float("inf"), help="the same in seconds")
    parser.add_argument("--processes", type=int, default=1, help="histories side by side")
    parser.add_argument("--log", type=Path, help="a file that keeps what was run: the same command goes on after it, and counts it too")
    parser.add_argument("--length", type=int, help="moves of each history; otherwise 120 to 600 by its seed")
    parser.add_argument("--until-broken", action="store_true", help="stop at the first history that fails, without making it short")
    parser.add_argument("--postgres", action="store_true", help="on a PostgreSQL cluster of our own instead of SQLite")
    parser.add_argument("--small", choices=["singles", "pairs"], help="the small model to exhaustion instead of random histories")
    parser.add_argument("--part", default="0/1", help="of the small model: every N-th block of histories, from the K-th, as K/N")
    parser.add_argument("--folder", type=Path, default=FAST_FOLDER if FAST_FOLDER.is_dir() else None,
                        help="where the databases lie; a folder in memory is fastest, and no power is cut here")
    return parser.parse_args(argv)


@contextlib.contextmanager
def databases(postgres: bool) -> Iterator[Callable[[Path], str] | None]:
    """What gives each new home its database: nothing for SQLite in the home itself."""
    binaries = find_binaries()
    if not postgres:
        yield None
        return
    if not binaries:
        raise SystemExit("PostgreSQL was not found: install Debian's package postgresql.")
    with running_cluster(binaries) as cluster, contextlib.ExitStack() as stack:
        yield lambda home: database_url(stack.enter_context(fresh_database(cluster)))


def blocks(options: argparse.Namespace) -> Iterable[Block]:
    """What is to be done, in pieces that one process does in one go."""
    if options.small:
        first, of = map(int, options.part.split("/"))
        count = len([*(pairs() if options.small == "pairs" else singles())])
        starts = range(0, count, CASES_OF_A_BLOCK)
        return [Block(options.small, at, min(at + CASES_OF_A_BLOCK, count)) for at in starts if at // CASES_OF_A_BLOCK % of == first]
    size = 1 if options.until_broken else SEEDS_OF_A_BLOCK
    if options.seeds:
        first, last = map(int, options.seeds.split("-"))
        return [Block("seeds", at, min(at + size, last + 1)) for at in range(first, last + 1, size)]
    return (Block("seeds", at, at + size) for at in itertools.count(options.seed, size))


def enough(totals: Totals, options: argparse.Namespace, started: float) -> bool:
    """Whether the run may end before its blocks do."""
    late = time.monotonic() - started > min(options.seconds, options.minutes * 60)
    full = not (options.small or options.seeds) and totals.steps >= options.steps
    return late or full or (options.until_broken and bool(totals.broken))


def run(options: argparse.Namespace, folder: Path, bundle: Path, log: Log) -> Totals:
    """Does the blocks that the log does not have yet, until it is enough."""
    totals, started, known = log.totals(), time.monotonic(), log.done
    todo = (block for block in blocks(options) if block not in known)
    with databases(options.postgres) as new_database:
        make = partial(way, bundle, folder, new_database, options.length, not options.until_broken)
        alone = options.processes == 1 or options.postgres
        results = one_after_another(todo, make) if alone else side_by_side(todo, options.processes, make)
        said = started
        with contextlib.closing(results):
            while not enough(totals, options, started) and (done := next(results, None)) is not None:
                log.keep(done)
                totals.add(done)
                for words in done.broken:
                    print(f"BROKEN {words}", flush=True)
                if time.monotonic() - said > SAY_EVERY_S:
                    said = time.monotonic()
                    print(f"{totals.steps:9} steps, {totals.histories} histories, {len(totals.broken)} broken", flush=True)
    return totals


def main(argv: list[str]) -> int:
    options, started = arguments(argv), time.monotonic()
    gc.set_threshold(50_000, 20, 50)  # short-lived objects by the million, and little that lives in circles
    with tempfile.TemporaryDirectory(dir=options.folder) as name:
        folder = Path(name)
        bundle = build_page(folder / "page.js")
        totals = run(options, folder, bundle, Log(options.log, code_of(ROOT, bundle)))
    seconds = time.monotonic() - started
    if options.small:
        of = sum(block.end - block.first for block in blocks(options))
        print(f"RESULT faults small={options.small} histories={totals.histories} of={of} steps={totals.steps} "
              f"broken={len(totals.broken)} seconds={seconds:.0f}")
        return 1 if totals.broken else 0
    print("\n".join(f"{name:28} {times:8}" for name, times in sorted(totals.counts.items())))
    cells = {(request, fault) for request in REQUESTS for fault in FAULTS}
    print(f"RESULT faults steps={totals.steps} seeds={totals.histories} last_seed={totals.last} saved={totals.saved} "
          f"stored={totals.stored} photos={totals.photos} aside={totals.aside} server_boundaries={totals.boundaries} "
          f"cells={len(totals.cells & cells)} of={len(cells)} broken={len(totals.broken)} "
          f"database={'postgresql' if options.postgres else 'sqlite'} seconds={seconds:.0f}")
    return 1 if totals.broken else 0
