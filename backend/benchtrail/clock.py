"""Time, asked for in one place so that tests can set it. Knows nothing of who asks."""

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Anything that knows the time."""

    def now(self) -> datetime:
        """The present moment, with its zone (UTC)."""


class SystemClock:
    """The clock of this computer."""

    def now(self) -> datetime:
        return datetime.now(UTC)


def as_text(moment: datetime) -> str:
    """ISO 8601 in UTC, to the millisecond, with Z: `2026-11-25T07:05:00.000Z`."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
