"""Plays a procedure through, once in every variant, and lets the D checks look at every action before it is done.

After a wrong action the state is what the author meant (bench_state.py), so that one fault gives one finding. Knows the
order of playing; the checks stand in play_access.py, play_joints.py and play_fluids.py, the end in play_end.py.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from benchtrail.domain.bench_state import BenchState, apply_action, parts_of, start_state
from benchtrail.domain.checks.conditions import Alternatives, Literal, is_true, missing_of, subject_of
from benchtrail.domain.checks.subject import name_of
from benchtrail.domain.findings import Severity

Pack = Mapping[str, Any]
MOVING = ("remove", "hang", "fit")


class Fault(NamedTuple):
    """What a check says of one action. What follows from it is no second fault: `blamed` are ids whose state at the end
    it explains, `assumed` are conditions that count as true from here on. It is itself one that follows when one of
    `follows` is not in order at the end."""

    check: str
    severity: Severity
    code: str
    values: dict[str, object]
    blamed: tuple[str, ...] = ()
    assumed: tuple[tuple[str, ...], ...] = ()
    follows: tuple[str, ...] = ()


@dataclass
class Clock:
    """Minutes since the start, by the author's estimates and waits; of waits alone; and when each thing was treated and
    made final, as (minutes, minutes of waits)."""

    minutes: float = 0
    waited: float = 0
    treated_at: dict[str, float] = field(default_factory=dict)
    closed_at: dict[str, float] = field(default_factory=dict)


@dataclass
class Openings:
    """For how many steps each opening has stood uncovered."""

    steps: dict[str, int] = field(default_factory=dict)


@dataclass
class Log:
    """What has been seen while playing one variant: the last step of each thing; what a fault explains already and what
    is assumed because of it; what was taken off by itself (not inside a unit) and is not back; what lacks its treatment; what
    of what the steps take off, hang or fit (of those the pack holds every joint) the parts that must be held when free; and
    the parts that an act on each thing is about, found once."""

    last_step: dict[str, str] = field(default_factory=dict)
    blamed: set[str] = field(default_factory=set)
    taken_off: set[str] = field(default_factory=set)
    assumed: set[tuple[str, ...]] = field(default_factory=set)
    bare: set[str] = field(default_factory=set)
    heavy: tuple[str, ...] = ()
    subjects: dict[str, set[str]] = field(default_factory=dict)
    clock: Clock = field(default_factory=Clock)
    openings: Openings = field(default_factory=Openings)


@dataclass(eq=False)
class Moment:
    """One action about to be done: the pack of the variant, the state before it, the rest of its step, the log; and what
    is asked of it again and again: its verb, its object, the joint that this is, if it is one, the parts it stands for."""

    pack: Pack
    state: BenchState
    step: Mapping[str, Any]
    action: Mapping[str, Any]
    log: Log
    next_step: Mapping[str, Any] | None = None
    verb: str = field(init=False)
    key: str = field(init=False)
    joint: Mapping[str, Any] | None = field(init=False)
    parts: list[str] = field(init=False)
    _after: BenchState | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.verb, self.key = self.action["verb"], self.action["object"]
        self.joint = self.pack["joints"].get(self.key)
        self.parts = parts_of(self.pack, self.key)

    @property
    def after(self) -> BenchState:
        """The state after the action."""
        if self._after is None:
            self._after = apply_action(self.pack, self.state, self.action)
        return self._after

    def name(self, key: str) -> str:
        return name_of(self.pack, key)

    def missing(self, alternatives: Alternatives) -> list[Literal]:
        """What is missing of the way that lacks least; empty when one is free, or counts as free after a fault."""
        if not alternatives:
            return []
        subject = self.log.subjects.get(self.key)
        if subject is None:
            subject = self.log.subjects.setdefault(self.key, subject_of(self.pack, self.parts, self.joint))
        lacking = missing_of(self.pack, self.state, alternatives, subject) or []
        if not lacking or (self.log.assumed and any(
                all(is_true(self.pack, self.state, literal, subject) or tuple(literal) in self.log.assumed for literal in every)
                for every in alternatives)):
            return []
        return [literal for literal in lacking if tuple(literal) not in self.log.assumed] or lacking

    def soon(self) -> Iterator[Mapping[str, Any]]:
        """The actions of the same movement: the rest of this step, and those of the next."""
        done = next(n for n, action in enumerate(self.step["do"]) if action is self.action)
        yield from self.step["do"][done + 1:]
        yield from self.next_step["do"] if self.next_step else ()

    def assumed_off(self, part: str) -> bool:
        """True if an earlier fault already says that the part was not taken off."""
        return ("out", part) in self.log.assumed or ("aside", part) in self.log.assumed


def assume(literals: Sequence[Literal]) -> tuple[tuple[str, ...], ...]:
    """Conditions in the form in which a fault assumes them."""
    return tuple(tuple(literal) for literal in literals)


CheckMoment = Callable[[Moment], Iterator[Fault]]
CheckStep = Callable[[Pack, BenchState, Mapping[str, Any], Log], Iterator[tuple[str, Fault]]]


@dataclass(frozen=True)
class Played:
    """One variant played to its end: the state then, the log, and every fault with its step and action's number."""

    variant: int
    pack: Pack
    state: BenchState
    log: Log
    faults: list[tuple[str, int, Fault]]


