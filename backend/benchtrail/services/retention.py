"""How long the contents of closed jobs are kept, as an owner sets it at the desk: what that would erase is told before it is done.

Knows when a job's time is over; erasing itself is services/erasure.py.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypedDict

from benchtrail.domain.refused import Refused
from benchtrail.services.erasure import ClosedJob, apply_retention, check_days, closed_jobs, set_retention
from benchtrail.services.ports import Ports


class JobToErase(TypedDict):
    """A closed job, the server's time of the last news of it, and when its contents go."""

    job: str
    title: str
    last_at: datetime
    erased_at: datetime


@dataclass(frozen=True)
class Retention:
    """`days` None: for good. `now`: what goes at once under that; `next`: the first that goes later; `later`: how many in all."""

    days: int | None
    now: list[JobToErase]
    next: JobToErase | None
    later: int


def retention_of(ports: Ports, dealer: str) -> Retention:
    """What is set, and what it will erase when."""
    with ports.storage.reading() as unit:
        found = unit.dealers.get(dealer)
    return retention_if(ports, dealer, found.retention_days if found else None)


def retention_if(ports: Ports, dealer: str, days: int | None) -> Retention:
    """What so many days would erase, and when; nothing is changed. Raises Refused("retention_range")."""
    check_days(days)
    if days is None:
        return Retention(None, [], None, 0)
    rows = sorted((_row(one, days) for one in closed_jobs(ports, dealer)), key=lambda row: row["erased_at"])
    now = [row for row in rows if row["erased_at"] < ports.clock.now()]
    later = rows[len(now):]
    return Retention(days, now, later[0] if later else None, len(later))


def change_retention(ports: Ports, dealer: str, days: int | None, jobs_now: int, by: str) -> Retention:
    """Sets it and erases what is over. `jobs_now`: how many jobs the person was told that this erases at once.

    Raises Refused: retention_range, no_such_dealer, retention_other (it would erase another number of jobs than was told).
    """
    found = retention_if(ports, dealer, days)
    if len(found.now) != jobs_now:
        raise Refused("retention_other", told=jobs_now, found=len(found.now))
    set_retention(ports, dealer, days, by)
    apply_retention(ports)
    return retention_of(ports, dealer)


def _row(one: ClosedJob, days: int) -> JobToErase:
    return {"job": one.job, "title": one.title, "last_at": one.last_at, "erased_at": one.last_at + timedelta(days=days)}
