"""A PostgreSQL cluster of our own in a temporary folder, started for tests and stopped after them.

PostgreSQL refuses to run as root, so then it runs as the user `postgres` or `nobody`.
"""

import contextlib
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path

import psycopg


def find_binaries() -> Path | None:
    """The folder with `initdb` and `postgres`, newest version first; None if there is none."""
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: float(path.parent.name), reverse=True)
    on_path = shutil.which("postgres")
    places = [*debian, *([Path(on_path).resolve().parent] if on_path else [])]
    return next((place for place in places if (place / "initdb").exists() and (place / "postgres").exists()), None)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _other_user() -> str | None:
    if os.geteuid() != 0:
        return None
    known = {entry.pw_name for entry in pwd.getpwall()}
    return next(name for name in ("postgres", "nobody") if name in known)


@contextlib.contextmanager
def running_cluster(binaries: Path) -> Iterator[str]:
    """The URL of a running cluster, without a database's name."""
    folder, user, port = Path(tempfile.mkdtemp(prefix="benchtrail-pg-")), _other_user(), _free_port()
    if user:
        shutil.chown(folder, user)
    started = {"cwd": folder, "user": user, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    command = [binaries / "initdb", "-D", folder / "data", "-U", "bench", "-A", "trust", "-E", "UTF8", "--no-sync"]
    subprocess.run(command, check=True, **started)
    options = ["-h", "127.0.0.1", "-p", str(port), "-k", str(folder), "-c", "fsync=off"]
    server = subprocess.Popen([binaries / "postgres", "-D", folder / "data", *options], **started)
    try:
        _wait(port, server)
        yield f"postgresql://bench@127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(timeout=20)
        shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def fresh_database(cluster: str) -> Iterator[str]:
    """The URL of an empty database of the cluster; it is dropped at the end."""
    name = f"t{uuid.uuid4().hex}"
    with psycopg.connect(f"{cluster}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    try:
        yield f"{cluster}/{name}"
    finally:
        with psycopg.connect(f"{cluster}/postgres", autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _wait(port: int, server: subprocess.Popen[bytes]) -> None:
    for _ in range(200):
        with contextlib.suppress(psycopg.OperationalError):
            psycopg.connect(f"postgresql://bench@127.0.0.1:{port}/postgres", connect_timeout=1).close()
            return
        try:
            server.wait(timeout=0.05)
        except subprocess.TimeoutExpired:
            continue
        raise RuntimeError(f"PostgreSQL ended by itself with {server.returncode}")
    raise RuntimeError("PostgreSQL did not answer in time")
