"""Taking in what phones send: each event once, whatever is lost, doubled, late or malformed.

Nothing that was sent is bounced or dropped: what cannot count is kept in quarantine, and a person sees it.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any, Literal

from benchtrail.domain.canonical_json import HIGHEST_EXACT
from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.refused import Refused
from benchtrail.services.desk_writer import OF_THE_DESK, is_of_desk, make_known
from benchtrail.services.devices import is_uuid
from benchtrail.services.envelopes import Sealed, seal
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Device, JsonObject, QuarantinedEvent, StoredEvent

MOST_EVENTS = 100
CLOCK_AHEAD = timedelta(days=1)
KIND = re.compile(r"[A-Za-z][A-Za-z0-9_.-]{0,63}")
OTHER_DEVICE = "event_of_another_device"
Reason = tuple[str, JsonObject]


@dataclass(frozen=True)
class Result:
    """The server's word on one event: a receipt unless `reason` says why it cannot count."""

    id: str
    status: Literal["stored", "duplicate", "quarantined"]
    sha256: str
    received_at: datetime
    reason: str | None = None


def receive_events(
    ports: Ports, sender: Device, items: list[Any], waiting: int | None, by_hand: bool = False
) -> tuple[list[Result], int]:
    """Results in the order of `items`, and the number up to which every event of this phone is held.

    `by_hand`: the dealer puts them in from a file, so a phone that was shut out does not matter and none was in contact.
    Returns only after everything is committed and flushed to disk. Raises Refused("device_shut_out").
    """
    sealed = [(item, seal(item), _reason_against(sender, item, by_hand)) for item in items]
    now = ports.clock.now()
    with ports.storage.writing() as unit:
        unit.dealers.lock(sender.dealer)
        device = unit.devices.get(sender.dealer, sender.device)
        if device is None or (device.revoked_at and not by_hand):
            raise Refused("device_shut_out", dealer=sender.dealer)
        sound = [item for item, _, reason in sealed if reason is None or reason[0] == OTHER_DEVICE]
        intake = _Intake(ports, unit, device, sound, now)
        results = [intake.take(item, seal_of, reason) for item, seal_of, reason in sealed]
        intake.write()
        high = _high(unit, device)
        left = device.waiting if waiting is None else waiting
        seen = device.last_seen_at if by_hand else now
        unit.devices.put(replace(device, last_seen_at=seen, high=high, waiting=left))
    return results, high


def _reason_against(device: Device, item: Any, by_hand: bool) -> Reason | None:
    problems = event_problems(item)
    if any(problem["code"] == "event_no_canonical_form" for problem in problems):
        return "event_not_canonical", {}
    if problems:
        return "event_malformed", {"fields": ", ".join(problem["at"][:60] or "the whole" for problem in problems[:12])}
    if item["device"] != device.device:
        return OTHER_DEVICE, {"device": item["device"]}
    return ("event_of_the_desk", {}) if item["kind"] in OF_THE_DESK and not by_hand else None


