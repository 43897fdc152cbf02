"""Slows down guessing. Knows limits and keys; nothing of what is guessed."""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.tokens import keyed_hash

LONGEST_WINDOW = timedelta(hours=1)


@dataclass(frozen=True)
class Limit:
    """At most `most` failed attempts within `window` for each `subject` of a `what`."""

    what: str
    subject: str
    most: int
    window: timedelta


@dataclass(frozen=True)
class Attempt:
    """An attempt that has been counted; taken back when it succeeds."""

    keys: tuple[str, ...]
    at: datetime


def count_attempt(ports: Ports, limits: list[Limit]) -> Attempt:
    """Counts an attempt before it is tried, so that many at the same moment cannot all slip through.

    Raises Refused("too_many_attempts", wait_s) when a limit is reached.
    """
    now = ports.clock.now()
    keys = tuple(keyed_hash(ports.secret, f"attempt {limit.what}", limit.subject) for limit in limits)
    with ports.storage.writing() as unit:
        unit.attempts.forget_before(now - LONGEST_WINDOW)
        for key, limit in zip(keys, limits, strict=True):
            found = unit.attempts.since(key, now - limit.window)
            if len(found) >= limit.most:
                wait = (found[-limit.most] + limit.window - now).total_seconds()
                raise Refused("too_many_attempts", wait_s=max(1, math.ceil(wait)))
        for key in keys:
            unit.attempts.add(key, now)
    return Attempt(keys, now)


def take_back(ports: Ports, attempt: Attempt) -> None:
    """The attempt succeeded: it counts no longer. Earlier failures do, or knowing one password would open the rest."""
    with ports.storage.writing() as unit:
        for key in attempt.keys:
            unit.attempts.forget(key, attempt.at)
