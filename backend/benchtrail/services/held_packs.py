"""Which packs each phone keeps, as it said at its last sync. Knows what was said; nothing of what it is used for."""

from collections import Counter
from dataclasses import dataclass

from benchtrail.services.desk_records import HeldPacks
from benchtrail.services.desk_writer import is_desk_writer
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Device


@dataclass(frozen=True)
class Holders:
    """Of one procedure or map: how many phones keep a revision of it, the newest that each keeps by revision, and how many
    phones that are let in have not said yet what they keep."""

    phones: int
    revisions: list[tuple[int, int]]
    untold: int


def tell_held(ports: Ports, device: Device, packs: list[str]) -> int:
    """Keeps what the phone says it keeps, in place of what it said before; how many of these its dealer has published."""
    with ports.storage.writing() as unit:
        known = {pack.sha256 for pack in unit.packs.all(device.dealer)} & set(packs)
        unit.held_packs.put(HeldPacks(device.dealer, device.device, sorted(known), ports.clock.now()))
    return len(known)


def holders_of(unit: Unit, dealer: str, revisions: dict[str, int]) -> Holders:
    """Who keeps one of these packs, given as hash and revision; phones that are shut out are not counted."""
    let_in = {one.device for one in unit.devices.all(dealer) if one.revoked_at is None and not is_desk_writer(one.device)}
    told = {one.device: one.packs for one in unit.held_packs.all(dealer) if one.device in let_in}
    newest = [max(revisions[sha256] for sha256 in packs if sha256 in revisions)
              for packs in told.values() if not revisions.keys().isdisjoint(packs)]
    return Holders(len(newest), sorted(Counter(newest).items(), reverse=True), len(let_in - told.keys()))
