"""Settings: where data lives, which database, which keys. Read once at start; knows nothing of what uses them."""

import contextlib
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from benchtrail.domain.refused import Refused
from benchtrail.resources import resource_dir

SECRET_BYTES = 32
LEAST_SECRET_CHARACTERS = 32


@dataclass(frozen=True)
class Config:
    """One installation. `signing_key` is the path of a key file; `{dealer}` in it stands for the dealer's slug."""

    home: Path
    database_url: str
    secret: bytes = field(repr=False)
    signing_key: str
    public_url: str | None = None
    proxies: int = 0
    web: Path = field(default_factory=lambda: resource_dir("web"))
    lighter_passwords: bool = False
    photos_at_once: bool = False


def load_config(environment: Mapping[str, str] = os.environ, home: Path | None = None) -> Config:
    """Settings from BENCHTRAIL_* variables; makes the home folder and its secret if they are not there.

    Raises Refused("home_not_writable"), Refused("secret_too_short"), Refused("setting_not_a_number").
    """
    folder = (home or Path(environment.get("BENCHTRAIL_HOME") or "benchtrail-data")).resolve()
    _make_home(folder)
    return Config(
        home=folder,
        database_url=database_url(environment.get("BENCHTRAIL_DATABASE_URL") or f"sqlite:///{folder}/benchtrail.db"),
        secret=_secret(environment.get("BENCHTRAIL_SECRET"), folder / "secret"),
        signing_key=environment.get("BENCHTRAIL_SIGNING_KEY") or str(folder / "keys" / "{dealer}.pem"),
        public_url=(environment.get("BENCHTRAIL_PUBLIC_URL") or "").rstrip("/") or None,
        proxies=_number("BENCHTRAIL_PROXIES", environment.get("BENCHTRAIL_PROXIES") or "0"),
    )


def database_url(url: str) -> str:
    """The URL with the driver that this project brings, whichever way PostgreSQL was written."""
    for prefix in ("postgresql://", "postgres://"):
        if url.startswith(prefix):
            return "postgresql+psycopg://" + url.removeprefix(prefix)
    return url


def write_private(path: Path, content: bytes) -> None:
    """Writes a file that only its owner may read; refuses to overwrite one (FileExistsError)."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _make_home(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise Refused("home_not_writable", folder=str(folder), reason=error.strerror or str(error)) from error
    if not os.access(folder, os.W_OK):
        raise Refused("home_not_writable", folder=str(folder), reason="this user may not write there")


def _secret(given: str | None, path: Path) -> bytes:
    if given is not None:
        if len(given) < LEAST_SECRET_CHARACTERS:
            raise Refused("secret_too_short", least=LEAST_SECRET_CHARACTERS)
        return given.encode()
    # It may be there from an earlier start, or from a process starting at the same moment.
    with contextlib.suppress(FileExistsError):
        write_private(path, secrets.token_hex(SECRET_BYTES).encode())
    return path.read_bytes().strip()


def _number(name: str, text: str) -> int:
    if not text.isascii() or not text.isdigit():
        raise Refused("setting_not_a_number", setting=name, text=text)
    return int(text)
