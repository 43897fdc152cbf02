"""Pictures of every screen of the phone, to be looked at: `python tests/offline/screens.py [OUT]` (default tests/screenshots).

Publishes the real library on a real server, does a job in real Chromium, and photographs each screen on day, night and sun
paper at 360 × 640, at 200 % text, and at 412 × 915. Prints what a picture cannot show: pages wider than the screen, targets
below 56 px, and what the browser complained of; exits 1 when there is any.
"""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "backend")]

from playwright.sync_api import Browser, Page, sync_playwright  # noqa: E402
from tests.offline.camera import jpeg_photo  # noqa: E402
from tests.offline.walker import Walker  # noqa: E402
from tests.offline.workshop import DEALER, Workshop  # noqa: E402

from benchtrail.services.compile_library import LibraryFile  # noqa: E402
from benchtrail.services.publish_library import publish_files  # noqa: E402
from environment import find_chromium  # noqa: E402

WEB = ROOT / "frontend" / "dist"
SEAL, BRAKE, CHAIN = "renew-water-pump-seal", "renew-front-brake-pads-and-fluid", "renew-chain-and-sprockets"

# What is pressed must be at least 56 × 56 px; a label carries its own box or circle.
SMALL_TARGETS = """() => [...document.querySelectorAll('button, a[href], select, input:not([type=file]), textarea, label.choice')]
  .filter((e) => e.checkVisibility() && !e.closest('label.choice input') && !(e.matches('input') && e.closest('label')))
  .map((e) => [e.getBoundingClientRect(), (e.textContent || e.getAttribute('aria-label') || e.tagName).trim().slice(0, 40)])
  .filter(([r]) => r.width > 0 && (r.width < 55.5 || r.height < 55.5))
  .map(([r, t]) => `${t} (${Math.round(r.width)}×${Math.round(r.height)})`)"""


class Dealership(Workshop):
    """A workshop with the project's own library published."""

    revision = 1

    def publish_library(self, folder: Path, newer: Mapping[str, str] | None = None) -> None:
        """Publishes every text of the folder, pictures and all; with words replaced, as the revision after the first."""
        texts = [LibraryFile(str(path.relative_to(folder)), path.read_bytes()) for path in sorted(folder.rglob("*.yaml"))]
        for old, new in (newer or {}).items():
            texts = [replace(text, content=text.content.replace(old.encode(), new.encode())) for text in texts]

        def picture(name: str) -> bytes | None:
            return (folder / name).read_bytes() if (folder / name).is_file() else None

        with self._app.app_context():
            outcome = publish_files(self.ports, DEALER, texts, picture, "tests")
        assert not outcome.refused, outcome.findings

    def newer_revision(self, folder: Path) -> None:
        """Publishes the library again under the next revision, with another torque for the clutch cover."""
        self.revision += 1
        torque = 'clutch_cover_torque: {as_published: "%d N·m"'
        self.publish_library(folder, {torque % 10: torque % (10 + self.revision), "revision: 1\n": f"revision: {self.revision}\n"})


@dataclass(frozen=True)
class Look:
    """One way of looking: size of the screen in CSS pixels, paper, size of text."""

    name: str
    width: int
    height: int
    paper: str = "day"
    text: int = 100


LOOKS = [
    Look("day", 360, 640),
    Look("night", 360, 640, "night"),
    Look("sun", 360, 640, "sun"),
    Look("large", 360, 640, "day", 200),
    Look("tall", 412, 915),
]


@dataclass
class Album:
    """Takes the pictures of one look and gathers what is wrong."""

    page: Page
    look: Look
    out: Path
    wrong: list[str] = field(default_factory=list)

    def take(self, name: str, whole: bool = False) -> None:
        """One picture; `whole` as long as the page is."""
        page, look = self.page, self.look
        page.evaluate(f"document.documentElement.style.fontSize = '{'' if look.text == 100 else f'{look.text}%'}'")
        page.wait_for_timeout(120)
        if whole:
            tall = page.evaluate("document.documentElement.scrollHeight")
            page.set_viewport_size({"width": look.width, "height": max(look.height, tall)})
        page.screenshot(path=str(self.out / f"{look.name}-{name}.png"))
        self._check(name)
        page.set_viewport_size({"width": look.width, "height": look.height})

    def hear(self, text: str, address: str) -> None:
        """What the browser complains of; that a photo has no receipt yet is the server's plain answer."""
        if not address.endswith("/receipt"):
            self.wrong.append(f"{self.look.name}: {text} ({address})")

    def _check(self, name: str) -> None:
        wide = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if wide > 0:
            self.wrong.append(f"{self.look.name} {name}: {wide} px wider than the screen")
        self.wrong += [f"{self.look.name} {name}: small target {what}" for what in self.page.evaluate(SMALL_TARGETS)]


