"""Plays a procedure through, once in every variant, and lets the D checks look at every action before it is done.

After a wrong action the state is what the author meant (bench_state.py), so that one fault gives one finding. Knows the
order of playing; the checks stand in play_access.py, play_joints.py and play_fluids.py, the end in play_end.py.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from benchtrail.domain.bench_state import BenchState, apply_action, parts_of, start_state
from benchtrail.domain.checks.subject import name_of
from benchtrail.domain.findings import Severity

Pack = Mapping[str, Any]


class Fault(NamedTuple):
    """What a check says of one action: `blamed` are ids whose state at the end follows from it."""

    check: str
    severity: Severity
    code: str
    values: dict[str, object]
    blamed: tuple[str, ...] = ()


@dataclass
class Log:
    """What has been seen while playing one variant: the last step of each thing, what a fault explains already, and
    what was taken off by itself (not inside a unit) and is not back."""

    last_step: dict[str, str] = field(default_factory=dict)
    blamed: set[str] = field(default_factory=set)
    taken_off: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class Moment:
    """One action about to be done: the pack of the variant, the state before it, the rest of its step, the log."""

    pack: Pack
    state: BenchState
    step: Mapping[str, Any]
    action: Mapping[str, Any]
    log: Log

    @property
    def verb(self) -> str:
        return str(self.action["verb"])

    @property
    def key(self) -> str:
        return str(self.action["object"])

    @property
    def joint(self) -> Mapping[str, Any] | None:
        """The joint that the action is about, if it is one."""
        found: Mapping[str, Any] | None = self.pack["joints"].get(self.key)
        return found

    @property
    def parts(self) -> list[str]:
        """The parts that the action is about; empty if its object is no part or unit."""
        return parts_of(self.pack, self.key)

    def name(self, key: str) -> str:
        return name_of(self.pack, key)


CheckMoment = Callable[[Moment], Iterator[Fault]]


@dataclass(frozen=True)
class Played:
    """One variant played to its end."""

    variant: int
    pack: Pack
    state: BenchState
    log: Log


def play(packs: Sequence[Pack], checks: Sequence[CheckMoment], note: Callable[..., None]) -> Iterator[Played]:
    """Plays the steps of each variant's pack; `note(variant, step, n, fault)` is told of every fault of an action."""
    for variant, pack in enumerate(packs):
        state, log = start_state(pack), Log()
        for step in pack["steps"]:
            for n, action in enumerate(step["do"]):
                moment = Moment(pack, state, step, action, log)
                for check in checks:
                    for fault in check(moment):
                        log.blamed |= set(fault.blamed)
                        note(variant, step, n, fault)
                state = apply_action(pack, state, action)
                _remember(moment)
        yield Played(variant, pack, state, log)


def _remember(moment: Moment) -> None:
    """The step that touched each thing last; undoing touches what the joint holds."""
    things = [moment.key, *moment.parts, *([moment.action["to"]] if "to" in moment.action else [])]
    for thing in things:
        moment.log.last_step[thing] = moment.step["id"]
    if moment.verb == "remove":
        moment.log.taken_off.add(moment.key)
    elif moment.verb == "fit":
        moment.log.taken_off -= {moment.key, *moment.parts}
    if moment.joint and moment.verb == "undo":
        for part in moment.joint["joins"]:
            moment.log.last_step.setdefault(part, moment.step["id"])
