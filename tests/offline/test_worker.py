"""The service worker in real Chromium: offline with the server dead, whole or not at all, never under an open job."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.offline.phone import Phone
from tests.offline.test_store import NOTE, START_JOB, with_procedure
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser
Build = Callable[[str], Path]

LOOK = "navigator.serviceWorker.ready.then((one) => one.update()).catch(() => null)"


@pytest.fixture
def site(workshop: Workshop, build: Build, tmp_path: Path) -> Path:
    """The folder the server serves from, to be changed by a deploy. It starts as the first version."""
    folder = tmp_path / "site"
    shutil.copytree(build("first"), folder)
    workshop.kill()
    workshop.web = folder
    workshop.start()
    return folder


def deploy(site: Path, version: Path) -> None:
    """Files first, then page and worker: old hashed files stay, as a careful server keeps them."""
    shutil.copytree(version, site, dirs_exist_ok=True)


def visit(phone: Phone, workshop: Workshop) -> None:
    """A first visit, complete: the worker is in force and every later page is answered by it."""
    phone.open(workshop.address)
    phone.worker_ready()


def mark(phone: Phone) -> str:
    shown: str = phone.page.evaluate("mark")
    return shown


def shells(phone: Phone) -> list[str]:
    names: list[str] = phone.page.evaluate("caches.keys()")
    return [name for name in names if name.startswith("shell-")]


def look_for_update(phone: Phone) -> None:
    phone.page.evaluate(LOOK)


@pytest.mark.parametrize("path", ["/", "/job/0190a000/step/drain", "/library", "/machine/new"])
def test_any_address_opens_with_the_server_dead_and_the_browser_restarted(
    phone: Phone, workshop: Workshop, site: Path, path: str
) -> None:
    visit(phone, workshop)
    phone.switch_off()
    workshop.kill()
    phone.switch_on()
    phone.open(workshop.address + path)
    assert mark(phone) == "first"
    assert phone.bench("bench.storage.value.problem") is None


def test_a_job_goes_on_with_the_server_dead_and_the_browser_killed(
    phone: Phone, workshop: Workshop, site: Path
) -> None:
    sha256 = with_procedure(phone, workshop)
    phone.worker_ready()
    workshop.kill()
    job = phone.bench(START_JOB, sha256)
    phone.bench("await bench.record(a, 'StepDone', {step: 'first'})", job)
    phone.kill()
    phone.switch_on()
    phone.open(f"{workshop.address}/job/{job}")
    summary = phone.bench("bench.jobs.value[0]")
    assert (summary["done"], summary["total"], summary["place"]) == (1, 2, "second")
    assert phone.bench("(await bench.loadPack(a)).figures.nut.as_published", sha256) == "10 N·m"
    assert phone.bench(NOTE, [job, "still here"])


@pytest.mark.parametrize("path", ["/api/v1/dealers", "/healthz", "/packs/none.json", "/desk"])
def test_what_is_no_screen_of_the_phone_is_never_answered_from_the_shell(
    phone: Phone, workshop: Workshop, site: Path, path: str
) -> None:
    visit(phone, workshop)
    phone.open(workshop.address)
    workshop.kill()
    with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
        phone.page.goto(workshop.address + path)


def test_a_new_version_waits_until_it_is_wanted(phone: Phone, workshop: Workshop, site: Path, build: Build) -> None:
    visit(phone, workshop)
    deploy(site, build("second"))
    look_for_update(phone)
    phone.until("bench.update.value === 'ready'")
    phone.open(workshop.address)
    assert mark(phone) == "first"
    phone.until("bench.update.value === 'ready'")
    with phone.page.expect_navigation():
        phone.page.evaluate("void bench.applyUpdate()")
    phone.page.evaluate("opened")
    assert mark(phone) == "second"
    assert len(shells(phone)) == 2, "this version and the one before it"


def test_a_new_version_never_comes_into_force_while_a_job_is_open_in_any_tab(
    phone: Phone, workshop: Workshop, site: Path, build: Build
) -> None:
    visit(phone, workshop)
    other = phone.open(workshop.address, phone.context.new_page())
    other.evaluate("void (window.leave = bench.holdJobOpen('a job'))")
    deploy(site, build("second"))
    look_for_update(phone)
    phone.until("bench.update.value === 'ready'")
    for _ in range(3):
        phone.bench("await bench.applyUpdate()")
        assert phone.bench("bench.update.value") == "held_by_job"
    assert mark(phone) == "first"
    other.evaluate("leave()")
    with phone.page.expect_navigation(), other.expect_navigation():
        phone.page.evaluate("void bench.applyUpdate()")
    for page in (phone.page, other):
        page.evaluate("opened")
        assert page.evaluate("mark") == "second", "no two versions at once"


class TwoTabs:
    """Two tabs of one phone, and what must be on screen in both of them after everything that is done to either."""

    def __init__(self, phone: Phone, workshop: Workshop, site: Path, build: Build) -> None:
        self.phone, self.workshop, self.site, self.build = phone, workshop, site, build
        self.tabs = [phone.page, phone.open(workshop.address, phone.context.new_page())]
        self.shown, self.served, self.found = "first", "first", False
        self.open: set[int] = set()

    def act(self, name: str, tab: int) -> None:
        getattr(self, name)(tab)
        assert self.marks() == [self.shown] * 2, f"after {name} in tab {tab}"

    def marks(self) -> list[str]:
        return [page.evaluate("mark") for page in self.tabs]

    def deploy(self, _tab: int) -> None:
        self.served = "second" if self.shown == "first" else "first"
        deploy(self.site, self.build(self.served))

    def look(self, tab: int) -> None:
        self.tabs[tab].evaluate(LOOK)
        if self.served != self.shown:
            self.phone.until("['ready', 'held_by_job'].includes(bench.update.value)", page=self.tabs[tab])
            self.found = True

    def open_job(self, tab: int) -> None:
        if tab not in self.open:
            self.tabs[tab].evaluate("void (window.leave = bench.holdJobOpen('a job'))")
            self.open.add(tab)

    def leave_job(self, tab: int) -> None:
        if tab in self.open:
            self.tabs[tab].evaluate("leave()")
            self.open.discard(tab)

    def reload(self, tab: int) -> None:
        self.phone.open(self.workshop.address, self.tabs[tab])
        self.open.discard(tab)

    def apply(self, tab: int) -> None:
        if not self.found:
            return self.tabs[tab].evaluate("bench.applyUpdate()")
        if self.open:
            self.tabs[tab].evaluate("bench.applyUpdate()")
            assert self.tabs[tab].evaluate("bench.update.value") == "held_by_job"
            return None
        for page in self.tabs:
            page.evaluate("sessionStorage.clear()")  # as if half a minute had gone by since the last one
        with self.tabs[0].expect_navigation(), self.tabs[1].expect_navigation():
            self.tabs[tab].evaluate("void bench.applyUpdate()")
        for page in self.tabs:
            page.evaluate("opened")
        self.shown, self.found = self.served, False
        return None


def test_in_twenty_orders_of_events_two_tabs_never_show_two_versions_nor_change_under_an_open_job(
    phone: Phone, workshop: Workshop, site: Path, build: Build
) -> None:
    visit(phone, workshop)
    two = TwoTabs(phone, workshop, site, build)
    changes = 0
    for order in range(20):
        chance = random.Random(order)
        acts = ["open_job", "open_job", "look", "apply", "apply", "reload", "leave_job"]
        chance.shuffle(acts)
        before = two.shown
        for name in ["deploy", *acts, "look", "leave_job", "leave_job", "apply"]:
            two.act(name, chance.randrange(2))
        for tab in (0, 1):
            two.act("leave_job", tab)
        two.act("apply", 0)
        assert two.shown == two.served
        changes += two.shown != before
    assert changes >= 15, "most orders end with the new version in both tabs"


def test_a_version_with_one_wrong_byte_is_not_installed_and_the_old_one_goes_on(
    phone: Phone, workshop: Workshop, site: Path, build: Build
) -> None:
    visit(phone, workshop)
    phone.open(workshop.address)
    deploy(site, build("second"))
    script = next(
        path
        for path in (build("second") / "assets").glob("index-*.js")
        if not (build("first") / "assets" / path.name).exists()
    )
    served = site / "assets" / script.name
    served.write_bytes(served.read_bytes() + b"\n")
    look_for_update(phone)
    phone.until("bench.update.value === 'failed'")
    assert len(shells(phone)) == 1
    workshop.kill()
    phone.open(workshop.address)
    assert mark(phone) == "first"


def test_a_version_with_a_missing_file_is_not_installed(
    phone: Phone, workshop: Workshop, site: Path, build: Build
) -> None:
    visit(phone, workshop)
    phone.open(workshop.address)
    deploy(site, build("second"))
    (site / "app.webmanifest").unlink()
    look_for_update(phone)
    phone.until("bench.update.value === 'failed'")
    workshop.kill()
    phone.open(f"{workshop.address}/library")
    assert mark(phone) == "first"


def test_a_changed_file_in_the_cache_is_mended_at_the_next_start(phone: Phone, workshop: Workshop, site: Path) -> None:
    visit(phone, workshop)
    phone.page.evaluate("""(async () => {
        const cache = await caches.open((await caches.keys()).find((name) => name.startsWith('shell-')));
        await cache.put('/app.webmanifest', new Response('injected'));
    })()""")
    phone.open(workshop.address)
    end = "(await (await caches.match('/app.webmanifest')).text()) !== 'injected'"
    phone.until(end)


def test_the_kill_switch_takes_the_app_files_away_and_leaves_notes_and_the_open_job(
    phone: Phone, workshop: Workshop, site: Path
) -> None:
    job = phone.bench(START_JOB, with_procedure(phone, workshop))
    phone.worker_ready()
    phone.open(workshop.address)
    phone.page.evaluate("void bench.holdJobOpen('on screen')")
    shutil.copyfile(site / "sw-off.js", site / "sw.js")
    look_for_update(phone)
    phone.until("(await caches.keys()).filter((name) => name.startsWith('shell-')).length === 0")
    phone.until("(await navigator.serviceWorker.getRegistration()) === undefined")
    assert phone.bench("bench.journalOf(a).value.length", job) == 1
