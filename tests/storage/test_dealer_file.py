"""A dealership in one file: everything comes out, comes in on another server and another database, and nothing false does."""

import dataclasses
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from tests.making import a_pack, with_dealer
from tests.postgres import fresh_database
from tests.storage.test_archive import config_of, fill, running

from benchtrail.cli.demo import load_seed
from benchtrail.config import Config
from benchtrail.domain.refused import Refused
from benchtrail.messages import dealer_file_texts
from benchtrail.services.accounts import sign_in
from benchtrail.services.check_library import check_library
from benchtrail.services.dealer_export import export_dealer
from benchtrail.services.dealer_file import CONTENTS, SEAL
from benchtrail.services.dealer_import import Plan, import_dealer, plan_import
from benchtrail.services.dealers import add_dealer
from benchtrail.services.devices import devices_of
from benchtrail.services.doctor import examine
from benchtrail.services.people import set_password_with_code
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.seed_demo import seed_demo
from benchtrail.storage.dealer_tables import LEFT_BEHIND, SECRETS, carried_tables
from benchtrail.storage.signing import P256Signer
from benchtrail.storage.tables import Base
from benchtrail.wiring import read_library

DEALER = "withen-bridge"
PRIVATE = ("password_hash", "credential_hash", "token_hash", "code_hash", "secret")


def exported(ports: Ports, slug: str = DEALER) -> bytes:
    out = io.BytesIO()
    export_dealer(ports, slug, "olive", out)
    return out.getvalue()


