"""Keystroke to findings at the desk: a procedure of 20, 60 and 200 steps checked over HTTP, as the editor asks for it at every stroke.

Shown as times of this run and as the ratio of 200 steps to 20; the parts of one check (reading, playing, answer) are not told apart.
"""

import statistics
import tempfile
import time
from pathlib import Path

from flask.testing import FlaskClient

from benchtrail.app import create_app
from benchtrail.config import Config
from benchtrail.services.accounts import add_account
from benchtrail.services.dealers import add_dealer
from benchtrail.services.publish_library import publish_files
from benchtrail.wiring import read_library

ROOT = Path(__file__).resolve().parents[2]
MODEL = ROOT / "procedures" / "hobmoor-fell-250"
LONG = MODEL / "renew-water-pump-seal.yaml"
SIZES = (20, 60, 200)
ROUNDS = 12
WRITE = {"X-Benchtrail": "1"}
PASSWORD = "a password for this run"


def main(argv: list[str]) -> int:
    if argv:
        print("desk_strokes takes no options")
        return 2
    with tempfile.TemporaryDirectory() as folder:
        client = _desk(Path(folder))
        times = {size: _strokes(client, size) for size in SIZES}
    print(f"{'steps':>6} {'median ms':>10} {'worst ms':>10}")
    for size, taken in times.items():
        print(f"{size:>6} {statistics.median(taken):>10.0f} {max(taken):>10.0f}")
    median = {size: statistics.median(taken) for size, taken in times.items()}
    shown = " ".join(f"ms_{size}={median[size]:.0f}" for size in SIZES)
    print(f"RESULT desk_strokes {shown} ratio_200_to_20={median[200] / median[20]:.1f}")
    return 0


def _desk(home: Path) -> FlaskClient:
    config = Config(home=home, database_url=f"sqlite:///{home}/bench.db", secret=b"x" * 32,
                    signing_key=str(home / "keys" / "{dealer}.pem"), web=home, lighter_passwords=True)
    app = create_app(config)
    with app.app_context():
        ports = app.extensions["benchtrail"]
        add_dealer(ports, "bench", "Bench (invented)", invented=True)
        add_account(ports, "bench", "anna", "author", PASSWORD)
        files, read_picture = read_library([MODEL])
        assert not publish_files(ports, "bench", files, read_picture, "anna").refused
    client = app.test_client()
    assert client.post("/api/v1/session", json={"name": "anna", "password": PASSWORD}, headers=WRITE).status_code == 200
    return client


def _strokes(client: FlaskClient, size: int) -> list[float]:
    """Milliseconds of each check, the words of one step changed at every stroke."""
    text = procedure_of(size)
    body = {"kind": "procedure", "id": f"bench-{size}", "model": "hobmoor-fell-250", "text": text}
    started = client.post("/api/v1/desk/workfiles", json=body, headers=WRITE)
    assert started.status_code == 201, started.text
    address = f"/api/v1/desk/workfiles/{started.get_json()['id']}/check"
    taken = []
    for stroke in range(ROUNDS + 2):
        typed = text.replace("say: Push the machine sideways", f"say: Push the machine {'s' * stroke} sideways", 1)
        start = time.perf_counter()
        answer = client.post(address, json={"text": typed, "pack": True}, headers=WRITE)
        taken.append((time.perf_counter() - start) * 1000)
        assert answer.status_code == 200, answer.text
        assert len(answer.get_json()["pack"]["steps"]) == size
    return taken[2:]


def procedure_of(size: int) -> str:
    """The water pump procedure cut to its first steps, or with further steps that look at something until it has `size`."""
    head, _, steps = LONG.read_text(encoding="utf-8").partition("\nsteps:\n")
    pieces = ["  - id: " + piece for piece in steps.split("  - id: ")[1:]][:size]
    more = [f"  - id: look-{n}\n    do: inspect pump_impeller\n    say: Look at the impeller.\n" for n in range(size - len(pieces))]
    return f"{head}\nsteps:\n{''.join(pieces)}{''.join(more)}"
