"""What must hold at the end of a history: nothing saved is lost, nothing is doubled, all hold the same, every receipt is true.

Written from the contract alone; shares no code with what it judges but the server's tables.
"""

import hashlib
import json
from collections import Counter
from dataclasses import dataclass
from typing import Any

from tests.faults.history import Phone, World
from tests.faults.standing import cursor_has_its_events, must, phone_forgets_nothing
from tests.making import sha256_of

from benchtrail.services.ports import Ports
from benchtrail.services.records import QuarantinedEvent, StoredEvent


@dataclass
class Tally:
    """What one history came to."""

    saved: int
    stored: int
    photos: int
    aside: int


def count(world: World) -> Tally:
    """Raises Broken with the reason."""
    with world.server.inside() as ports:
        with ports.storage.reading() as unit:
            stored = {event.id: event for event in unit.events.all(world.dealer)}
            aside = unit.events.quarantined(world.dealer)
            photos = {photo.sha256: photo.bytes for photo in unit.photos.all(world.dealer)}
        _not_doubled(stored, aside, world.mode)
        dumps = [(phone, world.host("dump", page=phone.pages[-1].name)["value"]) for phone in world.phones]
        for phone, dump in dumps:
            _nothing_lost(phone, dump, stored, aside)
            _receipts_are_true(phone, dump, stored, aside, photos)
            _photos_arrived(ports, world.dealer, phone, photos)
            _all_said(phone, dump, world.mode)
            _same_as_server(phone, dump, stored, aside, world.mode)
            phone_forgets_nothing(phone.name, phone.saved, phone.safe, dump)
            cursor_has_its_events(ports, world.dealer, phone.name, dump)
    saved = sum(len(phone.saved) for phone in world.phones)
    return Tally(saved, len(stored), len(photos), len(aside))


def _not_doubled(stored: dict[str, StoredEvent], aside: list[QuarantinedEvent], mode: str) -> None:
    numbers = Counter((event.device, event.seq) for event in stored.values())
    must(max(numbers.values(), default=1) == 1, f"a number stands twice: {numbers.most_common(1)}")
    texts = Counter(json.loads(event.text)["body"].get("text") for event in stored.values())
    apart = {event.sha256: event for event in aside if event.claimed_id not in stored}  # one may be aside from two devices
    texts.update(json.loads(event.text)["body"].get("text") for event in apart.values())
    twice = [text for text, times in texts.items() if times > 1 and text]
    must(not twice, f"doubled: {twice}")
    if mode != "phone restored":
        must(not aside, f"set aside without cause: {[(one.reason, one.claimed_id) for one in aside]}")
    for event in stored.values():
        must(sha256_of(json.loads(event.text)) == event.sha256, f"{event.id} has another hash than its text")


def _nothing_lost(phone: Phone, dump: dict[str, Any], stored: dict[str, StoredEvent], aside: list[QuarantinedEvent]) -> None:
    held = {row["id"]: row["sha256"] for row in dump["events"]}
    kept_aside = {(one.claimed_id, one.sha256) for one in aside}
    for id, said in phone.saved.items():
        must(id in held and held[id] == said.get("sha256"), f"{phone.name} no longer holds {said}")
        there = stored.get(id)
        safe = (there is not None and there.sha256 == said["sha256"]) or (id, said["sha256"]) in kept_aside
        must(safe, f"{phone.name} was told that {said} is saved, and the server has it neither counted nor aside")


def _receipts_are_true(phone: Phone, dump: dict[str, Any], stored: dict[str, StoredEvent], aside: list[QuarantinedEvent],
                       photos: dict[str, int]) -> None:
    for row in dump["receipts"]:
        if row.get("photo"):
            must(photos.get(row["id"]) == row["photo"]["bytes"], f"{phone.name} has a receipt for a photo that is not there")
        elif row["status"] == "quarantined":
            must(any(one.sha256 == row["sha256"] for one in aside), f"{phone.name}: {row} is not aside")
        else:
            there = stored.get(row["id"])
            must(there is not None and there.sha256 == row["sha256"], f"{phone.name} has a receipt that is not true: {row}")


def _photos_arrived(ports: Ports, dealer: str, phone: Phone, photos: dict[str, int]) -> None:
    for said in phone.saved.values():
        sha256 = said.get("photo")
        if sha256:
            must(photos.get(sha256) == said["bytes"], f"the photo {sha256[:12]} of {phone.name} is not on the server")
            content = ports.files.get(dealer, "quarantine", sha256)
            must(content is not None and hashlib.sha256(content).hexdigest() == sha256, f"the file of {sha256[:12]} is not whole")


def _all_said(phone: Phone, dump: dict[str, Any], mode: str) -> None:
    receipts = {row["id"] for row in dump["receipts"]}
    for id, said in phone.saved.items():
        must(id in receipts, f"{phone.name} has no receipt for {said}")
        must("photo" not in said or said["photo"] in receipts, f"{phone.name} has no receipt for the photo of {said}")
    must(not dump["outbox"] and not dump["inHand"], f"{phone.name} still waits with {dump['outbox'] + dump['inHand']}")
    troubles = [row for row in dump["attention"] if mode != "phone restored"]
    must(not troubles, f"{phone.name} needs attention without cause: {troubles}")


def _same_as_server(phone: Phone, dump: dict[str, Any], stored: dict[str, StoredEvent], aside: list[QuarantinedEvent], mode: str) -> None:
    for job in {row["job"] for row in dump["events"]}:
        here = {row["id"]: row["sha256"] for row in dump["events"] if row["job"] == job}
        there = {event.id: event.sha256 for event in stored.values() if event.job == job}
        missing = {id for id, sha256 in there.items() if id not in here}
        must(not missing, f"{phone.name} lacks {len(missing)} of {len(there)} events of {job}")
        more = here.keys() - there.keys() - {one.claimed_id for one in aside}
        must(not more, f"{phone.name} has {len(more)} events of {job} that the server has not")
        unlike = [id for id in here.keys() & there.keys() if here[id] != there[id]]
        must(not unlike or mode == "phone restored", f"{phone.name} and the server differ on {unlike}")