def members(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def rows(content: bytes, table: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in members(content)[f"records/{table}.jsonl"].splitlines()]


def taken_in(config: Config, content: bytes, source: Config | None, **how: Any) -> Plan:
    """Takes the file in on a new server, which got the key file of the old one unless there is no `source`."""
    if source:
        (config.home / "keys").mkdir(exist_ok=True)
        for key in (source.home / "keys").iterdir():
            (config.home / "keys" / key.name).write_bytes(key.read_bytes())
    with running(config) as ports:
        return import_dealer(ports, io.BytesIO(content), "olive", **how)[0]


@pytest.fixture
def source(tmp_path: Path) -> Config:
    return config_of(tmp_path / "old")


@pytest.fixture
def file(source: Config) -> bytes:
    with running(source) as ports:
        fill(ports)
        return exported(ports)


def test_every_table_is_carried_or_left_behind_for_a_reason_and_no_secret_is_carried() -> None:
    carried = {table.name for table in carried_tables()}
    assert carried | set(LEFT_BEHIND) == set(Base.metadata.tables)
    assert carried & set(LEFT_BEHIND) == set()
    assert carried - {"dealers"} == set(dealer_file_texts()["tables"]), "each has its name for people"
    shown = [f"{table.name}.{column.name}" for table in carried_tables() for column in table.columns
             if any(word in column.name for word in PRIVATE) and (table.name, column.name) not in SECRETS]
    assert shown == []
    assert all("dealer" in table.columns or table.name == "dealers" for table in carried_tables())


@dataclasses.dataclass(frozen=True)
class Demo:
    """The demo dealership on a server, and the file that it wrote."""

    config: Config
    slug: str
    file: bytes


def demo_on(config: Config) -> Demo:
    with running(config) as ports:
        seed = load_seed()
        seed_demo(ports, seed)
        return Demo(config, seed.slug, exported(ports, seed.slug))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    return demo_on(config_of(tmp_path_factory.mktemp("demo")))


@pytest.mark.parametrize("way", ["sqlite → sqlite", pytest.param("sqlite → postgres", marks=pytest.mark.postgres),
                                 pytest.param("postgres → sqlite", marks=pytest.mark.postgres)])
def test_the_demo_dealership_moves_whole(request: pytest.FixtureRequest, tmp_path: Path, demo: Demo, way: str) -> None:
    with ExitStack() as stack:
        urls = [stack.enter_context(fresh_database(request.getfixturevalue("cluster"))) if kind == "postgres" else None
                for kind in way.split(" → ")]
        old = demo_on(config_of(tmp_path / "old", urls[0])) if urls[0] else demo
        first, new = old.file, config_of(tmp_path / "new", urls[1])
        plan = taken_in(new, first, old.config)
        assert plan.key == "same"
        assert plan.rows["events"] > 50
        with running(new) as ports:
            assert [one for one in examine(ports) if one.grave] == []
            second = exported(ports, old.slug)
    was, now = members(first), members(second)
    lines = [rows(one, "audit_log") for one in (first, second)]
    assert [line["act"] for line in lines[1][len(lines[0]) :]] == ["imported", "password_code_made", "exported"]
    assert lines[1][: len(lines[0])] == lines[0]
    differ = {name for name in was.keys() | now.keys() if was.get(name) != now.get(name)}
    assert differ == {"records/audit_log.jsonl", "tables/audit-log.csv", CONTENTS, SEAL}


def test_the_library_in_the_file_is_the_library(tmp_path: Path, demo: Demo) -> None:
    with zipfile.ZipFile(io.BytesIO(demo.file)) as opened:
        opened.extractall(tmp_path / "out")
    files, read_picture = read_library([tmp_path / "out" / "library"])
    checked = check_library(files, read_picture, demo.slug)
    assert [one for one in checked.findings if one.severity in ("block", "error")] == []
    found = {(one.pack["model"], one.pack["revision"]) for one in checked.maps}
    found |= {(one.compiled.pack["procedure"], one.compiled.pack["revision"]) for one in checked.procedures if one.compiled}
    newest: dict[str, int] = {}
    for row in rows(demo.file, "packs"):
        newest[row["subject"]] = max(row["revision"], newest.get(row["subject"], 0))
    assert found == set(newest.items())


def test_a_file_holds_nothing_that_opens_anything(source: Config, file: bytes) -> None:
    with running(source) as ports, ports.storage.reading() as unit:
        secrets = [account.password_hash for account in unit.accounts.all(DEALER)]
        secrets += [device.credential_hash for device in unit.devices.all(DEALER)]
        key = (source.home / "keys" / f"{DEALER}.pem").read_text().splitlines()[1]
    everything = b"".join(members(file).values())
    assert [one for one in [*secrets, key, "x" * 64] if one.encode() in everything] == []
    assert b"Mrs Ashdown" in everything


def test_a_dry_run_says_what_would_be_done_and_changes_nothing(tmp_path: Path, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    with running(new) as ports:
        plan = plan_import(ports, io.BytesIO(file))
        with ports.storage.reading() as unit:
            assert unit.dealers.all() == []
        assert list(ports.files.names(DEALER, "packs")) == []
    assert (plan.slug, plan.key, plan.owners, plan.phones) == (DEALER, "missing", ["olive"], 1)
    assert plan.rows["packs"] == 2


def test_without_the_key_nothing_comes_in_and_with_a_new_one_everything_is_signed_anew(
    tmp_path: Path, source: Config, file: bytes
) -> None:
    new, next_one = config_of(tmp_path / "new"), config_of(tmp_path / "next")
    with pytest.raises(Refused, match="dealer_key_missing"):
        taken_in(new, file, None)
    assert taken_in(new, file, None, new_key=True).key == "new"
    with running(new) as ports:
        assert [one for one in examine(ports) if one.grave] == []
        with ports.storage.reading() as unit:
            (dealer, before) = unit.dealers.get(DEALER), json.loads(members(file)[CONTENTS])["dealer"]
            manifest = unit.packs.manifest(DEALER)
        assert dealer is not None
        assert manifest is not None
        assert dealer.kid != before["kid"]
        assert ports.signers.verifies(dealer.jwk, manifest.payload.encode(), manifest.signature)
        publish_packs(ports, DEALER, Order([a_pack("later")], "anna"))
        again = exported(ports)
    # what was signed with the former key is still proven by it
    assert taken_in(next_one, again, new).key == "same"


def test_a_wrong_key_that_lies_here_is_not_taken_for_the_right_one(tmp_path: Path, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    with running(new) as ports:
        ports.signers.make(DEALER)
    with pytest.raises(Refused, match="dealer_key_differs"):
        taken_in(new, file, None)


def test_nothing_that_is_here_is_overwritten(tmp_path: Path, source: Config, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    with running(new) as ports:
        add_dealer(ports, "other", "Other")
        with_dealer(ports, "third")
    taken_in(new, file, source)
    with pytest.raises(Refused, match="dealer_exists"):
        taken_in(new, file, source)


def test_a_name_that_someone_else_has_here_comes_in_as_another(tmp_path: Path, source: Config, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    with running(new) as ports:
        add_dealer(ports, "other", "Other")
        with ports.storage.writing() as unit:
            unit.accounts.add(dataclasses.replace(_account(ports, "other"), name="olive"))
    assert taken_in(new, file, source).renamed == {"olive": "olive-withen-bridge"}


def _account(ports: Ports, dealer: str) -> Any:
    from benchtrail.services.records import Account

    return Account(dealer, "someone", "owner", "", ports.clock.now())


def test_people_set_passwords_with_codes_and_phones_join_anew(tmp_path: Path, source: Config, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    taken_in(new, file, source)
    with running(new) as ports:
        with pytest.raises(Refused, match="sign_in_refused"):
            sign_in(ports, "olive", "a long enough password", "192.0.2.1")
        assert [one.label for one in devices_of(ports, DEALER)] == ["Mrs Ashdown"]


def test_the_code_for_an_owner_opens_the_account(tmp_path: Path, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    with running(new) as ports:
        _, codes = import_dealer(ports, io.BytesIO(file), "olive", new_key=True)
        assert [kept.name for _, kept in codes] == ["olive"]
        assert set_password_with_code(ports, codes[0][0], "another long password", "192.0.2.1") == "olive"
        assert sign_in(ports, "olive", "another long password", "192.0.2.1")[1].account.role == "owner"


Change = Callable[[dict[str, bytes]], None]


def forged(content: bytes, change: Change, key: P256Signer | None = None) -> bytes:
    """The file with members changed. With a key the list of contents is made to fit, and sealed with it."""
    parts = members(content)
    change(parts)
    if key:
        import hashlib

        contents = json.loads(parts[CONTENTS])
        contents["files"] = {name: {"sha256": hashlib.sha256(one).hexdigest(), "bytes": len(one)}
                             for name, one in parts.items() if name not in (CONTENTS, SEAL)}
        parts[CONTENTS] = rfc8785.dumps(contents)
        parts[SEAL] = rfc8785.dumps({"kid": key.kid, "signature": key.sign(parts[CONTENTS])})
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, one in parts.items():
            made.writestr(name, one)
    return out.getvalue()


def replacing(start: str, old: bytes, new: bytes) -> Change:
    def change(parts: dict[str, bytes]) -> None:
        name = next(name for name in parts if name.startswith(start) and old in parts[name])
        parts[name] = parts[name].replace(old, new)

    return change


def dropping(start: str) -> Change:
    return lambda parts: parts.__delitem__(next(name for name in parts if name.startswith(start)))


def adding(name: str) -> Change:
    return lambda parts: parts.__setitem__(name, b"x")


UNSEALED = {
    "an event changed": (replacing("records/events", b"Note 2", b"Note 9"), "dealer_file_changed"),
    "a photo changed": (replacing("photos/", b"\xff\xd9", b"\xff\xd8"), "dealer_file_changed"),
    "a text for people changed": (replacing("tables/people", b"olive", b"oscar"), "dealer_file_changed"),
    "a pack taken out": (dropping("packs/"), "dealer_file_changed"),
    "something put in": (adding("packs/../../escaped"), "dealer_file_changed"),
    "the list changed": (replacing(CONTENTS, b'"made_by":"olive"', b'"made_by":"oscar"'), "dealer_file_seal"),
    "the list taken out": (dropping(CONTENTS), "dealer_file_unreadable"),
    "another form": (replacing(CONTENTS, b"benchtrail.dealer/1", b"benchtrail.dealer/9"), "dealer_file_unreadable"),
}
# Someone who may use the dealer's key still cannot make these agree.
SEALED = {
    "an event changed": (replacing("records/events", b"Note 2", b"Note 9"), "dealer_file_row"),
    "an audit line changed": (replacing("records/audit", b'"by": "olive"', b'"by": "oscar"'), "dealer_file_audit"),
    "a row of another dealer": (replacing("records/devices", b'"dealer": "withen-bridge"', b'"dealer": "other"'), "dealer_file_row"),
    "a pack changed": (replacing("packs/", b"Look at the plug", b"Look at the slug"), "dealer_file_row"),
    "a pack's signature changed": (replacing("records/packs", b'"signature": "', b'"signature": "AA'), "dealer_file_row"),
    "a photo changed": (replacing("photos/", b"\xff\xd9", b"\xff\xd8"), "dealer_file_changed"),
    "a photo taken out": (dropping("photos/"), "dealer_file_changed"),
    "a manifest changed": (replacing("records/manifests", b'\\"counter\\":', b'\\"counter\\": '), "dealer_file_row"),
    "a column nobody knows": (replacing("records/devices", b'"label"', b'"colour": 1, "label"'), "dealer_file_newer"),
    "a row cut off": (replacing("records/devices", b'"label"', b'"label'), "dealer_file_row"),
}


def cases() -> Iterator[Any]:
    for name, (change, code) in UNSEALED.items():
        yield pytest.param(change, code, False, id=f"{name}, not sealed")
    for name, (change, code) in SEALED.items():
        yield pytest.param(change, code, True, id=f"{name}, sealed")


@pytest.mark.parametrize(("change", "code", "sealed"), [*cases()])
def test_what_was_changed_is_refused_by_name_and_leaves_nothing(
    tmp_path: Path, source: Config, file: bytes, change: Change, code: str, sealed: bool
) -> None:
    new = config_of(tmp_path / "new")
    with running(source) as ports:
        key = ports.signers.get(DEALER)
    assert isinstance(key, P256Signer)
    false = forged(file, change, key if sealed else None)
    with pytest.raises(Refused, match=code):
        taken_in(new, false, source)
    with running(new) as ports:
        with ports.storage.reading() as unit:
            assert unit.dealers.all() == []
        assert list(ports.files.names(DEALER, "packs")) == []
    assert not (tmp_path / "escaped").exists()


def test_a_file_that_was_cut_off_or_is_something_else_is_refused(tmp_path: Path, source: Config, file: bytes) -> None:
    new = config_of(tmp_path / "new")
    for content in (b"", b"hello", file[: len(file) // 2], file[:-1], file[100:], forged(file, lambda parts: parts.clear())):
        with pytest.raises(Refused, match=r"dealer_file_(unreadable|changed)"):
            taken_in(new, content, source)
    assert taken_in(new, forged(file, lambda parts: None), source).slug == DEALER


def test_sealed_by_another_key_it_is_refused_and_a_foreign_dealership_shows_its_own_key(
    tmp_path: Path, source: Config, file: bytes
) -> None:
    new, thief = config_of(tmp_path / "new"), config_of(tmp_path / "thief")
    with running(thief) as ports:
        key = ports.signers.make(DEALER)
    assert isinstance(key, P256Signer)
    with pytest.raises(Refused, match="dealer_file_seal"):
        taken_in(new, forged(file, lambda parts: None, key), source)


class PowerCut(Exception):
    pass


def test_what_ends_half_way_leaves_nothing_and_begins_anew(
    tmp_path: Path, source: Config, file: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    new = config_of(tmp_path / "new")

    def cut(*_: object, **__: object) -> None:
        raise PowerCut

    for place in ("benchtrail.storage.files.DiskFiles.put", "benchtrail.services.dealer_import.record_act"):
        with monkeypatch.context() as patch:
            patch.setattr(place, cut)
            with pytest.raises(PowerCut):
                taken_in(new, file, source)
        with running(new) as ports, ports.storage.reading() as unit:
            assert unit.dealers.all() == []
    assert taken_in(new, file, source).slug == DEALER
    with running(new) as ports:
        assert [one for one in examine(ports) if one.grave] == []


def test_a_file_that_this_server_lost_is_named_and_does_not_stand_in_the_way(tmp_path: Path, source: Config) -> None:
    new = config_of(tmp_path / "new")
    with running(source) as ports:
        fill(ports)
        lost = next(iter(ports.files.names(DEALER, "photos")))
        ports.files.remove(DEALER, "photos", lost)
        file = exported(ports)
    assert taken_in(new, file, source).missing == [f"photos/{lost}.jpg"]
