"""Settings: from the environment, with a home and a secret that only this user can read."""

import os
import stat
from pathlib import Path

import pytest

from benchtrail.config import database_url, load_config
from benchtrail.domain.refused import Refused


def test_a_new_home_gets_a_secret_that_stays(tmp_path: Path) -> None:
    home = tmp_path / "new" / "home"
    first = load_config({}, home)
    assert len(first.secret) == 64
    assert load_config({}, home) == first
    assert first.database_url == f"sqlite:///{home}/benchtrail.db"
    if os.name != "nt":
        assert stat.S_IMODE(home.stat().st_mode) == 0o700
        assert stat.S_IMODE((home / "secret").stat().st_mode) == 0o600


def test_the_environment_is_obeyed(tmp_path: Path) -> None:
    config = load_config({
        "BENCHTRAIL_HOME": str(tmp_path), "BENCHTRAIL_DATABASE_URL": "postgresql://u@h/d",
        "BENCHTRAIL_SECRET": "s" * 32, "BENCHTRAIL_SIGNING_KEY": "/keys/{dealer}.pem", "BENCHTRAIL_PUBLIC_URL": "https://bench.example/",
        "BENCHTRAIL_PROXIES": "1",
    })
    assert (config.home, config.database_url) == (tmp_path, "postgresql+psycopg://u@h/d")
    assert (config.secret, config.signing_key) == (b"s" * 32, "/keys/{dealer}.pem")
    assert (config.public_url, config.proxies) == ("https://bench.example", 1)
    assert not (tmp_path / "secret").exists()


def test_the_secret_does_not_stand_in_printed_settings(tmp_path: Path) -> None:
    config = load_config({}, tmp_path)
    assert config.secret.decode() not in repr(config)


@pytest.mark.parametrize(("settings", "code"), [
    ({"BENCHTRAIL_SECRET": "short"}, "secret_too_short"),
    ({"BENCHTRAIL_PROXIES": "many"}, "setting_not_a_number"),
    ({"BENCHTRAIL_PROXIES": "-1"}, "setting_not_a_number"),
])
def test_a_setting_that_cannot_be_is_refused(tmp_path: Path, settings: dict[str, str], code: str) -> None:
    with pytest.raises(Refused, match=code):
        load_config(settings, tmp_path)


def test_a_home_that_cannot_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(Refused, match="home_not_writable"):
        load_config({}, tmp_path / "file" / "home")


@pytest.mark.parametrize(("given", "expected"), [
    ("postgres://u@h/d", "postgresql+psycopg://u@h/d"),
    ("postgresql://u@h/d", "postgresql+psycopg://u@h/d"),
    ("sqlite:////tmp/x.db", "sqlite:////tmp/x.db"),
])
def test_a_database_url_gets_the_driver_that_is_here(given: str, expected: str) -> None:
    assert database_url(given) == expected
