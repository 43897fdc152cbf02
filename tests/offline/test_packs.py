"""What a phone believes of packs, in real Chromium against a real server: only what is signed, whole and newer."""

from __future__ import annotations

import pytest
from tests.offline.phone import Phone
from tests.offline.test_store import START_JOB, with_procedure
from tests.offline.workshop import Workshop

pytestmark = pytest.mark.browser
KEEP = "await bench.keepOnPhone(null).then(() => null, (error) => error.shown.code)"


def test_kept_packs_and_pictures_are_counted_and_shown_with_the_server_dead(phone: Phone, workshop: Workshop) -> None:
    sha256 = with_procedure(phone, workshop)
    library = phone.bench("bench.library.value")
    assert (library["keptCount"], library["keptModels"], library["age"], library["problem"]) == (
        1,
        [None],
        "fresh",
        None,
    )
    assert library["keptBytes"] == library["kept"][sha256] > 1000
    assert library["dealer"] == {"slug": "withen-bridge", "name": "Withen Bridge Offroad", "invented": True}
    workshop.kill()
    picture = library["entries"][0]["pictures"][0]["sha256"]
    assert phone.bench("await bench.pictureUrl(a)", picture).startswith("blob:")
    assert phone.bench("(await bench.loadPack(a)).title", sha256) == "Mend a puncture"


@pytest.mark.parametrize(
    "change",
    [
        lambda content: content.replace(b"10 N\xc2\xb7m", b"90 N\xc2\xb7m"),
        lambda content: content[:-1],
        lambda content: content + b" ",
        lambda content: b"",
    ],
)
def test_a_pack_changed_on_the_way_is_refused_and_said(phone: Phone, workshop: Workshop, change: object) -> None:
    assert callable(change)
    sha256 = workshop.publish()
    workshop.overwrite_pack(sha256, change(workshop.pack(sha256)))
    phone.open(workshop.address)
    phone.bench("await bench.refreshLibrary()")
    phone.bench(KEEP)
    assert phone.bench("bench.library.value.keptCount") == 0
    assert phone.bench("bench.library.value.problem.code") in {"pack_hash", "pack_cut_short"}
    assert phone.bench("await bench.startJob(null, a, null).then(() => null, (error) => error.shown.code)", sha256) in {
        "pack_hash",
        "pack_cut_short",
    }


def test_a_newer_revision_comes_by_itself_and_the_open_job_stays_on_its_own(phone: Phone, workshop: Workshop) -> None:
    first = with_procedure(phone, workshop)
    job = phone.bench(START_JOB, first)
    second = workshop.publish(2, "12 N·m")
    phone.bench("await bench.refreshLibrary()")
    summary = phone.bench("bench.jobs.value[0]")
    assert (summary["job"], summary["pack"], summary["superseded"]) == (job, first, {"sha256": second, "revision": 2})
    workshop.kill()
    phone.open(workshop.address)
    torque = "(await bench.loadPack(a)).figures.nut.as_published"
    assert [phone.bench(torque, one) for one in (first, second)] == ["10 N·m", "12 N·m"]


def test_when_the_newer_revision_is_refused_the_older_one_is_named(phone: Phone, workshop: Workshop) -> None:
    first = with_procedure(phone, workshop)
    second = workshop.publish(2, "12 N·m")
    workshop.overwrite_pack(second, workshop.pack(second).replace(b"12 N", b"92 N"))
    phone.bench("await bench.refreshLibrary()")
    library = phone.bench("bench.library.value")
    assert library["problem"]["code"] == "pack_hash"
    assert library["older"][second]["sha256"] == first
    assert phone.bench("(await bench.loadPack(a)).revision", first) == 1


def test_a_library_of_another_key_is_refused_and_the_known_one_stays(phone: Phone, workshop: Workshop) -> None:
    sha256 = with_procedure(phone, workshop)
    phone.page.route(
        "**/manifest",
        lambda route: route.fulfill(
            status=200, content_type="application/json", body='{"payload": "{}", "signature": "AA", "kid": "another"}'
        ),
    )
    phone.bench("await bench.refreshLibrary()")
    library = phone.bench("bench.library.value")
    assert library["problem"]["code"] == "manifest_key_changed"
    assert [entry["sha256"] for entry in library["entries"]] == [sha256]


def test_a_sign_in_page_that_answers_everything_is_not_the_dealer(phone: Phone, workshop: Workshop) -> None:
    with_procedure(phone, workshop)
    phone.page.route(
        "**/api/**", lambda route: route.fulfill(status=200, content_type="text/html", body="<h1>Sign in</h1>")
    )
    phone.bench("await bench.refreshLibrary()")
    assert phone.bench("bench.connection.value") == "not_reached"
    assert phone.bench("bench.library.value.keptCount") == 1


def test_an_old_probe_answer_is_not_the_dealer(phone: Phone, workshop: Workshop) -> None:
    with_procedure(phone, workshop)
    phone.page.route(
        "**/probe*",
        lambda route: route.fulfill(
            status=200,
            content_type="application/json",
            body='{"benchtrail": "an-earlier-word", "now": "2026-11-25T10:00:00Z"}',
        ),
    )
    phone.bench("await bench.refreshLibrary()")
    assert phone.bench("bench.connection.value") == "not_reached"


def test_a_pack_damaged_in_the_phones_storage_is_not_shown(phone: Phone, workshop: Workshop) -> None:
    sha256 = with_procedure(phone, workshop)
    phone.page.evaluate("(sha256) => damagePack(sha256, '10 N', '90 N')", sha256)
    phone.worker_ready()
    phone.context.new_cdp_session(phone.page).send("Network.clearBrowserCache")
    workshop.kill()
    phone.open(workshop.address)
    said = "await bench.loadPack(a).then(() => 'shown', (error) => error.shown.code)"
    assert phone.bench(said, sha256) == "pack_not_on_phone"
    workshop.start()
    assert phone.bench("(await bench.loadPack(a)).figures.nut.as_published", sha256) == "10 N·m"


def test_a_phone_whose_clock_is_set_back_does_not_call_its_figures_fresh(phone: Phone, workshop: Workshop) -> None:
    with_procedure(phone, workshop)
    workshop.kill()
    phone.page.clock.install(time="2025-01-01T00:00:00Z")
    phone.open(workshop.address)
    assert phone.bench("[bench.library.value.age, bench.library.value.ageDays]") == ["unknown", None]


def test_an_enrolled_phone_tells_the_dealer_what_it_keeps_and_tells_it_again_when_that_changes(
    phone: Phone, workshop: Workshop
) -> None:
    first = workshop.publish()
    phone.open(workshop.address)
    phone.bench("await bench.refreshLibrary()")
    assert phone.bench(KEEP) is None
    phone.bench("await bench.enrol(a, 'Test phone')", workshop.code())
    told_by(phone, workshop, [first])
    second = workshop.publish(revision=2)
    phone.bench("bench.syncSoon('button')")
    told_by(phone, workshop, [second])  # what is replaced and pinned by no job is let go


def told_by(phone: Phone, workshop: Workshop, packs: list[str]) -> None:
    """Waits until the server heard this from the phone."""
    for _ in range(100):
        if workshop.held_packs() == packs:
            return
        phone.page.wait_for_timeout(200)
    raise AssertionError(f"{workshop.held_packs()} instead of {packs}")