def play(packs: Sequence[Pack], checks: Mapping[str, Sequence[CheckMoment]],
         after_steps: Sequence[CheckStep] = ()) -> Iterator[Played]:
    """Plays the steps of each variant's pack. `checks` by the verb that they look at; `after_steps` look at the state after
    each step and name the step at fault."""
    for variant, pack in enumerate(packs):
        state, log = start_state(pack), Log(heavy=_heavy(pack))
        faults: list[tuple[str, int, Fault]] = []
        for place, step in enumerate(pack["steps"]):
            next_step = pack["steps"][place + 1] if place + 1 < len(pack["steps"]) else None
            for n, action in enumerate(step["do"]):
                moment = Moment(pack, state, step, action, log, next_step)
                faults.extend((step["id"], n, fault) for fault in _faults(moment, checks.get(moment.verb, ())))
                state = moment.after
                _remember(moment)
            for check in after_steps:
                faults.extend((at, 0, fault) for at, fault in check(pack, state, step, log))
        yield Played(variant, pack, state, log, faults)


def _heavy(pack: Pack) -> tuple[str, ...]:
    moved = {part for step in pack["steps"] for action in step["do"] if action["verb"] in MOVING
             for part in parts_of(pack, action["object"])}
    return tuple(sorted(part for part in moved if pack["parts"][part]["hold"]))


def _faults(moment: Moment, checks: Sequence[CheckMoment]) -> Iterator[Fault]:
    for check in checks:
        for fault in check(moment):
            moment.log.blamed |= set(fault.blamed)
            moment.log.assumed |= set(fault.assumed)
            yield fault


def _remember(moment: Moment) -> None:
    """The step that touched each thing last; undoing touches what the joint holds."""
    things = [moment.key, *moment.parts, *([moment.action["to"]] if "to" in moment.action else [])]
    for thing in things:
        moment.log.last_step[thing] = moment.step["id"]
    _remember_treatment(moment)
    if moment.verb == "remove":
        moment.log.taken_off.add(moment.key)
    elif moment.verb == "fit":
        moment.log.taken_off -= {moment.key, *moment.parts}
    if moment.joint and moment.verb == "undo":
        for part in moment.joint["joins"]:
            moment.log.last_step.setdefault(part, moment.step["id"])


def _remember_treatment(moment: Moment) -> None:
    """What is off, new or cleaned lacks its treatment until it gets it; how long ago things were treated and closed."""
    log, key = moment.log, moment.key
    if moment.verb in ("remove", "renew", "clean") and key in moment.pack["parts"]:
        log.bare.add(key)
    if moment.joint and moment.verb == "undo":
        log.bare |= {part for part in moment.joint["joins"] if part in moment.pack["parts"]
                     and moment.pack["parts"][part]["treatment"]["due"] == "end"}
    if moment.verb == "apply":
        target = moment.pack["parts"].get(moment.action["to"])
        log.bare -= {moment.action["to"]} if target and key == target["treatment"]["supply"] else set()
        log.clock.treated_at[moment.action["to"]] = log.clock.minutes
    if moment.verb in ("tighten", "fit"):
        log.clock.closed_at |= dict.fromkeys((key, *moment.parts), log.clock.waited)
    waits = moment.action.get("minutes", 0) if moment.verb == "wait" else 0
    log.clock.waited += waits
    log.clock.minutes += waits
    if moment.action is moment.step["do"][-1]:
        # the estimate of a step that waits holds the wait
        log.clock.minutes += max(0, (moment.step["minutes"] or 0) - _waits(moment.step))


def _waits(step: Mapping[str, Any]) -> float:
    return float(sum(action.get("minutes", 0) for action in step["do"] if action["verb"] == "wait"))