def photograph(browser: Browser, workshop: Dealership, look: Look, out: Path) -> list[str]:
    """All screens in one look; what is wrong with them."""
    context = browser.new_context(viewport={"width": look.width, "height": look.height}, device_scale_factor=2)
    page = context.new_page()
    album = Album(page, look, out)
    page.on("pageerror", lambda error: album.wrong.append(f"{look.name}: {error}"))
    page.on("console", lambda said: said.type == "error" and album.hear(said.text, said.location["url"]))
    walker = Walker(page, workshop.address)
    _before_a_job(album, walker, look)
    _a_job(album, walker)
    _at_the_end(album, walker)
    _newer_figures(album, walker, workshop)
    _coming_back(album, walker, workshop)
    context.close()
    return album.wrong


def _before_a_job(album: Album, walker: Walker, look: Look) -> None:
    walker.open("/")
    album.take("first-run", whole=True)
    walker.set_paper(look.paper)
    walker.open("/machine/new")
    walker.press("Save")
    album.take("machine-new-errors", whole=True)
    walker.add_machine("Fell with the blue tank", "2023", ["Kick starter", "Skid plate"], "84.5")
    walker.open("/library")
    album.take("library", whole=True)
    walker.keep_all()
    album.take("library-kept", whole=True)
    for path in ("/settings", "/about", "/sending", "/enrol", "/no/such/page"):
        walker.open(path)
        album.take(path.strip("/").replace("/", "-"), whole=True)


def _a_job(album: Album, walker: Walker) -> None:
    walker.open_procedure(SEAL)
    album.take("start", whole=True)
    walker.start()
    for step in ("stand-firm", "photo-before", "cap-off", "coolant-out", "cover-screws-out-early"):
        walker.walk_to(step)
        album.take(f"step-{step}")
    for sheet in ("more", "note", "photo", "skip", "picture", "places-pump_cover_screws_early"):
        walker.sheet(sheet)
        album.take(f"sheet-{sheet}")
    walker.walk_to("flatness")
    album.take("step-flatness")
    walker.read("0.11")
    album.take("step-flatness-outside")
    walker.walk_to("clutch-cover-stage-1")
    album.take("step-clutch-cover-stage-1")
    walker.tick_places("clutch_cover_screws", 3)
    album.take("sheet-places-ticked")
    walker.walk_to("end-play-early")
    walker.read("0.45")
    album.take("step-end-play-stop")
    walker.note("The dial gauge was borrowed, reading taken twice.")
    walker.pause()
    album.take("bench-open-job", whole=True)
    walker.press("Go on")
    album.take("resume")
    for name in ("ledger", "torques", "notes", "close"):
        walker.open_in_job(name)
        album.take(f"job-{name}", whole=True)


def _at_the_end(album: Album, walker: Walker) -> None:
    walker.open_procedure(BRAKE)
    album.take("start-brakes", whole=True)
    walker.start()
    walker.skip_here("The stand is lent out")
    album.take("skip-second-press")
    walker.open_procedure(CHAIN)
    walker.start()
    walker.walk_to_end()
    album.take("close-clear", whole=True)
    walker.close("Finished")
    album.take("closed", whole=True)
    walker.open("/sending")
    album.take("sending-waiting", whole=True)


def _newer_figures(album: Album, walker: Walker, workshop: Dealership) -> None:
    """A figure changes under an open job: both stand on its step, and nothing else moves."""
    walker.open_procedure(SEAL)
    walker.start()
    workshop.newer_revision(ROOT / "procedures")
    walker.open("/library")
    walker.press("Check with the dealer")
    album.page.get_by_text(re.compile("a newer one is out|Revision [2-9]")).first.wait_for()
    walker.keep_all()
    walker.open(f"/job/{walker.job}/step/clutch-cover-stage-2")
    album.page.locator(".figure-newer").wait_for()
    album.take("step-newer-figure")


def _coming_back(album: Album, walker: Walker, workshop: Dealership) -> None:
    walker.open(f"/job/{walker.job}/step/photo-before")
    walker.photo(jpeg_photo(7), "Pump from the right")
    walker.open_in_job("notes")
    album.page.locator("img.taken").wait_for()
    album.take("notes-photo", whole=True)
    walker.open(f"/enrol#code={workshop.code()}")
    album.take("enrol-code")
    walker.fill("Name of this phone", "Blue phone in the garage")
    walker.press("Join")
    album.page.get_by_text("This phone is joined to").wait_for()
    album.page.get_by_text(re.compile("^Sent ")).first.wait_for(timeout=60_000)
    album.take("sending-sent", whole=True)


def main() -> int:
    """Takes all pictures; 1 when something is wrong."""
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "tests" / "screenshots"
    only = sys.argv[2].split(",") if len(sys.argv) > 2 else [look.name for look in LOOKS]
    out.mkdir(parents=True, exist_ok=True)
    chromium = find_chromium()
    if not chromium:
        print("Chromium was not found: install Debian's package chromium.")
        return 2
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        workshop = Dealership(Path(home), WEB)
        workshop.publish_library(ROOT / "procedures")
        workshop.start()
        try:
            browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
            for look in (look for look in LOOKS if look.name in only):
                wrong += photograph(browser, workshop, look, out)
        finally:
            workshop.kill()
    print("\n".join(dict.fromkeys(wrong)) or f"pictures in {out}; nothing wrong that can be measured")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
