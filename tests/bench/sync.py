"""200 notes and 20 photos over an emulated 750 kbit/s link: when the notes are there, how much of the link is used; beside PouchDB."""

from __future__ import annotations

import argparse
import base64
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from playwright.sync_api import sync_playwright  # noqa: E402
from tests.bench.kills import build_page  # noqa: E402
from tests.bench.slow_link import SlowLink  # noqa: E402
from tests.offline.camera import jpeg_photo  # noqa: E402
from tests.offline.phone import Phone  # noqa: E402
from tests.offline.workshop import Workshop  # noqa: E402

from environment import find_chromium  # noqa: E402
from front_build import find_node, node_environment  # noqa: E402

HERE = Path(__file__).resolve().parent
# Installed for this comparison only, into a passing folder.
PACKAGES = ("express@4", "express-pouchdb@4.2.0", "pouchdb-core@9.0.0", "pouchdb-adapter-memory@9.0.0", "pouchdb-adapter-http@9.0.0",
            "pouchdb-replication@9.0.0", "pouchdb-mapreduce@9.0.0")
ADD = "(await bench.addPhoto(a[0], null, fileOf(a[1], 'image/jpeg'), '')).body"


def filled_phone(phone: Phone, address: str, pack: str, notes: int, photos: int) -> dict[str, Any]:
    """A phone with everything on it and nothing sent: the events and the photos' bytes as they lie there."""
    phone.open(address)
    phone.bench("await bench.refreshLibrary()")
    phone.bench("await bench.keepOnPhone(null)")
    job = phone.bench("await bench.startJob(null, a, null)", pack)
    for number in range(notes):
        phone.bench("(await bench.record(a[0], 'NoteWritten', {step: null, text: a[1]})).id",
                    [job, f"Note {number}: the seal on the left is wet, the other one is dry, wiped both and looked again after an hour."])
    names = [phone.bench(ADD, [job, base64.b64encode(jpeg_photo(number)).decode()])["sha256"] for number in range(photos)]
    kept = [base64.b64decode(phone.page.evaluate("keptPhoto", name)) for name in names]
    return {"events": phone.bench("bench.journalOf(a).value", job), "photos": kept, "job": job}


def ours(phone: Phone, link: SlowLink, code: str) -> dict[str, float]:
    """Joins and sends over the slow link; seconds from joining until the notes, and until all is there."""
    link.slow()
    phone.bench("void bench.enrol(a, 'Phone').catch((error) => console.error(error))", code)
    start, at = time.monotonic(), {}
    while "all" not in at:
        left = phone.bench("[bench.enrolment.value !== null, bench.outbox.value.notes, bench.outbox.value.photos]")
        now = time.monotonic() - start
        if left[0] and left[1] == 0:
            at.setdefault("notes", now)
        if left[0] and left[1] + left[2] == 0:
            at["all"] = now
        assert now < 900, f"still waiting: {left}"
        phone.page.wait_for_timeout(50)
    return at


def theirs(folder: Path, made: dict[str, Any], kbit: float, round_trip_ms: float) -> dict[str, float]:
    """The same events and photos as documents and attachments, replicated over the same link."""
    node, npm = find_node()
    packages = folder / "pouch"
    packages.mkdir()
    (packages / "package.json").write_text('{"private": true}')
    environment = node_environment(node)
    quiet = ["--ignore-scripts", "--no-audit", "--no-fund", "--silent"]
    command = [str(node), str(npm), "install", *quiet, *PACKAGES]
    subprocess.run(command, cwd=packages, env=environment, check=True, stdout=subprocess.DEVNULL)
    files = []
    for number, data in enumerate(made["photos"]):
        (folder / f"{number}.jpg").write_bytes(data)
        files.append(str(folder / f"{number}.jpg"))
    command = [str(node), str(HERE / "pouch.mjs")]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
    serving = subprocess.Popen([*command, "serve", str(packages)], cwd=folder, **pipes)
    link = SlowLink(int(serving.stdout.readline()), kbit, round_trip_ms)
    given = {"url": f"http://127.0.0.1:{link.port}/jobs", "notes": made["events"], "photos": files}
    sending = subprocess.Popen([*command, "send", str(packages)], cwd=folder, **pipes)
    sending.stdin.write(json.dumps(given))
    sending.stdin.close()
    assert sending.stdout.readline() == "ready\n"
    link.slow()
    start, at = time.monotonic(), {}
    while sending.poll() is None:
        serving.stdin.write("\n")
        serving.stdin.flush()
        if json.loads(serving.stdout.readline())["notes"] == len(made["events"]):
            at.setdefault("notes", time.monotonic() - start)
        time.sleep(0.05)
    result = json.loads(sending.stdout.read())
    assert result["written"] == len(made["events"]) + len(files), result
    serving.kill()
    serving.wait()
    link.close()
    for pipe in (serving.stdin, serving.stdout, sending.stdout):
        pipe.close()
    return {"all": result["ms"] / 1000, "notes": at.get("notes", result["ms"] / 1000), "up": link.up.passed}


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="sync", description=__doc__)
    parser.add_argument("--notes", type=int, default=200)
    parser.add_argument("--photos", type=int, default=20)
    parser.add_argument("--kbit", type=float, default=750, help="rate of the link in each direction")
    parser.add_argument("--round-trip-ms", type=float, default=150)
    parser.add_argument("--alone", action="store_true", help="without the other library")
    options = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        workshop = Workshop(folder / "home", build_page(folder / "web"), later=True)
        workshop.start()
        pack = workshop.publish()
        link = SlowLink(workshop.port, options.kbit, options.round_trip_ms)
        phone = Phone(playwright, str(find_chromium()), folder / "profile")
        made = filled_phone(phone, f"http://127.0.0.1:{link.port}", pack, options.notes, options.photos)
        at = ours(phone, link, workshop.code())
        held = {event.id for event in workshop.events(made["job"])}
        assert held == {event["id"] for event in made["events"]}, "every note is there"
        phone.kill()
        workshop.kill()
        other = {} if options.alone else theirs(folder, made, options.kbit, options.round_trip_ms)
    payload = sum(map(len, made["photos"])) + len(json.dumps(made["events"], separators=(",", ":")).encode())
    ideal = payload * 8 / (options.kbit * 1000)
    beside = ""
    if other:
        beside = (f" other_notes_s={other['notes']:.1f} other_all_s={other['all']:.1f} other_link_used={ideal / other['all']:.3f} "
                  f"other_overhead={other['up'] / payload - 1:.3f} ratio_notes={other['notes'] / at['notes']:.1f} "
                  f"ratio_all={other['all'] / at['all']:.2f}")
    print(f"RESULT sync notes={len(made['events'])} photos={len(made['photos'])} payload_mb={payload / 1e6:.2f} kbit_s={options.kbit:.0f} "
          f"round_trip_ms={options.round_trip_ms:.0f} notes_s={at['notes']:.1f} all_s={at['all']:.1f} ideal_s={ideal:.1f} "
          f"link_used={ideal / at['all']:.3f} overhead={link.up.passed / payload - 1:.3f}{beside}")
    return 0
