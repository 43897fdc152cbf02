"""Steps of random fault histories: real app, real database, the phone's own code; how many were run, and whether anything was lost."""

from __future__ import annotations

import argparse
import contextlib
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.faults.history import FAULTS, REQUESTS, World  # noqa: E402
from tests.faults.one_server import OneServer  # noqa: E402
from tests.faults.phone_host import PhoneHost  # noqa: E402
from tests.faults.run_histories import Histories, histories  # noqa: E402
from tests.faults.small_model import pairs, run, singles  # noqa: E402
from tests.faults.standing import Broken  # noqa: E402
from tests.postgres import find_binaries, fresh_database, running_cluster  # noqa: E402

from benchtrail.config import database_url  # noqa: E402

FAST_FOLDER = Path("/dev/shm")


def arguments(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="faults", description=__doc__)
    parser.add_argument("--steps", type=int, default=20_000, help="stop after this many steps")
    parser.add_argument("--seed", type=int, default=1, help="the first history's seed; the next ones follow")
    parser.add_argument("--seconds", type=float, default=float("inf"), help="or after this time")
    parser.add_argument("--length", type=int, default=250, help="moves of one history")
    parser.add_argument("--until-broken", action="store_true", help="stop at the first history that fails, without making it short")
    parser.add_argument("--postgres", action="store_true", help="on a PostgreSQL cluster of our own instead of SQLite")
    parser.add_argument("--small", choices=["singles", "pairs"], help="the small model to exhaustion instead of random histories")
    parser.add_argument("--part", default="0/1", help="of the small model: every N-th history, from the K-th, as K/N")
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


def random_histories(made: Histories, options: argparse.Namespace) -> int:
    """Runs until the steps are done; 1 when something did not hold."""
    start, seed, broken = time.monotonic(), options.seed, 0
    said = start
    while made.steps < options.steps and time.monotonic() - start < options.seconds:
        try:
            made.run_seed(seed, options.length, shorten=not options.until_broken)
        except Broken as reason:
            broken += 1
            print(f"BROKEN {reason}", flush=True)
            if options.until_broken:
                break
        seed += 1
        if time.monotonic() - said > 60:
            said = time.monotonic()
            print(f"{made.steps:9} steps, {seed - options.seed} seeds, {broken} broken", flush=True)
    made.close()
    seconds = time.monotonic() - start
    print("\n".join(f"{name:28} {times:8}" for name, times in sorted(made.counts.items())))
    cells = {(request, fault) for request in REQUESTS for fault in FAULTS}
    print(f"RESULT faults steps={made.steps} seeds={seed - options.seed} first_seed={options.seed} saved={made.saved} stored={made.stored} "
          f"photos={made.photos} aside={made.aside} server_boundaries={made.boundaries} cells={len(made.cells & cells)} of={len(cells)} "
          f"broken={broken} database={'postgresql' if options.postgres else 'sqlite'} seconds={seconds:.0f}")
    return 1 if broken else 0


def small_model(host: PhoneHost, folder: Path, new_database: Callable[[Path], str] | None, options: argparse.Namespace) -> int:
    """Every history of the small model; 1 when something did not hold."""
    first, of = map(int, options.part.split("/"))
    todo = [one for number, one in enumerate(pairs() if options.small == "pairs" else singles()) if number % of == first]
    start, broken, server = time.monotonic(), 0, OneServer(Path(tempfile.mkdtemp(dir=folder)), new_database)
    done = 0
    for number, one in enumerate(todo):
        if time.monotonic() - start > options.seconds:
            break
        if number % 100 == 99:
            server.stop()
            server = OneServer(Path(tempfile.mkdtemp(dir=folder)), new_database)
        if number % 1000 == 999:
            print(f"{number + 1} of {len(todo)}, {broken} broken", flush=True)
        try:
            run(World(host, server, f"s{number}", "plain", number, phones=2), *one, photo=options.small == "singles")
        except Broken as reason:
            broken += 1
            print(f"BROKEN {one}: {reason}", flush=True)
            if options.until_broken:
                break
        done += 1
    server.stop()
    print(f"RESULT faults small={options.small} histories={done} of={len(todo)} broken={broken} seconds={time.monotonic() - start:.0f}")
    return 1 if broken else 0


def main(argv: list[str]) -> int:
    options = arguments(argv)
    with tempfile.TemporaryDirectory(dir=options.folder) as name, databases(options.postgres) as new_database:
        folder = Path(name)
        if options.small:
            with PhoneHost() as host:
                return small_model(host, folder, new_database, options)
        with histories(folder, new_database) as made:
            return random_histories(made, options)