class _Intake:
    """One batch: what is held already is read once, what is new is written at the end."""

    def __init__(self, ports: Ports, unit: Unit, device: Device, sound: list[JsonObject], now: datetime) -> None:
        self._ports, self._unit, self._device, self._now = ports, unit, device, now
        numbers = {int(item["seq"]) for item in sound if item["device"] == device.device}
        held = unit.events.held(device.dealer, {item["id"] for item in sound}, device.device,
                                numbers | {number - 1 for number in numbers})
        self._by_id = {event.id: event for event in held}
        self._by_number = {event.seq: event for event in held if event.device == device.device}
        self._new: list[str] = []
        self._contested: set[str] = set()
        self._joining: set[str] = set()

    def take(self, item: Any, sealed: Sealed, reason: Reason | None) -> Result:
        if reason is None or reason[0] == OTHER_DEVICE:
            known = self._by_id.get(item["id"])
            if known and known.sha256 == sealed.sha256:
                # Also from another phone: one that holds the very entry takes part in the job (as after it got a new id).
                self._joining.add(known.job)
                return Result(known.id, "duplicate", known.sha256, known.received_at)
            if known is None and reason and is_of_desk(self._ports, item) and self._brought_back(item):
                return self._keep(item, sealed)
        reason = reason or self._conflict(item, sealed)
        return self._quarantine(item, sealed, reason) if reason else self._store(item, sealed)

    def write(self) -> None:
        """Writes what is new, with positions in the order of arrival."""
        slug = self._device.dealer
        first = self._unit.dealers.take_positions(slug, len(self._new) + 1)
        new = [replace(self._by_id[id], position=first + n) for n, id in enumerate(self._new)]
        self._unit.events.add([self._marked(event) for event in new])
        for id in self._contested - set(self._new):
            self._unit.events.remark(slug, id, "event_contested")
        for job in sorted(self._joining):
            before = (event.position for event in new if event.job == job)
            self._unit.events.join(slug, job, self._device.device, min(before, default=first + len(new)))

    def _marked(self, event: StoredEvent) -> StoredEvent:
        return replace(event, remark="event_contested") if event.id in self._contested else event

    def _conflict(self, item: JsonObject, sealed: Sealed) -> Reason | None:
        """Two different events under one key: both are kept, both are shown, none is chosen silently."""
        same_id = self._by_id.get(item["id"])
        if same_id:
            self._contested.add(same_id.id)
            return "event_id_reused", {"id": same_id.id}
        same_number = self._by_number.get(int(item["seq"]))
        if same_number:
            self._contested.add(same_number.id)
            return "event_number_reused", {"seq": item["seq"], "other": same_number.id}
        return None

    def _brought_back(self, item: JsonObject) -> bool:
        """True if this server lost what its desk once wrote (it was restored since), and the number is still free."""
        if self._unit.events.held(self._device.dealer, [], item["device"], [int(item["seq"])]):
            return False
        make_known(self._ports, self._unit, self._device.dealer, item["device"])
        return True

    def _store(self, item: JsonObject, sealed: Sealed) -> Result:
        result = self._keep(item, sealed)
        self._by_number[int(item["seq"])] = self._by_id[result.id]
        return result

    def _keep(self, item: JsonObject, sealed: Sealed) -> Result:
        event = StoredEvent(
            dealer=self._device.dealer, position=0, id=item["id"], device=item["device"], seq=int(item["seq"]),
            job=item["job"], kind=item["kind"], sha256=sealed.sha256, text=sealed.text, received_at=self._now,
            remark=self._remark(item) if item["device"] == self._device.device else None,
        )
        self._by_id[event.id] = event
        self._new.append(event.id)
        self._joining.add(event.job)
        return Result(event.id, "stored", event.sha256, self._now)

    def _remark(self, item: JsonObject) -> str | None:
        """Odd but not wrong: a broken chain or a clock far ahead must not keep a note from counting."""
        before = self._by_number.get(int(item["seq"]) - 1)
        if before and before.sha256 != item["prev"]:
            return "event_chain_broken"
        limit_ms = int((self._now + CLOCK_AHEAD).timestamp() * 1000)
        return "event_clock_ahead" if int(item["hlc"][:15]) > limit_ms else None

    def _quarantine(self, item: Any, sealed: Sealed, reason: Reason) -> Result:
        kept = _as_it_came(self._device, item, sealed, reason, self._now)
        self._unit.events.quarantine(kept)
        if kept.job:
            self._joining.add(kept.job)
        claimed = item.get("id") if isinstance(item, dict) else None
        return Result(claimed if isinstance(claimed, str) else "", "quarantined", sealed.sha256, self._now, reason[0])


def _as_it_came(device: Device, item: Any, sealed: Sealed, reason: Reason, now: datetime) -> QuarantinedEvent:
    facts: JsonObject = item if isinstance(item, dict) else {}
    id, job, seq, kind = (facts.get(name) for name in ("id", "job", "seq", "kind"))
    own_number = facts.get("device") == device.device and type(seq) is int and 1 <= seq <= HIGHEST_EXACT
    return QuarantinedEvent(
        dealer=device.dealer, sha256=sealed.sha256, device=device.device,
        claimed_id=id if is_uuid(id) else None,
        claimed_seq=seq if own_number else None,
        job=job if is_uuid(job) else None,
        kind=kind if isinstance(kind, str) and KIND.fullmatch(kind) else None,
        reason=reason[0], values=reason[1], text=sealed.text, received_at=now,
    )


def _high(unit: Unit, device: Device) -> int:
    return _end_of_run(device.high, unit.events.held_numbers(device.dealer, device.device, device.high))


def _end_of_run(high: int, following: Iterable[int]) -> int:
    """The number up to which there is no gap."""
    for number in following:
        if number != high + 1:
            break
        high = number
    return high
