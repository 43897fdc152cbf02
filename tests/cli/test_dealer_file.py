"""`benchtrail dealer export` and `import`: what the command line says, writes and refuses."""

import json
from pathlib import Path

from click.testing import CliRunner, Result
from tests.storage.test_archive import config_of, fill, running

from benchtrail.cli import main


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(one) for one in arguments], catch_exceptions=False)


def test_a_dealership_goes_to_another_server_on_the_command_line(tmp_path: Path) -> None:
    old, file = config_of(tmp_path / "old"), tmp_path / "all.zip"
    with running(old) as ports:
        fill(ports)
    written = run("dealer", "export", "withen-bridge", file, "--home", old.home)
    assert written.exit_code == 0, written.output
    assert f"files to {file}" in written.output
    assert file.stat().st_mode & 0o077 == 0

    there = run("dealer", "export", "withen-bridge", file, "--home", old.home)
    assert there.exit_code == 1
    assert "it is there already" in there.output

    looked = run("dealer", "import", file, "--dry-run", "--home", tmp_path / "new")
    assert looked.exit_code == 0, looked.output
    assert "Nothing was changed; this would be taken in" in looked.output
    assert "2 published revisions" in looked.output
    assert "1 phones were joined to the old server" in looked.output

    missing = run("dealer", "import", file, "--home", tmp_path / "new")
    assert missing.exit_code == 1
    assert "keys/withen-bridge.pem" in missing.output

    (tmp_path / "new" / "keys").mkdir()
    (tmp_path / "new" / "keys" / "withen-bridge.pem").write_bytes((old.home / "keys" / "withen-bridge.pem").read_bytes())
    done = run("dealer", "import", file, "--json", "--home", tmp_path / "new")
    assert done.exit_code == 0, done.output
    made = json.loads(done.output)
    assert (made["done"], made["key"], list(made["codes"])) == (True, "same", ["olive"])
    assert "Withen Bridge Offroad" in run("dealer", "list", "--home", tmp_path / "new").output

    file.write_bytes(file.read_bytes()[:-100])
    assert "not a whole file" in run("dealer", "import", file, "--dry-run", "--home", tmp_path / "third").output
