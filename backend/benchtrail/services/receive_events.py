"""Taking in what phones send: each event once, whatever is lost, doubled, late or malformed.

Nothing that was sent is bounced or dropped: what cannot count is kept in quarantine, and a person sees it.
"""

import re
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any, Literal

from benchtrail.domain.canonical_json import HIGHEST_EXACT
from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.refused import Refused
from benchtrail.services.devices import is_uuid
from benchtrail.services.envelopes import Sealed, seal
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Device, JsonObject, QuarantinedEvent, StoredEvent

MOST_EVENTS = 100
CLOCK_AHEAD = timedelta(days=1)
KIND = re.compile(r"[A-Za-z][A-Za-z0-9_.-]{0,63}")


@dataclass(frozen=True)
class Result:
    """The server's word on one event: a receipt unless `reason` says why it cannot count."""

    id: str
    status: Literal["stored", "duplicate", "quarantined"]
    sha256: str
    received_at: datetime
    reason: str | None = None


def receive_events(ports: Ports, sender: Device, items: list[Any], waiting: int | None) -> tuple[list[Result], int]:
    """Results in the order of `items`, and the number up to which every event of this phone is held.

    Returns only after everything is committed and flushed to disk. Raises Refused("device_shut_out").
    """
    now = ports.clock.now()
    with ports.storage.writing() as unit:
        unit.dealers.lock(sender.dealer)
        device = unit.devices.get(sender.dealer, sender.device)
        if device is None or device.revoked_at:
            raise Refused("device_shut_out", dealer=sender.dealer)
        results = [_receive(unit, device, item, now) for item in items]
        high = _high(unit, device)
        left = device.waiting if waiting is None else waiting
        unit.devices.put(replace(device, last_seen_at=now, high=high, waiting=left))
    return results, high


def _receive(unit: Unit, device: Device, item: Any, now: datetime) -> Result:
    sealed = seal(item)
    reason = _reason_against(device, item) or _conflict(unit, device.dealer, item, sealed)
    if reason:
        return _quarantine(unit, device, item, sealed, reason, now)
    known = unit.events.by_id(device.dealer, item["id"])
    if known:
        return Result(known.id, "duplicate", known.sha256, known.received_at)
    return _store(unit, device, item, sealed, now)


def _reason_against(device: Device, item: Any) -> tuple[str, JsonObject] | None:
    problems = event_problems(item)
    if any(problem["code"] == "event_no_canonical_form" for problem in problems):
        return "event_not_canonical", {}
    if problems:
        return "event_malformed", {"fields": ", ".join(problem["at"][:60] or "the whole" for problem in problems[:12])}
    if item["device"] != device.device:
        return "event_of_another_device", {"device": item["device"]}
    return None


def _conflict(unit: Unit, dealer: str, item: JsonObject, sealed: Sealed) -> tuple[str, JsonObject] | None:
    """Two different events under one key: both are kept, both are shown, none is chosen silently."""
    same_id = unit.events.by_id(dealer, item["id"])
    if same_id:
        if same_id.sha256 == sealed.sha256:
            return None
        unit.events.remark(dealer, same_id.id, "event_contested")
        return "event_id_reused", {"id": same_id.id}
    same_number = unit.events.by_seq(dealer, item["device"], item["seq"])
    if same_number:
        unit.events.remark(dealer, same_number.id, "event_contested")
        return "event_number_reused", {"seq": item["seq"], "other": same_number.id}
    return None


def _store(unit: Unit, device: Device, item: JsonObject, sealed: Sealed, now: datetime) -> Result:
    event = StoredEvent(
        dealer=device.dealer, position=unit.dealers.next_position(device.dealer), id=item["id"], device=item["device"],
        seq=int(item["seq"]), job=item["job"], kind=item["kind"], sha256=sealed.sha256, text=sealed.text,
        received_at=now, remark=_remark(unit, device.dealer, item, now),
    )
    unit.events.add(event)
    unit.events.join(device.dealer, event.job, device.device, event.position)
    return Result(event.id, "stored", event.sha256, now)


def _remark(unit: Unit, dealer: str, item: JsonObject, now: datetime) -> str | None:
    """Odd but not wrong: a broken chain or a clock far ahead must not keep a note from counting."""
    before = unit.events.by_seq(dealer, item["device"], item["seq"] - 1)
    if before and before.sha256 != item["prev"]:
        return "event_chain_broken"
    limit_ms = int((now + CLOCK_AHEAD).timestamp() * 1000)
    return "event_clock_ahead" if int(item["hlc"][:15]) > limit_ms else None


def _quarantine(
    unit: Unit, device: Device, item: Any, sealed: Sealed, reason: tuple[str, JsonObject], now: datetime
) -> Result:
    facts: JsonObject = item if isinstance(item, dict) else {}
    job, seq, kind = facts.get("job"), facts.get("seq"), facts.get("kind")
    own_number = facts.get("device") == device.device and type(seq) is int and 1 <= seq <= HIGHEST_EXACT
    kept = QuarantinedEvent(
        dealer=device.dealer, sha256=sealed.sha256, device=device.device,
        claimed_id=facts.get("id") if is_uuid(facts.get("id")) else None,
        claimed_seq=seq if own_number else None,
        job=job if is_uuid(job) else None,
        kind=kind if isinstance(kind, str) and KIND.fullmatch(kind) else None,
        reason=reason[0], values=reason[1], text=sealed.text, received_at=now,
    )
    unit.events.quarantine(kept)
    if kept.job and not unit.events.joined(device.dealer, kept.job, device.device):
        unit.events.join(device.dealer, kept.job, device.device, unit.dealers.next_position(device.dealer))
    claimed = facts.get("id")
    return Result(claimed if isinstance(claimed, str) else "", "quarantined", sealed.sha256, now, reason[0])


def _high(unit: Unit, device: Device) -> int:
    high = device.high
    for number in unit.events.held_numbers(device.dealer, device.device, high):
        if number != high + 1:
            break
        high = number
    return high
