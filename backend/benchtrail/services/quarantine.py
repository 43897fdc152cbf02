"""Entries that were kept apart: a person takes one up, or dismisses it with a reason; nothing is dropped either way.

Taken up, an entry stands in its job's journal as it came, when its id and number are free; else as an entry of the desk's
own that carries what it said, and names it.
"""

import json
from dataclasses import replace
from typing import Literal

from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_writer import keep_entry, write_as_desk
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import QuarantinedEvent

LONGEST_REASON = 500
REMARK = "event_taken_up"


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
    if known and not taken:
        keep_entry(ports, unit, item.dealer, event, REMARK)
        return
    said = {name: event[name] for name in ("job", "kind", "body", "pack", "wall", "hlc", "schema")}
    said["body"] = event["body"] | {"taken_up": {"id": event["id"], "device": event["device"], "seq": event["seq"], "sha256": item.sha256}}
    write_as_desk(ports, unit, item.dealer, said, REMARK)
