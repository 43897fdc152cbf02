"""How long the steps of a job really took, from its journal.

Knows events and their wall clocks; knows nothing of estimates (`labour_time`). A time that the journal cannot tell
is left out, never guessed.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, TypedDict

from benchtrail.domain.canonical_json import utf16_order
from benchtrail.domain.journal import Event, counting_events

# two steps ticked within this time were ticked together, afterwards: neither tells how long it took
TOGETHER_MS = 5_000
# a longer one was left lying
MOST_MS = 12 * 3_600_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class StepTime(TypedDict):
    """What one step took: `how` is `timer`, or `ticks` for the time from the tick before to its own, pauses left out."""

    step: str
    minutes: float
    how: str


@dataclass
class _Watch:
    """One phone's time since its last tick: `from_ms` None while paused, `active_ms` None while it cannot be known."""

    from_ms: int | None = None
    active_ms: int | None = None
    last: str | None = None

    def until(self, now_ms: int | None, away_ms: int) -> int | None:
        """Active time by `now_ms`; None when not known, or when the clock went back."""
        if now_ms is None or self.active_ms is None or (self.from_ms is not None and now_ms < self.from_ms):
            return None
        return self.active_ms + (0 if self.from_ms is None else max(0, now_ms - self.from_ms - away_ms))


def step_times(events: Iterable[Any]) -> list[StepTime]:
    """Minutes of active work of each done step that the journal can tell, by step id.

    Rule: a step's timer, if it ran; else from the start or the last step done or skipped on the same phone to its own
    tick, all its ticks added up; pauses are left out, and what the phone says it was out of sight (`away_s`: hidden or
    asleep). Left out: steps ticked within 5 s of each other (both), steps whose beginning this phone does not know,
    clocks that went back, and more than 12 h. Any order of arrival gives the same.
    Source: our own rule. Stops being true for work done with the phone put away; `labour_time.step_time` sets aside what
    took more than four times the middle.
    """
    counting, _ = counting_events(events)
    watches: dict[str, _Watch] = {}
    ticks: dict[str, list[int | None]] = {}
    timers: dict[str, float] = {}
    done: set[str] = set()
    for event in counting:
        kind, step = event["kind"], event["body"].get("step")
        if kind == "TimerRun":
            timers[step] = timers.get(step, 0) + event["body"]["seconds"] * 1000
        elif kind in {"StepDone", "StepSkipped"}:
            (done.add if kind == "StepDone" else done.discard)(step)
            _tick(watches.setdefault(event["device"], _Watch()), event, ticks)
        elif kind in {"JobStarted", "JobPaused", "JobResumed"}:
            _turn(watches.setdefault(event["device"], _Watch()), event)
    found = ((step, _time(timers.get(step, 0), ticks.get(step, []))) for step in sorted(done, key=utf16_order))
    return [{"step": step, "minutes": time[0] / 60_000, "how": time[1]} for step, time in found if time is not None]


def _turn(watch: _Watch, event: Event) -> None:
    """The job is begun, paused or gone on with on this phone."""
    now = _wall_ms(event)
    if event["kind"] == "JobStarted":
        watch.from_ms, watch.active_ms = now, _from(now)
    elif event["kind"] == "JobPaused":
        watch.from_ms, watch.active_ms = None, watch.until(now, _away_ms(event))
    elif watch.from_ms is None:
        watch.from_ms = now


def _tick(watch: _Watch, event: Event, ticks: dict[str, list[int | None]]) -> None:
    """A step done or skipped ends its time and begins that of the next."""
    now, step = _wall_ms(event), event["body"]["step"]
    took = watch.until(now, _away_ms(event))
    together = took is not None and took < TOGETHER_MS and watch.last is not None
    if together:
        ticks[str(watch.last)].append(None)
    ticks.setdefault(step, []).append(None if together else took)
    watch.from_ms, watch.active_ms, watch.last = now, _from(now), step


def _away_ms(event: Event) -> int:
    """How long the phone was out of sight since the last tick; none when it does not say so in whole seconds."""
    away = event["body"].get("away_s")
    return away * 1000 if isinstance(away, int) and not isinstance(away, bool) and away >= 0 else 0


def _from(now_ms: int | None) -> int | None:
    """Active time at a beginning: none yet, not known when the clock tells nothing."""
    return None if now_ms is None else 0


def _time(timer_ms: float, ticks: list[int | None]) -> tuple[float, str] | None:
    if timer_ms >= TOGETHER_MS:
        return (timer_ms, "timer") if timer_ms <= MOST_MS else None
    known = [took for took in ticks if took is not None]
    total = sum(known)
    return (total, "ticks") if len(known) == len(ticks) and TOGETHER_MS <= total <= MOST_MS else None


def _wall_ms(event: Event) -> int | None:
    """Milliseconds since 1970; None in a year that the calendar does not have."""
    if event["wall"].startswith("0000"):
        return None
    return (datetime.fromisoformat(event["wall"]) - _EPOCH) // timedelta(milliseconds=1)
