"""Entries that the desk itself writes into the journal of a job, under a device of its own that no phone can be.

Knows the envelope, the desk's numbers and clock; nothing of what the kinds mean. A server that was restored is another
writer, so that numbers it gave out before are never given out again. Every entry carries a proof made with the server's
secret: a phone that holds one which the server lost may bring it back.
"""

import json
import uuid
from hmac import compare_digest

from benchtrail.clock import as_text
from benchtrail.domain.canonical_json import canonical_json
from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.hlc import hlc_stamp, merge_hlc, next_hlc
from benchtrail.services.envelopes import seal
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Device, JsonObject, StoredEvent
from benchtrail.services.tokens import keyed_hash, new_token

DESK = uuid.UUID("6d0f3c1e-5a51-5c0a-9f7e-2b1f6f0a9d11")
OF_THE_DESK = frozenset({"ReplyWritten"})
"""Kinds that only the desk writes; from a phone they cannot count, unless it brings back what the desk wrote."""


def write_as_desk(ports: Ports, unit: Unit, dealer: str, event: JsonObject, remark: str | None = None) -> StoredEvent:
    """The next entry of the desk: `event` gives job, kind, body, pack, and may give wall and hlc (as of an entry taken up).

    Within a writing unit, under the dealer's lock.
    """
    device = _desk_device(ports, unit, dealer)
    numbers = unit.events.held_numbers(dealer, device, 0)
    last = unit.events.held(dealer, [], device, numbers[-1:])
    now = ports.clock.now()
    clock = event["hlc"][:-8] + device[:8] if "hlc" in event else _clock(unit, dealer, event["job"], device, last, now.timestamp() * 1000)
    made = {"id": str(uuid.uuid4()), "device": device, "seq": numbers[-1] + 1 if numbers else 1, "wall": as_text(now), "schema": 1,
            **event, "hlc": clock, "prev": last[0].sha256 if last else None}
    return keep_entry(ports, unit, dealer, made | {"body": event["body"] | {"proof": _proof(ports, made)}}, remark)


def keep_entry(ports: Ports, unit: Unit, dealer: str, event: JsonObject, remark: str | None = None) -> StoredEvent:
    """Keeps a finished entry as it is, and lets its writer take part in the job."""
    position = unit.dealers.take_positions(dealer, 1)
    sealed = seal(event)
    kept = StoredEvent(
        dealer=dealer, position=position, id=event["id"], device=event["device"], seq=int(event["seq"]), job=event["job"],
        kind=event["kind"], sha256=sealed.sha256, text=sealed.text, received_at=ports.clock.now(), remark=remark)
    unit.events.add([kept])
    unit.events.join(dealer, event["job"], event["device"], position)
    return kept


def is_desk_writer(device: str) -> bool:
    """True for a writer of the desk: its id is made from a name (UUID version 5, RFC 9562), a phone's is random."""
    return uuid.UUID(device).version == 5


def is_of_desk(ports: Ports, event: JsonObject) -> bool:
    """True if this server, or the one it was restored from, wrote the entry as it stands."""
    proof = event["body"].get("proof") if not event_problems(event) else None
    return isinstance(proof, str) and compare_digest(proof.encode(), _proof(ports, event).encode())


def _proof(ports: Ports, event: JsonObject) -> str:
    body = {name: value for name, value in event["body"].items() if name != "proof"}
    return keyed_hash(ports.secret, "entry of the desk", canonical_json(event | {"body": body}))


def _desk_device(ports: Ports, unit: Unit, dealer: str) -> str:
    """The desk's own writer on this installation, made known at its first entry; nothing can sign in as it."""
    known = unit.dealers.get(dealer)
    device = str(uuid.uuid5(DESK, f"{dealer} {known.epoch if known else ''}"))
    make_known(ports, unit, dealer, device)
    return device


def make_known(ports: Ports, unit: Unit, dealer: str, device: str) -> None:
    """The writer under this id is one of the desk's own, if nothing is known of it yet."""
    if unit.devices.get(dealer, device) is None:
        unusable = keyed_hash(ports.secret, "device credential", new_token())
        unit.devices.put(Device(dealer, device, "Desk", unusable, ports.clock.now(), revoked_at=ports.clock.now()))


def _clock(unit: Unit, dealer: str, job: str, device: str, last: list[StoredEvent], now_ms: float) -> str:
    """Later than the desk's last entry and than every entry of the job, but for clocks that are more than a day ahead."""
    known = json.loads(last[0].text)["hlc"] if last else None
    ours = known if hlc_stamp(known) else next_hlc(None, now_ms, device)
    for event in unit.events.of_job(dealer, job):
        ours = merge_hlc(ours, json.loads(event.text)["hlc"], now_ms)
    return next_hlc(ours, now_ms, device)
