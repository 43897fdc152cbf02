"""The journal of a job: its events folded into what was done, noted, measured, and the state of the machine.

Knows the events (shared/README.md §8) and the pack; no clock, no storage. Any order, split or repetition of the events
gives the same fold.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypedDict

from benchtrail.domain.bench_state import BenchState, Pack, apply_steps, for_variant
from benchtrail.domain.canonical_json import canonical_json, utf16_order
from benchtrail.domain.event_problems import BODIES, event_problems
from benchtrail.domain.guards import Variant
from benchtrail.domain.hlc import journal_order

Event = Mapping[str, Any]
Row = dict[str, Any]


class JournalFold(TypedDict):
    """What the events of a job come to. Rows are in the order of the journal; `event` is the id of the event."""

    machine: Row | None
    variant: Variant | None
    done: dict[str, Row]
    skipped: dict[str, Row]
    readings: list[Row]
    notes: list[Row]
    photos: list[Row]
    ticks: list[str]
    positions: dict[str, dict[str, list[int]]]
    seconds: dict[str, float]
    paused: bool
    place: str | None
    accepted: list[Row]
    answers: list[Row]
    replies: list[Row]
    replies_seen: dict[str, Row]
    closed: Row | None
    state: BenchState
    unknown: int


def fold_journal(pack: Pack, events: Iterable[Any]) -> JournalFold:
    """The fold of a job's events over its pack (of all variants; the machine of JobStarted chooses).

    Of a step done and skipped the later word counts. `unknown` counts events of unknown kinds and malformed ones.
    Raises Refused("guard_unknown").
    """
    counting, malformed = counting_events(events)
    job = _Job()
    for event in counting:
        job.take(event)
    job.unknown += malformed
    return job.fold(pack)


def counting_events(events: Iterable[Any]) -> tuple[list[Event], int]:
    """The sound events that were not taken back, each once, in the order of the journal, and how many are malformed."""
    sound, malformed = _once(events)
    return _not_retracted(sorted(sound, key=lambda event: (journal_order(event), event["id"]))), malformed


def variant_of(machine: Mapping[str, Any] | None) -> Variant | None:
    """The variant of a machine, options sorted as ASCII and each once; None when there is no machine."""
    if machine is None:
        return None
    return {"year": int(machine["year"]), "options": sorted(set(machine["options"]), key=utf16_order)}


def _once(events: Iterable[Any]) -> tuple[list[Event], int]:
    """Each sound event once, and how many others there are. Of two that claim one id the earlier one counts."""
    sound: dict[str, Event] = {}
    malformed = set()
    for event in events:
        if event_problems(event):
            malformed.add(_name(event))
        elif event["id"] not in sound or _before(event, sound[event["id"]]):
            sound[event["id"]] = event
    return list(sound.values()), len(malformed - sound.keys())


def _name(event: Any) -> str:
    claimed = event.get("id") if isinstance(event, dict) else None
    return claimed if isinstance(claimed, str) else "without an id"


def _before(one: Event, other: Event) -> bool:
    if journal_order(one) != journal_order(other):
        return journal_order(one) < journal_order(other)
    return utf16_order(canonical_json(one)) < utf16_order(canonical_json(other))


def _not_retracted(events: list[Event]) -> list[Event]:
    """Events that count. A retraction can itself be retracted by a later one; the start of the job cannot be."""
    gone: set[str] = set()
    for event in reversed(events):
        if event["kind"] == "Retracted" and event["id"] not in gone:
            gone.add(event["body"]["event"])
    return [event for event in events if event["id"] not in gone or event["kind"] == "JobStarted"]


_ROWS = ("ReadingTaken", "NoteWritten", "PhotoTaken", "EndItemAccepted", "BulletinAnswered", "ReplyWritten")


class _Job:
    """What was taken so far; one method per kind of event."""

    def __init__(self) -> None:
        self.machine: Row | None = None
        self.started = False
        self.done: dict[str, Row] = {}
        self.skipped: dict[str, Row] = {}
        self.rows: dict[str, list[Row]] = {kind: [] for kind in _ROWS}
        self.ticks: set[str] = set()
        self.positions: dict[str, dict[str, set[int]]] = {}
        self.seconds: dict[str, float] = {}
        self.paused = False
        self.stopped_at: str | None = None
        self.replies_seen: dict[str, Row] = {}
        self.closed: Row | None = None
        self.unknown = 0

    def take(self, event: Event) -> None:
        kind, body = event["kind"], event["body"]
        if kind in self.rows:
            known = {name: body[name] for name in BODIES[kind]}
            self.rows[kind].append({**_who(event), **known})
        elif kind in _TAKING:
            _TAKING[kind](self, event, body)
        elif kind != "Retracted":
            self.unknown += 1

    def job_started(self, event: Event, body: Row) -> None:
        if not self.started:
            self.started, self.machine = True, body["machine"]

    def prep_ticked(self, event: Event, body: Row) -> None:
        (self.ticks.add if body["ticked"] else self.ticks.discard)(body["item"])

    def step_done(self, event: Event, body: Row) -> None:
        self.skipped.pop(body["step"], None)
        self.done[body["step"]] = {"event": event["id"], "wall": event["wall"]}

    def step_skipped(self, event: Event, body: Row) -> None:
        self.done.pop(body["step"], None)
        self.skipped[body["step"]] = {"event": event["id"], "wall": event["wall"], "reason": body["reason"]}

    def timer_run(self, event: Event, body: Row) -> None:
        self.seconds[body["step"]] = self.seconds.get(body["step"], 0) + body["seconds"]

    def position_ticked(self, event: Event, body: Row) -> None:
        ticked = self.positions.setdefault(body["step"], {}).setdefault(body["joint"], set())
        (ticked.add if body["ticked"] else ticked.discard)(int(body["position"]))

    def job_paused(self, event: Event, body: Row) -> None:
        self.paused, self.stopped_at = True, body["step"]

    def job_resumed(self, event: Event, body: Row) -> None:
        self.paused, self.stopped_at = False, body["step"]

    def reply_seen(self, event: Event, body: Row) -> None:
        self.replies_seen.setdefault(body["reply"], _who(event))

    def job_closed(self, event: Event, body: Row) -> None:
        self.closed = {"event": event["id"], "wall": event["wall"], "outcome": body["outcome"], "words": body["words"]}

    def fold(self, pack: Pack) -> JournalFold:
        variant = variant_of(self.machine)
        whole = for_variant(pack, variant)
        return {
            "machine": self.machine, "variant": variant, "done": self.done, "skipped": self.skipped,
            "readings": self.rows["ReadingTaken"], "notes": self.rows["NoteWritten"], "photos": self.rows["PhotoTaken"],
            "ticks": sorted(self.ticks, key=utf16_order), "positions": _listed(self.positions), "seconds": self.seconds,
            "paused": self.paused, "place": self.place(whole), "accepted": self.rows["EndItemAccepted"],
            "answers": self.rows["BulletinAnswered"],
            "replies": self.rows["ReplyWritten"], "replies_seen": self.replies_seen, "closed": self.closed,
            "state": apply_steps(whole, self.done), "unknown": self.unknown,
        }

    def place(self, pack: Pack) -> str | None:
        """The step to go on with: where the job was stopped, if that is still open, else the first open step."""
        over = self.done.keys() | self.skipped.keys()
        still_open = [step["id"] for step in pack["steps"] if step["id"] not in over]
        if self.stopped_at in still_open:
            return self.stopped_at
        return still_open[0] if still_open else None


def _who(event: Event) -> Row:
    return {"event": event["id"], "device": event["device"], "wall": event["wall"]}


def _listed(positions: Mapping[str, Mapping[str, set[int]]]) -> dict[str, dict[str, list[int]]]:
    ticked = {step: {joint: sorted(numbers) for joint, numbers in joints.items() if numbers}
              for step, joints in positions.items()}
    return {step: joints for step, joints in ticked.items() if joints}


_TAKING: dict[str, Callable[[_Job, Event, Row], None]] = {
    "JobStarted": _Job.job_started, "PrepTicked": _Job.prep_ticked, "StepDone": _Job.step_done,
    "StepSkipped": _Job.step_skipped, "TimerRun": _Job.timer_run, "PositionTicked": _Job.position_ticked,
    "JobPaused": _Job.job_paused, "JobResumed": _Job.job_resumed, "ReplySeen": _Job.reply_seen, "JobClosed": _Job.job_closed,
}
