"""The doctor finds each ailment that is made here on purpose, and nothing on a healthy installation."""

import hashlib
import uuid
from collections.abc import Callable
from dataclasses import replace

import pytest
from tests.making import Journal, a_pack, a_photo, memory_ports, with_dealer, with_device

from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for
from benchtrail.services.doctor import examine
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs
from benchtrail.services.receive_events import receive_events
from benchtrail.services.uploads import add_piece, begin_upload

DEALER = "withen-bridge"
PICTURE = a_photo(kind="PNG")
PICTURE_SHA256 = hashlib.sha256(PICTURE).hexdigest()
PHOTO = a_photo(50, 40)
PHOTO_SHA256 = hashlib.sha256(PHOTO).hexdigest()


class NotLooked:
    def put(self, dealer: str, sha256: str) -> None:
        """Leaves the photo as it came."""


def send(ports: Ports, content: bytes) -> None:
    device = with_device(ports)
    name = hashlib.sha256(content).hexdigest()
    place = begin_upload(ports, device, name, "image/jpeg", str(uuid.uuid4()), len(content))
    add_piece(ports, device, place.id, 0, content, None)


@pytest.fixture
def ports() -> Ports:
    made = memory_ports()
    with_dealer(made)
    shown = {"a": {"sha256": PICTURE_SHA256, "mime": "image/png", "bytes": len(PICTURE), "alt": "A"}}
    publish_packs(made, DEALER, Order([a_pack(pictures=shown)], "anna", pictures={PICTURE_SHA256: PICTURE}))
    device = with_device(made)
    journal = Journal(device.device)
    receive_events(made, device, [journal.write(), journal.write()], 0)
    send(made, PHOTO)
    return made


def codes(ports: Ports) -> list[str]:
    return [one.code for one in examine(ports)]


def test_a_healthy_installation_has_no_ailment(ports: Ports) -> None:
    assert examine(ports) == []


def spoil_pack(ports: Ports) -> None:
    (name,) = ports.files.names(DEALER, "packs")
    ports.files.put(DEALER, "packs", name, b"{}")


def spoil_events(ports: Ports) -> None:
    with ports.storage.writing() as unit:
        (first, *_) = unit.events.all(DEALER)
        unit.events._in.events[0] = replace(first, text=first.text.replace("Note 1", "Note X"))  # type: ignore[attr-defined]


def lose_event(ports: Ports) -> None:
    with ports.storage.writing() as unit:
        del unit.events._in.events[0]  # type: ignore[attr-defined]


def spoil_manifest(ports: Ports) -> None:
    with ports.storage.writing() as unit:
        signed = unit.packs.manifest(DEALER)
        assert signed is not None
        unit.packs.add_manifest(replace(signed, counter=signed.counter + 1, payload=signed.payload + " "))


def lose_pack_record(ports: Ports) -> None:
    with ports.storage.writing() as unit:
        unit.packs._in.packs.clear()  # type: ignore[attr-defined]


AILMENTS: dict[str, Callable[[Ports], object]] = {
    "pack_file_damaged": spoil_pack,
    "picture_file_damaged": lambda ports: ports.files.remove(DEALER, "pictures", PICTURE_SHA256),
    "photo_file_missing": lambda ports: ports.files.remove(DEALER, "photos", PHOTO_SHA256),
    "event_damaged": spoil_events,
    "events_missing": lose_event,
    "manifest_damaged": spoil_manifest,
    "manifest_names_nothing": lose_pack_record,
    "stray_file": lambda ports: ports.files.put(DEALER, "quarantine", "ab" * 32, b"x"),
    "photo_kept_apart": lambda ports: send(ports, b"not a picture"),
    "photo_not_looked_into": lambda ports: send(replace(ports, photo_queue=NotLooked()), a_photo(70, 50)),
    "signing_key_missing": lambda ports: ports.signers._signers.clear(),  # type: ignore[attr-defined]
}


@pytest.mark.parametrize("code", AILMENTS)
def test_each_ailment_is_found_and_has_its_three_sentences(ports: Ports, code: str) -> None:
    AILMENTS[code](ports)
    found = {one.code: one for one in examine(ports)}
    assert code in found, f"{code} was not found among {list(found)}"
    assert "{" not in str(message_for(code, found[code].values))


def test_a_key_that_phones_do_not_know_is_grave(ports: Ports) -> None:
    ports.signers._signers.clear()  # type: ignore[attr-defined]
    ports.signers.make(DEALER)
    (found,) = examine(ports)
    assert (found.code, found.grave) == ("signing_key_changed", True)


def test_mending_looks_into_photos_that_wait(ports: Ports) -> None:
    AILMENTS["photo_not_looked_into"](ports)
    assert [one.code for one in examine(ports, mend=True)] == ["photo_not_looked_into"]
    assert examine(ports) == []


def test_grave_ailments_stand_first(ports: Ports) -> None:
    AILMENTS["stray_file"](ports)
    AILMENTS["pack_file_damaged"](ports)
    assert [one.grave for one in examine(ports)] == [True, False]


def test_refusals_elsewhere_do_not_stop_the_examination(ports: Ports) -> None:
    AILMENTS["signing_key_missing"](ports)
    AILMENTS["photo_file_missing"](ports)
    assert set(codes(ports)) == {"signing_key_missing", "photo_file_missing"}
    with pytest.raises(Refused):
        ports.signers.get(DEALER)
