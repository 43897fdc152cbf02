"""Pictures of every calculation on the phone, to be looked at: `python tests/offline/number_screens.py [OUT] [LOOKS] [NAMES]`.

Each calculation is used as in `test_numbers.py`, with the server dead, and photographed with its answer and drawing, at 360 and
320 px wide, on day, night and sun paper. Prints what a picture cannot show: pages wider than the screen, small targets, and of the
drawings what lies outside them, names that cover one another and letters below 12 px; exits 1 when there is any.
`job` among the names is what stands beside a running job: its step's numbers, the kit against its procedure, its times.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "backend")]

from playwright.sync_api import Browser, sync_playwright  # noqa: E402
from tests.offline.demo_server import DemoServer  # noqa: E402
from tests.offline.drawn import drawn_wrong  # noqa: E402
from tests.offline.number_cases import USES, add_wrench, use  # noqa: E402
from tests.offline.screens import Album, Look  # noqa: E402
from tests.offline.walker import Walker  # noqa: E402

from environment import find_chromium  # noqa: E402

# named in place of a calculation: what stands beside a running job
JOB = "job"
LOOKS = [Look(f"{paper}{width}", width, 640, paper) for width in (360, 320) for paper in ("day", "night", "sun")]


def photograph(browser: Browser, address: str, look: Look, out: Path, names: list[str]) -> Iterator[str]:
    """Every calculation in one look; what is wrong with it."""
    context = browser.new_context(viewport={"width": look.width, "height": look.height}, device_scale_factor=2)
    page = context.new_page()
    album = Album(page, look, out)
    page.on("pageerror", lambda error: album.wrong.append(f"{look.name}: {error}"))
    walker = Walker(page, address)
    walker.set_paper(look.paper)
    for path in ("/tools", "/numbers"):
        walker.open(path)
        album.take(path.strip("/"), whole=True)
    add_wrench(page, address)
    album.take("tools-wrench", whole=True)
    if not names or JOB in names:
        for name in _beside_a_job(album, walker):
            yield from (f"{look.name} {name}: {what}" for what in drawn_wrong(page))
    for name in (names or USES):
        if name == JOB:
            continue
        use(page, address, name)
        album.take(name, whole=True)
        yield from (f"{look.name} {name}: {what}" for what in drawn_wrong(page))
    context.close()
    yield from album.wrong


def _beside_a_job(album: Album, walker: Walker) -> Iterator[str]:
    """What a step of a running job knows, the kit against its procedure, and the times of the job."""
    page = album.page
    walker.add_machine("Fell with the blue tank", "2023", ["Kick starter", "Skid plate"], "84.5")
    walker.open("/library")
    walker.keep_all()
    walker.open("/tools")
    walker.press("Add to the kit")
    page.get_by_label("Tool", exact=True).select_option("adjustable")
    walker.press("Save in the kit")
    walker.open_procedure("renew-water-pump-seal")
    walker.start()
    for _ in range(2):
        page.wait_for_timeout(5_500)  # ticks that are closer tell no time
        walker.do_step()
    at = f"/numbers?job={walker.job}&step={walker.step}"
    for name, address in (("step-numbers", at), ("kit-list", "/numbers/kit-check"), ("learned-empty", "/numbers/learned-weight")):
        walker.open(address)
        page.wait_for_timeout(500)
        album.take(name, whole=True)
        yield name
    walker.press("Take the times of the jobs on this phone")
    page.get_by_text("from tick to tick").wait_for()
    album.take("learned-filled", whole=True)
    walker.open("/numbers/kit-check")
    page.get_by_label("Procedure").select_option(label="Renew the water pump seal")
    page.locator(".answer").wait_for()
    album.take("kit-check", whole=True)
    yield "kit-check"


def main() -> int:
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "tests" / "screenshots"
    looks = sys.argv[2].split(",") if len(sys.argv) > 2 else [look.name for look in LOOKS]
    names = sys.argv[3].split(",") if len(sys.argv) > 3 else []
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        server = DemoServer(Path(home))
        server.start()
        try:
            browser = playwright.chromium.launch(executable_path=find_chromium(), args=["--no-sandbox"])
            found = [what for look in LOOKS if look.name in looks for what in photograph(browser, server.address, look, out, names)]
        finally:
            server.kill()
    print("\n".join(dict.fromkeys(found)) or f"pictures in {out}; nothing wrong that can be measured")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
