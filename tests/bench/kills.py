"""Acknowledged notes through SIGKILL of browser, renderer and server at random moments: how many, how many kills, how many lost."""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from playwright.sync_api import sync_playwright  # noqa: E402
from tests.faults.kill_loops import kill_pages, kill_server  # noqa: E402
from tests.faults.serving import ServerProcess, prepared_home  # noqa: E402
from tests.offline.phone import Phone  # noqa: E402
from tests.offline.test_store import with_procedure  # noqa: E402
from tests.offline.workshop import Workshop  # noqa: E402

from environment import find_chromium  # noqa: E402
from front_build import find_node, node_environment  # noqa: E402


def build_page(out: Path) -> Path:
    """The page that holds only the phone's data layer."""
    node = find_node()[0]
    command = [str(node), "build.mjs", str(out), str(ROOT / "tests/offline/page")]
    environment = {**node_environment(node), "VITE_MARK": "bench"}
    subprocess.run(command, cwd=ROOT / "frontend", env=environment, check=True, stdout=subprocess.DEVNULL)
    return out


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="kills", description=__doc__)
    parser.add_argument("--page-notes", type=int, default=10_000, help="notes acknowledged by the browser, at least")
    parser.add_argument("--page-kills", type=int, default=40, help="kills of browser and renderer in turn, at least")
    parser.add_argument("--page-life-s", type=float, default=6, help="how long a page may write before it is killed, at most")
    parser.add_argument("--server-notes", type=int, default=20_000, help="notes acknowledged by the server, at least")
    parser.add_argument("--server-kills", type=int, default=40, help="kills of the server, at least")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(argv)
    chance, start = random.Random(options.seed), time.monotonic()
    # On a disk, not in memory: what is flushed and what is not is the point.
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        server = kill_server(ServerProcess(prepared_home(folder / "server")), options.server_kills, options.server_notes, chance)
        print(f"server: {server.acknowledged} acknowledged, {server.kills} kills, {len(server.lost)} lost, {server.doubled} doubled",
              flush=True)
        workshop = Workshop(folder / "home", build_page(folder / "web"))
        workshop.start()
        phone = Phone(playwright, str(find_chromium()), folder / "profile")
        pack = with_procedure(phone, workshop)
        pages = kill_pages(phone, workshop.address, pack, options.page_kills, options.page_notes, chance, options.page_life_s)
        phone.kill()
        workshop.kill()
    whole = pages["pages"]
    print(f"pages:  {whole.acknowledged} acknowledged, {pages['browser'].kills} kills of the browser, {pages['renderer'].kills} of the "
          f"renderer, {len(whole.lost)} lost, {whole.doubled} doubled")
    acknowledged, lost = whole.acknowledged + server.acknowledged, len(whole.lost) + len(server.lost)
    print(f"RESULT kills acknowledged={acknowledged} lost={lost} doubled={whole.doubled + server.doubled} "
          f"kills={whole.kills + server.kills} browser={pages['browser'].kills} renderer={pages['renderer'].kills} server={server.kills} "
          f"page_notes={whole.acknowledged} server_notes={server.acknowledged} seconds={time.monotonic() - start:.0f}")
    return 1 if lost or whole.doubled or server.doubled else 0
