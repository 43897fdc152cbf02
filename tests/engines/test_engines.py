"""The same promises in three browser engines: what is said to be saved is saved, the shell opens with the server dead, photos arrive.

Chromium through Playwright, Firefox through WebDriver BiDi, WebKitGTK through WebDriver. An engine that is not on this machine fails
its tests with the name of the missing package: it does not count as passed.
"""

from __future__ import annotations

import base64
import hashlib
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.engines.chromium import Chromium
from tests.engines.firefox import Firefox, find_firefox
from tests.engines.webkit import WebKit, find_webkit
from tests.offline.camera import jpeg_photo
from tests.offline.conftest import build  # noqa: F401
from tests.offline.workshop import Workshop

from environment import find_chromium

pytestmark = pytest.mark.engines
ENGINES: dict[str, tuple[Callable[[], str | None], Callable[[Path], Any], str]] = {
    "Chromium": (find_chromium, Chromium, "chromium"),
    "Firefox": (find_firefox, Firefox, "firefox-esr"),
    "WebKitGTK": (find_webkit, WebKit, "webkit2gtk-driver and xvfb"),
}
NOTE = "return (await bench.record(a[0], 'NoteWritten', { step: null, text: a[1] })).id"


@pytest.fixture(scope="module", params=list(ENGINES))
def engine(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    find, start, packages = ENGINES[request.param]
    if not find():
        pytest.fail(f"{request.param} is not on this machine, so nothing is known of it: install Debian's {packages}.")
    made = start(tmp_path_factory.mktemp("engine"))
    print(f"engine {made.version}")
    yield made
    made.kill()


@pytest.fixture
def workshop(build: Callable[[str], Path], tmp_path: Path) -> Iterator[Workshop]:  # noqa: F811
    made = Workshop(tmp_path / "home", build("first"))
    made.start()
    yield made
    made.kill()


def opened(engine: Any, workshop: Workshop) -> None:
    engine.go(workshop.address)
    engine.run("await opened; return true")


def until(engine: Any, condition: str, argument: Any = None, seconds: float = 30) -> None:
    end = time.monotonic() + seconds
    while not engine.run(f"return {condition}", argument):
        assert time.monotonic() < end, f"still not: {condition}; {engine.run('return bench.outbox.value')}"
        time.sleep(0.1)


def with_procedure(engine: Any, workshop: Workshop) -> str:
    sha256 = workshop.publish()
    opened(engine, workshop)
    engine.run("await bench.refreshLibrary(); await bench.keepOnPhone(null)")
    return sha256


def test_one_whole_short_job_with_the_server_dead_and_back_photo_and_file(engine: Any, workshop: Workshop) -> None:
    """Library and figures verified by signature, job begun and done with no server, photo put and got, all sent, all equal."""
    sha256 = with_procedure(engine, workshop)
    engine.run("await bench.enrol(a, 'Test phone')", workshop.code())
    workshop.kill()
    job = engine.run("return await bench.startJob(null, a, null)", sha256)
    notes = [engine.run(NOTE, [job, f"note {n}"]) for n in range(5)]
    for step in ("first", "second"):
        engine.run("await bench.record(a[0], 'StepDone', { step: a[1] })", [job, step])
    add = "return (await bench.addPhoto(a.job, 'first', fileOf(a.data, 'image/jpeg'), 'the seal')).body"
    photo = engine.run(add, {"job": job, "data": base64.b64encode(jpeg_photo(1, 1600, 1200)).decode()})
    kept = base64.b64decode(engine.run("return await keptPhoto(a)", photo["sha256"]))
    assert hashlib.sha256(kept).hexdigest() == photo["sha256"]
    assert b"Invented Camera Works" not in kept, "the copy that is sent carries no metadata"
    assert engine.run("return (await bench.photoUrl(a)).slice(0, 5)", photo["sha256"]) == "blob:"
    file = engine.run("return JSON.parse(await (await bench.exportJob(a)).text())", job)
    assert file["digest"]["count"] == 9
    workshop.start()
    engine.run("bench.syncSoon('button')")
    until(engine, "bench.outbox.value.notes + bench.outbox.value.photos === 0")
    assert [event.id for event in workshop.events(job)][1:6] == notes
    arrived = workshop.photo_bytes(photo["sha256"])
    assert arrived is not None
    assert hashlib.sha256(arrived).hexdigest() == photo["sha256"]
    assert engine.run("return bench.itemState(a)", photo["sha256"]) == "received"
    assert engine.run("return bench.outbox.value.attention") == []


def test_notes_called_saved_survive_a_kill_of_the_browser(engine: Any, workshop: Workshop) -> None:
    if not engine.lasting:
        pytest.skip(f"an automation session of {engine.name} keeps nothing over a restart: not shown for this engine")
    sha256 = with_procedure(engine, workshop)
    job = engine.run("return await bench.startJob(null, a, null)", sha256)
    notes = [engine.run(NOTE, [job, f"note {n}"]) for n in range(30)]
    engine.kill()
    engine.open_browser()
    opened(engine, workshop)
    assert [event["id"] for event in engine.run("return bench.journalOf(a).value", job)][1:] == notes


def test_the_storage_contract(engine: Any, workshop: Workshop) -> None:
    """What the storage code takes for granted of the browser under it."""
    opened(engine, workshop)
    answers = engine.run(CONTRACT)
    assert answers == {
        "aborted write is gone": True, "saved after complete only": True, "two stores, one write": True, "bytes come back equal": True,
        "second connection closes for a newer version": True, "gapless numbers under 20 writers": True, "duplicate add aborts all": True,
    }


def test_every_address_opens_with_the_server_dead(engine: Any, workshop: Workshop, build: Callable[[str], Path]) -> None:  # noqa: F811
    workshop.kill()
    workshop.web, workshop.port = build("app"), 0
    workshop.start()
    heading = "const until = Date.now() + 20000; while (!document.querySelector('#app h1') && Date.now() < until) " \
              "await new Promise((go) => setTimeout(go, 50)); return document.querySelector('#app h1')?.textContent ?? null"
    engine.go(workshop.address)
    assert engine.run(heading)
    engine.run("await navigator.serviceWorker.ready; return true")
    addresses = ["/", "/library", "/sending", "/settings"]
    alive = {}
    for address in addresses:
        engine.go(workshop.address + address)
        alive[address] = engine.run(heading)
    workshop.kill()
    for address in addresses:
        engine.go(workshop.address + address)
        assert engine.run(heading) == alive[address]


CONTRACT = (Path(__file__).resolve().parent / "contract.js").read_text(encoding="utf-8")
