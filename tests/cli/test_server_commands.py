"""The commands about server, accounts and data, as a person types them."""

import json
import socket
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.making import PASSWORD

from benchtrail.cli import main
from benchtrail.cli.home import opened
from benchtrail.resources import resource_dir
from benchtrail.services.dealers import all_dealers, manifest_of

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("BENCHTRAIL_HOME", str(tmp_path / "home"))

    def run_it(*words: str, typed: str = "") -> Result:
        return CliRunner().invoke(main, words, input=typed)

    return run_it


@pytest.fixture
def dealer(run: Run) -> None:
    assert run("dealer", "add", "withen-bridge", "--name", "Withen Bridge Offroad", "--invented").exit_code == 0


def test_every_command_has_a_line_of_help(run: Run) -> None:
    shown = run("--help").output
    for word in ("serve", "user", "dealer", "db", "backup", "restore", "doctor", "library"):
        assert f"  {word} " in shown


def test_a_dealer_and_an_account_are_made_and_listed(run: Run, dealer: None) -> None:
    assert "Withen Bridge Offroad" in run("dealer", "list").output
    made = run("user", "add", "anna", "--role", "author", "--dealer", "withen-bridge", "--password-stdin",
               typed=PASSWORD + "\n")
    assert made.output == "Made the account anna, author of withen-bridge.\n"
    changed = run("user", "password", "anna", typed=f"{PASSWORD}2\n{PASSWORD}2\n")
    assert changed.exit_code == 0
    assert PASSWORD not in changed.output


def test_a_refusal_is_three_sentences_on_stderr_and_exit_1(run: Run, dealer: None) -> None:
    refused = run("user", "add", "anna", "--role", "author", "--dealer", "nowhere", "--password-stdin",
                  typed=PASSWORD + "\n")
    assert refused.exit_code == 1
    assert refused.stdout == ""
    assert refused.stderr.splitlines()[0] == "There is no dealer “nowhere” on this server."
    assert len(refused.stderr.splitlines()) == 3


@pytest.mark.parametrize("words", ["nonsense", "user add", "user add x --role king --dealer y", "serve --port x"])
def test_wrong_usage_is_exit_2(run: Run, words: str) -> None:
    assert run(*words.split()).exit_code == 2


def test_the_database_is_brought_up_to_date(run: Run) -> None:
    assert run("db", "upgrade").output == "The database is up to date.\n"


def test_the_doctor_is_content_with_a_new_home_and_names_what_is_wrong(run: Run, dealer: None, tmp_path: Path) -> None:
    healthy = run("doctor")
    assert (healthy.exit_code, healthy.output) == (0, "0 grave, 0 to note.\n")
    (tmp_path / "home" / "keys" / "withen-bridge.pem").unlink()
    noted = run("doctor")
    assert noted.exit_code == 0
    assert noted.output.startswith("note signing_key_missing The signing key of withen-bridge is not at ")


def test_backup_and_restore_say_what_they_moved(run: Run, dealer: None, tmp_path: Path) -> None:
    file = tmp_path / "all.tar"
    assert run("backup", str(file)).output.startswith("Wrote 2 records and 2 files to ")
    again = run("restore", str(file), "--home", str(tmp_path / "new"))
    assert again.output == "Restored 2 records and 2 files.\n"
    assert run("restore", str(file)).exit_code == 1
    assert run("restore", str(tmp_path / "nothing.tar")).exit_code == 2


def test_a_port_in_use_is_said_plainly(run: Run) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        refused = run("serve", "--port", str(other.getsockname()[1]))
    assert refused.exit_code == 1
    assert "cannot listen" in refused.stderr


def test_the_library_is_published_once_and_its_packs_verify(run: Run, dealer: None, tmp_path: Path) -> None:
    texts = str(resource_dir("procedures"))
    first = run("library", "publish", texts)
    assert first.exit_code == 0, first.output
    lines = first.output.splitlines()
    assert len(lines) >= 6
    assert all(line.startswith("published ") for line in lines)
    again = run("library", "publish", texts)
    assert all(line.startswith("unchanged ") for line in again.output.splitlines())
    sha256 = lines[-1].split()[-1]
    file = tmp_path / f"{sha256}.json"
    file.write_bytes((tmp_path / "home" / "dealers" / "withen-bridge" / "packs" / sha256).read_bytes())
    good = run("pack", "verify", str(file))
    assert (good.exit_code, good.output.splitlines()[1]) == (0, sha256)
    assert ", in force" in good.output


def test_a_pack_that_is_not_the_dealers_is_refused(run: Run, dealer: None, tmp_path: Path) -> None:
    run("library", "publish", str(resource_dir("procedures")))
    source = next((tmp_path / "home" / "dealers" / "withen-bridge" / "packs").iterdir())
    content = source.read_bytes()
    cases = {
        "0" * 64: content,  # renamed
        "spaced": content + b"\n",  # no longer canonical
        "changed": content.replace(b'"revision":1', b'"revision":9'),
        "text": b"hello",
    }
    for name, changed in cases.items():
        (tmp_path / name).write_bytes(changed)
        assert run("pack", "verify", str(tmp_path / name)).exit_code == 1, name


def test_a_pack_is_verified_with_the_public_key_alone(run: Run, dealer: None, tmp_path: Path) -> None:
    run("library", "publish", str(resource_dir("procedures")))
    with opened(tmp_path / "home") as ports:
        (one,) = all_dealers(ports)
        entry = json.loads(manifest_of(ports, one.slug).payload)["packs"][0]
    key, file = tmp_path / "key.json", tmp_path / "home" / "dealers" / one.slug / "packs" / entry["sha256"]
    key.write_text(json.dumps(one.jwk))
    words = ["pack", "verify", str(file), "--home", str(tmp_path / "elsewhere"), "--key", str(key), "--signature"]
    assert run(*words, entry["signature"]).exit_code == 0
    assert run(*words, "A" * 86).exit_code == 1


def test_what_has_errors_is_not_published(run: Run, dealer: None, tmp_path: Path) -> None:
    folder = tmp_path / "texts" / "anywhere"
    folder.mkdir(parents=True)
    (folder / "broken.yaml").write_text("procedure: broken\ntitle: Broken\nsteps: []\n")
    refused = run("library", "publish", str(folder))
    assert refused.exit_code == 1
    assert "broken.yaml:1: " in refused.stdout
    assert "nothing was published" in refused.stderr


def test_with_two_dealers_one_must_be_named(run: Run, dealer: None) -> None:
    run("dealer", "add", "other", "--name", "Other")
    refused = run("library", "publish", str(resource_dir("procedures")))
    assert refused.exit_code == 1
    assert "2 dealers" in refused.stderr
