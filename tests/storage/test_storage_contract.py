"""What every implementation of the storage port does, whatever it is made of."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.making import START

from benchtrail.services.ports import Storage, Unit
from benchtrail.services.records import (
    ERASED,
    Account,
    Bulletin,
    Dealer,
    DeskSession,
    Device,
    EnrolmentCode,
    Photo,
    Picture,
    PublishedPack,
    QuarantinedEvent,
    SignedManifest,
    StoredEvent,
    Upload,
    Workfile,
    WorkfileVersion,
    WorkPicture,
)

LATER = START + timedelta(minutes=5)
NASTY = "“Ä € 🔧 <b>&amp;</b> \\u0000 '; --"


def dealer(slug: str = "withen") -> Dealer:
    return Dealer(slug, NASTY, True, "kid", {"kty": "EC", "x": "1"}, "0" * 16, START)


def device(name: str = "a", owner: str = "withen") -> Device:
    return Device(owner, f"device-{name}", NASTY, f"credential-{owner}-{name}", START)


def event(
    position: int, of: str = "a", seq: int | None = None, job: str = "job-1", owner: str = "withen"
) -> StoredEvent:
    number = position if seq is None else seq
    return StoredEvent(owner, position, f"{owner}-{of}-{number}", f"device-{of}", number, job, "NoteWritten", "0" * 64,
                       '{"text":"\\u20ac"}', START + timedelta(seconds=position))


def kept(name: str, job: str | None = "job-1", seq: int | None = None, of: str = "a") -> QuarantinedEvent:
    return QuarantinedEvent("withen", name.rjust(64, "0"), f"device-{of}", f"id-{name}", seq, job, None,
                            "event_malformed", {"fields": NASTY}, "{}", START)


def photo(name: str = "1", **other: object) -> Photo:
    return replace(Photo("withen", name.rjust(64, "0"), 10, "image/jpeg", "device-a", START), **other)


@pytest.fixture(autouse=True)
def two_dealers(storage: Storage) -> None:
    with storage.writing() as unit:
        for slug in ("withen", "other"):
            unit.dealers.add(dealer(slug))
            unit.devices.put(device("a", slug))
        unit.devices.put(device("b"))


def test_what_was_written_is_read_back_field_by_field(storage: Storage) -> None:
    account = Account("withen", "anna", "author", "$argon2id$x", START)
    session = DeskSession("h" * 64, "withen", "anna", START, LATER)
    code = EnrolmentCode("c" * 64, "withen", NASTY, "anna", START, LATER)
    pack = PublishedPack("withen", "d" * 64, "procedure", "seal", 1, NASTY, "2026-11-02", NASTY, START, "anna",
                         {"applies": ["all", ["year", "<=", 2023]], "model": None})
    picture = Picture("withen", "e" * 64, "image/svg+xml", 12)
    manifest = SignedManifest("withen", 1, NASTY, "sig", "kid", START)
    upload = Upload("withen", "u1", "device-a", "job-1", "f" * 64, "image/png", 2**33, START)
    with storage.writing() as unit:
        unit.accounts.add(account)
        unit.accounts.add_session(session)
        unit.devices.add_code(code)
        unit.packs.add(pack)
        unit.packs.add_picture(picture)
        unit.packs.add_manifest(manifest)
        unit.photos.add_upload(upload)
        unit.photos.put(photo())
        unit.events.add([event(1)])
        unit.events.quarantine(kept("7"))
    with storage.reading() as unit:
        assert unit.dealers.get("withen") == dealer()
        assert unit.accounts.get("anna") == account
        assert unit.accounts.session("h" * 64) == session
        assert unit.devices.get("withen", "device-a") == device("a")
        assert unit.devices.code("c" * 64) == code
        assert unit.packs.get("withen", "d" * 64) == pack
        assert unit.packs.picture("e" * 64) == picture
        assert unit.packs.manifest("withen") == manifest
        assert unit.photos.upload("u1") == upload
        assert unit.photos.get("withen", photo().sha256) == photo()
        assert unit.events.of_job("withen", "job-1") == [event(1)]
        assert unit.events.quarantined("withen") == [kept("7")]


def test_nothing_of_a_failed_unit_remains(storage: Storage) -> None:
    def fail(unit: Unit) -> None:
        unit.events.add([event(1)])
        unit.devices.put(replace(device(), label="changed"))
        raise KeyError("stop")

    with pytest.raises(KeyError), storage.writing() as unit:
        fail(unit)
    with storage.reading() as unit:
        assert unit.events.of_job("withen", "job-1") == []
        assert unit.devices.get("withen", "device-a") == device()


def test_a_second_record_under_one_key_is_refused_and_the_first_stays(storage: Storage) -> None:
    def add_again(unit: Unit, again: StoredEvent) -> None:
        unit.events.add([again])

    with storage.writing() as unit:
        unit.events.add([event(1)])
    for again in (event(2, seq=1), replace(event(2), id=event(1).id)):
        with pytest.raises(Exception, match=r".+"), storage.writing() as unit:
            add_again(unit, again)
    with storage.reading() as unit:
        assert unit.events.of_job("withen", "job-1") == [event(1)]


def test_dealers_are_apart_even_under_the_same_names(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.events.add([event(1)])
        unit.events.add([event(1, owner="other")])
        unit.events.join("withen", "job-1", "device-a", 1)
        unit.photos.put(photo())
        unit.photos.join_job("withen", photo().sha256, "job-1")
        unit.events.quarantine(kept("1"))
    with storage.reading() as unit:
        assert [one.dealer for one in unit.events.of_job("other", "job-1")] == ["other"]
        assert unit.events.held("other", ["withen-a-1"], "device-b", [1]) == []
        assert not unit.events.joined("other", "job-1", "device-a")
        assert unit.events.after("other", "device-a", (0, 0), 10) == []
        assert unit.photos.get("other", photo().sha256) is None
        assert unit.photos.of_job("other", "job-1") == []
        assert unit.events.quarantined("other") == []
        assert [one.device for one in unit.devices.all("other")] == ["device-a"]


def test_positions_count_up_for_each_dealer(storage: Storage) -> None:
    with storage.writing() as unit:
        assert [unit.dealers.take_positions("withen", count) for count in (1, 3, 1)] == [1, 2, 5]
    with storage.writing() as unit:
        assert unit.dealers.take_positions("withen", 10) == 6
        assert unit.dealers.take_positions("other", 1) == 1


def test_a_code_is_used_once(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.devices.add_code(EnrolmentCode("c" * 64, "withen", "x", "anna", START, LATER))
        assert unit.devices.use_code("c" * 64, "device-a", LATER)
    with storage.writing() as unit:
        assert not unit.devices.use_code("c" * 64, "device-b", LATER)
        found = unit.devices.code("c" * 64)
        assert found is not None
        assert (found.used_at, found.used_by) == (LATER, "device-a")


def test_sessions_end_by_time_by_hand_and_with_a_new_password(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.accounts.add(Account("withen", "anna", "author", "old", START))
        for name, end in (("1", START), ("2", LATER), ("3", LATER)):
            unit.accounts.add_session(DeskSession(name * 64, "withen", "anna", START, end))
        unit.accounts.end_expired(START)
        unit.accounts.end_session("2" * 64)
    with storage.writing() as unit:
        assert [unit.accounts.session(name * 64) is not None for name in "123"] == [False, False, True]
        unit.accounts.set_password("anna", "new")
        assert unit.accounts.session("3" * 64) is None
        found = unit.accounts.get("anna")
        assert found is not None
        assert found.password_hash == "new"


def test_attempts_are_counted_since_a_moment_and_taken_back(storage: Storage) -> None:
    with storage.writing() as unit:
        for key, at in (("k", START), ("k", LATER), ("other", LATER)):
            unit.attempts.add(key, at)
        assert unit.attempts.since("k", START - timedelta(seconds=1)) == [START, LATER]
        assert unit.attempts.since("k", START) == [LATER]
        unit.attempts.forget("k", LATER)
        assert unit.attempts.since("k", START) == []
        unit.attempts.forget_before(LATER)
        assert unit.attempts.since("k", START - timedelta(days=1)) == []
        assert unit.attempts.since("other", START) == [LATER]


def test_a_phone_pulls_the_jobs_it_takes_part_in_and_misses_nothing_written_before_it_joined(storage: Storage) -> None:
    with storage.writing() as unit:
        for position, of, job in ((1, "a", "job-1"), (2, "a", "job-2"), (3, "a", "job-1")):
            unit.events.add([event(position, of, job=job)])
            unit.events.join("withen", job, f"device-{of}", position)
        unit.events.add([event(5, "b", seq=1, job="job-1")])
        unit.events.join("withen", "job-1", "device-b", 5)
    with storage.reading() as unit:
        mine = unit.events.after("withen", "device-a", (0, 0), 10)
        others = unit.events.after("withen", "device-b", (0, 0), 10)
        assert [one.position for _, one in mine] == [1, 2, 3, 5]
        assert [(place, one.position) for place, one in others] == [((5, 1), 1), ((5, 3), 3), ((5, 5), 5)]
        assert [one.position for _, one in unit.events.after("withen", "device-b", (5, 1), 10)] == [3, 5]
        assert [one.position for _, one in unit.events.after("withen", "device-b", (0, 0), 2)] == [1, 3]
        assert unit.events.after("withen", "device-b", (5, 5), 10) == []


def test_numbers_ids_and_jobs_count_what_lies_in_quarantine(storage: Storage) -> None:
    with storage.writing() as unit:
        for position in (1, 2, 5):
            unit.events.add([event(position)])
        unit.events.quarantine(kept("3", seq=3))
        unit.events.quarantine(kept("9", job="job-9", of="b"))
        unit.events.quarantine(kept("10", job=None))
    with storage.reading() as unit:
        assert unit.events.held_numbers("withen", "device-a", 1) == [2, 3, 5]
        assert unit.events.job_ids("withen", "job-1", "device-a") == ["id-3", "withen-a-1", "withen-a-2", "withen-a-5"]
        assert unit.events.job_ids("withen", "job-1", "device-b") == ["withen-a-1", "withen-a-2", "withen-a-5"]
        assert unit.events.jobs("withen") == ["job-1", "job-9"]
        assert len(unit.events.quarantined("withen")) == 3
        assert [one.claimed_id for one in unit.events.quarantined("withen", "job-9")] == ["id-9"]


def test_the_same_quarantined_bytes_are_kept_once(storage: Storage) -> None:
    with storage.writing() as unit:
        assert unit.events.quarantine(kept("1"))
        assert not unit.events.quarantine(kept("1"))
        assert unit.events.quarantine(kept("1", of="b"))


def test_a_remark_is_kept_with_its_event(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.events.add([event(1)])
        unit.events.remark("withen", event(1).id, "event_contested")
    with storage.reading() as unit:
        marked = [replace(event(1), remark="event_contested")]
        assert unit.events.held("withen", [event(1).id], "device-b", []) == marked
        assert unit.events.held("withen", [], "device-a", [1]) == marked


def test_held_events_are_found_by_id_of_any_phone_and_by_number_of_one(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.events.add([event(1), event(2), event(3), event(4, "b", seq=1)])
        unit.events.add([])
        found = unit.events.held("withen", ["withen-b-1", "nobody"], "device-a", [2, 3, 9])
        assert sorted(one.id for one in found) == ["withen-a-2", "withen-a-3", "withen-b-1"]
        assert unit.events.held("withen", [], "device-a", []) == []


def test_packs_are_listed_newest_revision_first_and_known_by_hash_alone(storage: Storage) -> None:
    def pack(subject: str, revision: int) -> PublishedPack:
        name = f"{subject}{revision}".encode().hex().rjust(64, "0")
        return PublishedPack("withen", name, "procedure", subject, revision, "t", "2026-11-02", "", START, "anna", {})

    with storage.writing() as unit:
        for one in (pack("b", 1), pack("a", 1), pack("a", 2)):
            unit.packs.add(one)
        unit.packs.add_picture(Picture("withen", "e" * 64, "image/png", 5))
        unit.packs.add_picture(Picture("withen", "e" * 64, "image/png", 5))
    with storage.reading() as unit:
        assert [(one.subject, one.revision) for one in unit.packs.all("withen")] == [("a", 2), ("a", 1), ("b", 1)]
        assert unit.packs.known(pack("a", 2).sha256) == pack("a", 2)
        assert unit.packs.revision("withen", "procedure", "a", 1) == pack("a", 1)
        assert unit.packs.revision("withen", "procedure", "a", 3) is None
        assert len(unit.packs.pictures("withen")) == 1


def test_the_manifest_in_force_is_the_one_with_the_highest_counter(storage: Storage) -> None:
    with storage.writing() as unit:
        for counter in (9, 10, 2):
            unit.packs.add_manifest(SignedManifest("withen", counter, "p", "s", "k", START))
    with storage.reading() as unit:
        found = unit.packs.manifest("withen")
        assert found is not None
        assert found.counter == 10
        assert unit.packs.manifest("other") is None


def test_photos_are_replaced_whole_and_found_by_job(storage: Storage) -> None:
    seen = photo("1", state="clean", clean_sha256="f" * 64, clean_mime="image/jpeg", width=4, height=3)
    with storage.writing() as unit:
        for name in ("1", "2"):
            unit.photos.put(photo(name))
        unit.photos.put(seen)
        for job in ("job-1", "job-1", "job-2"):
            unit.photos.join_job("withen", seen.sha256, job)
    with storage.reading() as unit:
        assert unit.photos.of_job("withen", "job-1") == [seen]
        assert unit.photos.of_job("withen", "job-2") == [seen]
        assert unit.photos.all("withen") == [seen, photo("2")]


def test_uploads_are_completed_and_ended(storage: Storage) -> None:
    upload = Upload("withen", "u1", "device-a", "job-1", "f" * 64, "image/png", 5, START)
    with storage.writing() as unit:
        unit.photos.add_upload(upload)
        unit.photos.complete_upload("u1", LATER)
    with storage.writing() as unit:
        assert unit.photos.uploads("withen") == [replace(upload, completed_at=LATER)]
        unit.photos.end_upload("u1")
        assert unit.photos.upload("u1") is None


def test_a_new_epoch_is_kept(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.dealers.renew_epoch("withen", "f" * 16)
    with storage.reading() as unit:
        assert unit.dealers.get("withen") == replace(dealer(), epoch="f" * 16)
        assert unit.dealers.all() == [dealer("other"), replace(dealer(), epoch="f" * 16)]


def test_marks_change_with_whatever_comes_in_for_a_job(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.events.add([event(1), event(2), event(3, job="job-2"), event(1, owner="other")])
        unit.events.quarantine(kept("1"))
        unit.events.quarantine(kept("2", job="job-3"))
        for one in (photo("1"), photo("2", state="needs_person")):
            unit.photos.put(one)
            unit.photos.join_job("withen", one.sha256, "job-1")
    with storage.reading() as unit:
        assert unit.events.marks("withen") == {"job-1": (2, 2, 1), "job-2": (1, 3, 0), "job-3": (0, 0, 1)}
        assert unit.photos.marks("withen") == {"job-1": (2, 1)}
        assert unit.photos.marks("other") == {}


def test_workfiles_keep_every_version_and_come_last_saved_first(storage: Storage) -> None:
    first = Workfile("withen", "w1", "a/map.yaml", "map", NASTY, None, 1, START, "anna", START, "anna")
    other = replace(first, id="w2", path="a/b.yaml", kind="procedure", model="a", saved_at=LATER)
    texts = [WorkfileVersion("withen", "w1", number, NASTY * number, START, "ben") for number in (1, 2)]
    with storage.writing() as unit:
        for one in (first, other, replace(first, dealer="other")):
            unit.workfiles.put(one)
        for text in texts:
            unit.workfiles.add_version(text)
        unit.workfiles.put(replace(first, version=2))
    with storage.reading() as unit:
        assert unit.workfiles.all("withen") == [other, replace(first, version=2)]
        assert unit.workfiles.get("other", "w1") == replace(first, dealer="other")
        assert unit.workfiles.versions("withen", "w1") == texts[::-1]
        assert unit.workfiles.version("withen", "w1", 1) == texts[0]
        assert unit.workfiles.version("other", "w1", 1) is None
        assert unit.workfiles.at("withen", "a/b.yaml") == other
    with storage.writing() as unit:
        unit.workfiles.put(replace(other, put_away=True))
    with storage.reading() as unit:
        assert unit.workfiles.at("withen", "a/b.yaml") is None


def test_a_version_or_picture_is_never_written_over(storage: Storage) -> None:
    kept_text = WorkfileVersion("withen", "w1", 1, "a", START, "anna")
    picture = WorkPicture("withen", "a", "pictures/x.png", "f" * 64, "image/png", 5, START, "anna")
    with storage.writing() as unit:
        unit.workfiles.put(Workfile("withen", "w1", "a/map.yaml", "map", "A", None, 1, START, "anna", START, "anna"))
        unit.workfiles.add_version(kept_text)
        unit.workfiles.add_picture(picture)
    for change in ("add_version", "add_picture"):
        record = replace(kept_text, text="b") if change == "add_version" else replace(picture, sha256="0" * 64)
        with pytest.raises(Exception, match=r"already|UNIQUE|unique"), storage.writing() as unit:
            getattr(unit.workfiles, change)(record)
    with storage.reading() as unit:
        assert unit.workfiles.version("withen", "w1", 1) == kept_text
        assert unit.workfiles.pictures("withen", "a") == [picture]
        assert unit.workfiles.pictures("withen", "b") == unit.workfiles.pictures("other", "a") == []


def test_bulletins_are_listed_newest_first_and_found_by_the_pack_they_lead_to(storage: Storage) -> None:
    def pack(revision: int) -> PublishedPack:
        return PublishedPack("withen", str(revision) * 64, "procedure", "seal", revision, "t", "2026-11-02", "", START, "anna", {})

    def bulletin(old: int, new: int) -> Bulletin:
        return Bulletin("withen", "procedure", "seal", NASTY, pack(old).sha256, old, pack(new).sha256, new,
                        START + timedelta(days=new), "anna", NASTY, [{"code": "figure_changed", "when": None, "steps": [NASTY]}])

    with storage.writing() as unit:
        for revision in (1, 2, 3):
            unit.packs.add(pack(revision))
        for one in (bulletin(1, 2), bulletin(1, 3), bulletin(2, 3)):
            unit.bulletins.add(one)
    with storage.reading() as unit:
        assert unit.bulletins.all("withen") == [bulletin(2, 3), bulletin(1, 3), bulletin(1, 2)]
        assert unit.bulletins.to_pack("withen", pack(3).sha256) == [bulletin(2, 3), bulletin(1, 3)]
        assert unit.bulletins.all("other") == []


def test_an_erased_event_keeps_its_envelope_and_its_hash_and_marks_its_job(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.events.add([event(1), event(2), event(3, job="job-2")])
        unit.events.quarantine(kept("1"))
    with storage.writing() as unit:
        unit.events.erase("withen", "job-1", {event(1).id: ERASED, event(3).id: ERASED}, LATER)
    with storage.reading() as unit:
        assert unit.events.of_job("withen", "job-1") == [replace(event(1), text=ERASED, erased_at=LATER), event(2)]
        assert unit.events.of_job("withen", "job-2") == [event(3, job="job-2")], "another job's event is not touched"
        assert unit.events.quarantined("withen") == [replace(kept("1"), text=ERASED, values={}, erased_at=LATER)]
        assert unit.events.marks("withen")["job-1"] == (2, 2, 2)


def test_what_a_person_decided_is_kept_with_the_item(storage: Storage) -> None:
    decided = replace(kept("1"), settled="dismissed", settled_by="anna", settled_at=LATER, settled_reason=NASTY)
    with storage.writing() as unit:
        unit.events.quarantine(kept("1"))
        unit.events.quarantine(kept("2"))
        unit.events.settle(decided)
    with storage.reading() as unit:
        assert sorted(unit.events.quarantined("withen"), key=lambda one: one.sha256) == [decided, kept("2")]
        assert unit.events.marks("withen")["job-1"] == (0, 0, 3)


def test_the_time_that_a_dealer_keeps_jobs_is_kept(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.dealers.set_retention("withen", 90)
    with storage.reading() as unit:
        assert unit.dealers.get("withen") == replace(dealer(), retention_days=90)
    with storage.writing() as unit:
        unit.dealers.set_retention("withen", None)
    with storage.reading() as unit:
        assert unit.dealers.get("withen") == dealer()
