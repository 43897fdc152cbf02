"""What must hold at every moment, not only at the end: a receipt is true when it is given, and nothing on a phone is forgotten by it."""

import json
from typing import Any

from benchtrail.services.ports import Ports

EVERYTHING = 10**9


class Broken(AssertionError):
    """What must hold did not."""


def must(holds: bool, otherwise: str) -> None:
    """Raises Broken with the reason."""
    if not holds:
        raise Broken(otherwise)


def receipts_are_true(ports: Ports, dealer: str, answer: dict[str, Any]) -> None:
    """Whatever an answer to a push says is stored must lie in the tables at this very moment."""
    results = json.loads(answer["body"])["results"]
    with ports.storage.reading() as unit:
        held = {event.id: event.sha256 for event in unit.events.held(dealer, {one["id"] for one in results}, "", [])}
        aside = {one.sha256 for one in unit.events.quarantined(dealer)} if any(one["reason"] for one in results) else set()
    for one in results:
        there = held.get(one["id"]) == one["sha256"] if one["status"] != "quarantined" else one["sha256"] in aside
        must(there, f"the server gave a receipt for {one} and does not have it")


def photo_is_there(ports: Ports, dealer: str, receipt: bytes | str) -> None:
    """Whatever a photo's receipt names must lie whole in its place at this very moment."""
    said = json.loads(receipt)
    size = ports.files.size(dealer, "quarantine", said["sha256"])
    must(size == said["bytes"], f"the server gave a receipt for the photo {said['sha256'][:12]} and has {size} bytes of it")


def phone_forgets_nothing(phone: str, saved: dict[str, dict[str, Any]], safe: set[str], dump: dict[str, Any]) -> None:
    """Whatever a person was told is saved is held, with its bytes, and either waits to be sent or has a receipt.

    `safe`: hashes of pictures that were called safe before they were recorded.
    """
    held = {row["id"]: row["sha256"] for row in dump["events"]}
    known = {row["id"] for row in dump["outbox"]} | {row["id"] for row in dump["receipts"]}
    photos = dict(dump["photos"])
    for id, said in saved.items():
        must(id in held and held[id] == said.get("sha256"), f"{phone} does not hold {said}")
        must(id in known, f"{phone} neither waits to send {said} nor has a receipt for it")
        if "photo" in said:
            must(photos.get(said["photo"]) == said["photo"], f"{phone} does not hold the bytes of {said}")
            must(said["photo"] in known, f"{phone} neither waits to send the photo of {said} nor has a receipt for it")
    in_hand = {row["sha256"] for row in dump["inHand"]}
    for sha256 in safe:
        must(sha256 in photos or sha256 in in_hand, f"{phone} called the picture {sha256[:12]} safe and no longer has it")
    for row in dump["inHand"]:
        must(row["id"] in dump["originals"], f"{phone} lost the picture in hand {row['id']}")


def cursor_has_its_events(ports: Ports, dealer: str, phone: str, dump: dict[str, Any]) -> None:
    """No event that the cursor has passed is missing: it would never be asked for again."""
    cursor = (dump.get("sync") or {}).get("cursor")
    with ports.storage.reading() as unit:
        known = unit.dealers.get(dealer)
        if not cursor or not known or cursor.split(".")[0] != known.epoch:
            return
        place = tuple(int(part) for part in cursor.split(".")[1:])
        seen = unit.events.after(dealer, dump["head"]["device"], (0, 0), EVERYTHING)
    held = {row["id"] for row in dump["events"]}
    passed = [event.id for at, event in seen if tuple(at) <= place and event.id not in held]
    must(not passed, f"{phone}'s cursor has passed {len(passed)} events that it does not hold")
