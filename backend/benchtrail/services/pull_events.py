"""What a phone may read back: events of the jobs it takes part in, and digests to compare with. Knows cursors."""

import json
import re
from dataclasses import dataclass

from benchtrail.domain.event_hash import job_digest
from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports, PullPlace
from benchtrail.services.records import Dealer, Device, JsonObject, StoredEvent

PAGE = 200
PAGE_CHARACTERS = 256 * 1024
CURSOR = re.compile(r"([0-9a-f]{16})\.(\d{1,18})\.(\d{1,18})")
START: PullPlace = (0, 0)


@dataclass(frozen=True)
class Pulled:
    """A page of events. `more` says that asking again at once is worth it."""

    events: list[JsonObject]
    cursor: str
    epoch: str
    more: bool


def pull_events(ports: Ports, device: Device, dealer: Dealer, after: str | None) -> Pulled:
    """Events since the cursor, in the order in which they became visible to this phone.

    Raises Refused("cursor_out_of_date") when the server was restored since, or the cursor is not one of its own.
    """
    place = _place(after, dealer.epoch)
    with ports.storage.reading() as unit:
        found = unit.events.after(dealer.slug, device.device, place, PAGE + 1)
    page: list[tuple[PullPlace, StoredEvent]] = []
    size = 0
    for seen, event in found[:PAGE]:
        size += len(event.text)
        if page and size > PAGE_CHARACTERS:
            break
        page.append((seen, event))
    last = page[-1][0] if page else place
    events = [json.loads(event.text) for _, event in page]
    return Pulled(events, f"{dealer.epoch}.{last[0]}.{last[1]}", dealer.epoch, len(page) < len(found))


def digest_of(ports: Ports, device: Device, job: str) -> tuple[int, str]:
    """Count and SHA-256 over the sorted ids of the job's events, joined by line feeds.

    Counts what lies in quarantine if this phone sent it: the phone holds it too. Raises Refused("no_such_job").
    """
    with ports.storage.reading() as unit:
        joined = unit.events.joined(device.dealer, job, device.device)
        ids = unit.events.job_ids(device.dealer, job, device.device) if joined else []
    if not ids:
        raise Refused("no_such_job")
    digest = job_digest(ids)
    return digest["count"], digest["sha256"]


def _place(after: str | None, epoch: str) -> PullPlace:
    if after is None:
        return START
    match = CURSOR.fullmatch(after)
    if match is None or match[1] != epoch:
        raise Refused("cursor_out_of_date")
    return int(match[2]), int(match[3])
