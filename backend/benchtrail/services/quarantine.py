"""Entries that were kept apart: a person takes one up, or dismisses it with a reason; nothing is dropped either way.

Taken up, an entry stands in its job's journal as it came, when its id and number are free; else as an entry of the desk's
own that carries what it said, and names it.
"""

import json
import uuid
from dataclasses import replace
from typing import Literal

from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.envelopes import seal
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Device, JsonObject, QuarantinedEvent, StoredEvent
from benchtrail.services.tokens import keyed_hash, new_token

LONGEST_REASON = 500
DESK = uuid.UUID("6d0f3c1e-5a51-5c0a-9f7e-2b1f6f0a9d11")


def quarantined_of(ports: Ports, dealer: str) -> list[tuple[QuarantinedEvent, str]]:
    """Every entry kept apart, with the words for its phone; those that nobody has settled first."""
    with ports.storage.reading() as unit:
        labels = {device.device: device.label for device in unit.devices.all(dealer)}
        items = unit.events.quarantined(dealer)
    ordered = sorted(items, key=lambda item: item.settled is not None)
    return [(item, labels.get(item.device, "a phone that is not known")) for item in ordered]


def settle(
    ports: Ports, dealer: str, device: str, sha256: str, how: Literal["taken_up", "dismissed"], reason: str, by: str
) -> QuarantinedEvent:
    """Records what a person decided about an entry that was kept apart.

    Raises Refused: no_such_entry, entry_settled, entry_reason_missing, entry_not_readable.
    """
    words = " ".join(reason.split())[:LONGEST_REASON]
    if how == "dismissed" and not words:
        raise Refused("entry_reason_missing")
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        item = next((one for one in unit.events.quarantined(dealer) if (one.device, one.sha256) == (device, sha256)), None)
        if item is None:
            raise Refused("no_such_entry")
        if item.settled:
            raise Refused("entry_settled", by=item.settled_by, how=item.settled.replace("_", " "))
        if how == "taken_up":
            _take_up(ports, unit, item)
        settled = replace(item, settled=how, settled_by=by, settled_at=ports.clock.now(), settled_reason=words)
        unit.events.settle(settled)
        act = "entry_taken_up" if how == "taken_up" else "entry_dismissed"
        record_act(unit, ports, dealer, by, act, item.job or "", sha256=sha256, reason=words)
    return settled


def _take_up(ports: Ports, unit: Unit, item: QuarantinedEvent) -> None:
    event = json.loads(item.text)
    if item.erased_at or event_problems(event):
        raise Refused("entry_not_readable")
    taken = unit.events.held(item.dealer, [event["id"]], event["device"], [event["seq"]])
    known = unit.devices.get(item.dealer, event["device"])
    _store(ports, unit, item.dealer, event if known and not taken else _of_the_desk(ports, unit, item, event))


def _of_the_desk(ports: Ports, unit: Unit, item: QuarantinedEvent, event: JsonObject) -> JsonObject:
    """The same kind, body, time and job, as the next entry of the desk's own writer."""
    device = str(uuid.uuid5(DESK, item.dealer))
    if unit.devices.get(item.dealer, device) is None:
        unusable = keyed_hash(ports.secret, "device credential", new_token())
        unit.devices.put(Device(item.dealer, device, "Desk", unusable, ports.clock.now(), revoked_at=ports.clock.now()))
    numbers = unit.events.held_numbers(item.dealer, device, 0)
    last = unit.events.held(item.dealer, [], device, numbers[-1:])
    body = event["body"] | {"taken_up": {"id": event["id"], "device": event["device"], "seq": event["seq"], "sha256": item.sha256}}
    return event | {
        "id": str(uuid.uuid4()), "device": device, "seq": len(numbers) + 1, "hlc": event["hlc"][:-8] + device[:8],
        "prev": last[0].sha256 if last else None, "body": body}


def _store(ports: Ports, unit: Unit, dealer: str, event: JsonObject) -> None:
    position = unit.dealers.take_positions(dealer, 1)
    sealed = seal(event)
    unit.events.add([StoredEvent(
        dealer=dealer, position=position, id=event["id"], device=event["device"], seq=int(event["seq"]), job=event["job"],
        kind=event["kind"], sha256=sealed.sha256, text=sealed.text, received_at=ports.clock.now(), remark="event_taken_up")])
    unit.events.join(dealer, event["job"], event["device"], position)
