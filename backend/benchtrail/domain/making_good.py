"""Making good: the acts that take away what speaks against leaving a machine or pushing it, in an order in which they can be done.

Knows the pack for one variant, a state of the bench and the reasons of `standing`. What is needed of an act is fixed by the map and
by the order in which things came off, so the acts found are the fewest; which way is taken is not asked here.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from benchtrail.domain.bench_state import BenchState, Pack, apply_action, parts_of, pose_family
from benchtrail.domain.checks.conditions import is_true
from benchtrail.domain.standing import FLEXIBLE, HEAT, Row, Standing, holds, last_touch

MOST_ROUNDS = 60
LAST = ("fluid_not_full", "single_use", "hot", "aid_on", "pose_not_steady", "check_due")
STANDS_ON = ("wheels", "steering", "lifting")
OPENING = ("out", "aside", "undone")
Action = dict[str, Any]
Condition = Sequence[Sequence[str]]
Tellings = dict[tuple[str, str], list[str]]
Judge = Callable[[BenchState, bool | None], Standing]


def _telling(pack: Pack, verb: str, thing: str) -> list[str]:
    """The ids of the steps that tell how an act is done; of a joint also the start and the earlier stages."""
    verbs = {"tighten": ("start", "tighten"), "wait": ()}.get(verb, (verb,))
    things = {thing} | {unit for unit, entry in pack["units"].items() if verb == "fit" and thing in entry["parts"]}
    return [step["id"] for step in pack["steps"]
            if any(action["verb"] in verbs and action["object"] in things for action in step["do"])]


def time_of(pack: Pack, steps: Sequence[Mapping[str, Any]], acts: Sequence[Action]) -> tuple[int, int]:
    """How many steps and acts state no time, and hundredths of a minute of those that do. A step that tells several acts
    counts once; an act that no step tells has no time."""
    told = {step for act in acts for step in act["steps"]}
    timed = [*steps, *(step for step in pack["steps"] if step["id"] in told)]
    untold = sum(not act["steps"] for act in acts)
    return (untold + sum(step["minutes"] is None for step in timed),
            sum(round(100 * step["minutes"]) for step in timed if step["minutes"] is not None))


def _in_turn(there: Standing) -> list[Row]:
    """The reasons that acts can settle, in the order in which they are: checks and aids after parts, joints and fluids."""
    reasons = [*there["against"], *(reason for reason in there["unknown"] if reason["code"] == "mass_not_known")]
    return sorted(reasons, key=lambda reason: LAST.index(reason["code"]) if reason["code"] in LAST else -1)


class Bench:
    """A state on which acts are played; each act is kept with what it is about."""

    def __init__(self, pack: Pack, state: BenchState, hot: bool | None, owed: Sequence[str] = (), tellings: Tellings | None = None) -> None:
        """`owed`: parts that were put on and are still to be made fast, unless steps do it. `tellings`: of another bench."""
        self.tellings = {} if tellings is None else tellings
        self.pack, self.state, self.hot = pack, state, hot
        self.owed = list(owed)
        self.steps_follow = False
        self.acts: list[Action] = []
        self.busy: set[str] = set()

    def again(self) -> "Bench":
        """Another bench in the same state, on which what is played leaves this one as it is."""
        return self.at(self.state, self.hot)

    def at(self, state: BenchState, hot: bool | None) -> "Bench":
        """The bench in another state of the same job."""
        return Bench(self.pack, state, hot, self.owed, self.tellings)

    def telling(self, verb: str, thing: str) -> list[str]:
        """The ids of the steps that tell how an act is done."""
        if (verb, thing) not in self.tellings:
            self.tellings[verb, thing] = _telling(self.pack, verb, thing)
        return self.tellings[verb, thing]

    def play(self, verb: str, thing: str) -> None:
        self.acts.append({"verb": verb, "object": thing, "steps": self.telling(verb, thing)})
        self.state = apply_action(self.pack, self.state, {"verb": verb, "object": thing})

    def make_good(self, judge: Judge) -> Standing | None:
        """Plays acts until nothing speaks against it, and says how it stands then; None when that is not to be had. What nothing
        firm holds is first made fast at all its joints, also where one of them would do."""
        for reason in judge(self.state, self.hot)["against"]:
            if reason["code"] == "part_loose":
                self.settle(reason)
        self._make_fast(*self.owed)
        for _ in range(MOST_ROUNDS):
            there = judge(self.state, self.hot)
            if holds(there):
                return there
            before = len(self.acts)
            for reason in _in_turn(there):
                if reason["code"] in LAST and len(self.acts) > before:
                    break
                self.settle(reason)
            if len(self.acts) == before:
                return None
        return None

    def settle(self, reason: Row) -> None:
        """The acts that take one reason away."""
        code, thing = reason["code"], reason["object"]
        if code in ("part_off", "part_aside", "hung_heavy", "mass_not_known"):
            self.put_on(thing)
        elif code in ("joint_not_final", "joint_loose", "fluid_behind", "fuel_open", "spring_held"):
            self.make(thing)
        elif code == "part_loose":
            for joint in self._holding(thing):
                self.make(joint)
        elif code == "fluid_not_full":
            self.fill(thing)
        elif code == "check_due":
            self.check(self.pack["follow_ons"][thing]["needs"], last_touch(self.pack, self.state, thing))
        elif code == "single_use":
            self.play("renew", thing)
        elif code == "aid_on":
            self.play("aid_off", thing)
        elif code == "pose_not_steady":
            self.stand(str(pose_family(self.pack, thing)))
        elif code == "hot":
            self.cool()

    def put_on(self, part: str) -> None:
        """A part, or the unit that it left with: first what it would shut in, then the part, then its joints to what is on."""
        if part not in self.state["parts"] or f"on {part}" in self.busy:
            return
        self.busy.add(f"on {part}")
        self._clear_behind(part)
        for other in self._later_neighbours(part):
            self.put_on(other)
        thing = self._left_as(part)
        for each in parts_of(self.pack, thing):
            if each in self.state["disturbed"]:
                self.play("renew", each)
        for aid in [aid for aid in self.state["aids"] if any(self._covers(aid, each) for each in parts_of(self.pack, thing))]:
            self.play("aid_off", aid)  # a plug or cloth in the opening, before the part goes over it
        self.play("fit", thing)
        if self.steps_follow:
            self.owed += parts_of(self.pack, thing)
        else:
            self._make_fast(*parts_of(self.pack, thing))
        self.busy.discard(f"on {part}")

    def _make_fast(self, *parts: str) -> None:
        """All joints of these parts to what is on; a joint to what is still off stays open."""
        for joint in self._joints_of(*parts):
            if not any(part in self.state["parts"] for part in self.pack["joints"][joint]["joins"]):
                self.make(joint)

    def _holding(self, part: str) -> list[str]:
        """The joints that hold a part which must not fall: all that are firm, and those to be undone before it hangs."""
        asked = {literal[1] for every in self.pack["parts"][part]["aside"] or [] for literal in every if literal[0] == "undone"}
        return [joint for joint in self._joints_of(part) if joint in asked or self.pack["joints"][joint]["kind"] not in FLEXIBLE]

    def _covers(self, aid: str, part: str) -> bool:
        return any(part in parts_of(self.pack, thing) for thing in self.pack["aids"][aid].get("covers") or [])

    def _left_as(self, part: str) -> str:
        """The unit that the part left with, if it is off as one; else the part."""
        since = self.state["touched"].get(f"out {part}")
        units = (unit for unit, entry in sorted(self.pack["units"].items()) if part in entry["parts"]
                 and self.state["parts"].get(part) == "out" and self.state["touched"].get(f"out {unit}") == since)
        return next(units, part)

    def _clear_behind(self, thing: str) -> None:
        """Whatever is off or open and can only be got at while `thing` is off or open is made good first."""
        units = {thing, *(unit for unit, entry in self.pack["units"].items() if thing in entry["parts"])}
        for part in sorted(self.state["parts"].keys() - {thing}):
            if self._shut_in(self.pack["parts"][part]["exit"], units):
                self.put_on(part)
        for joint in sorted(self.state["joints"].keys() - {thing}):
            if self._shut_in(self.pack["joints"][joint]["reach"], units):
                self.make(joint)

    def _shut_in(self, ways: Sequence[Condition], units: Collection[str]) -> bool:
        """True if every way that is open now needs one of these, a thing and the units that it is in, off or open."""
        by_it = [any(literal[0] in OPENING and literal[1] in units for literal in every) for every in ways]
        if not any(by_it):
            return False
        open_now = [so for every, so in zip(ways, by_it, strict=True) if all(is_true(self.pack, self.state, literal) for literal in every)]
        return bool(open_now) and all(open_now)

    def _later_neighbours(self, part: str) -> list[str]:
        """Parts joined to this one that came off after it, the last one first."""
        since = self._off_since(part)
        joined = {other for joint in self._joints_of(part) for other in self.pack["joints"][joint]["joins"]}
        return sorted((other for other in joined if other in self.state["parts"] and self._off_since(other) > since),
                      key=lambda other: (-self._off_since(other), other))

    def _off_since(self, part: str) -> int:
        return self.state["touched"].get(f"{self.state['parts'].get(part)} {part}", 0)

    def _joints_of(self, *parts: str) -> list[str]:
        """Joints of these parts that are not final, the last opened first."""
        mine = [joint for joint in self.state["joints"] if set(parts) & set(self.pack["joints"][joint]["joins"])]
        return sorted(mine, key=lambda joint: (-self.state["touched"].get(f"undone {joint}", 0), joint))

    def make(self, joint: str) -> None:
        """A joint final, with everything on that it joins."""
        if joint not in self.state["joints"] or f"made {joint}" in self.busy:
            return
        self.busy.add(f"made {joint}")
        self._clear_behind(joint)
        for part in self.pack["joints"][joint]["joins"]:
            self.put_on(part)
        joins = self.pack["joints"][joint]["joins"]
        if joint in self.state["joints"] and not any(part in self.state["parts"] for part in joins):
            for thing in (joint, *joins):
                if thing in self.state["disturbed"]:
                    self.play("renew", thing)
            self.play("tighten", joint)
        self.busy.discard(f"made {joint}")

    def fill(self, fluid: str) -> None:
        """Every joint under the fluid final, then the fluid in, the air out and the level checked."""
        lid = self.pack["fluids"][fluid]["fill"]
        for joint in sorted(key for key in self.state["joints"] if fluid in self.pack["joints"][key]["holds"] and key != lid):
            self.make(joint)
        if self.state["fluids"].get(fluid) == "drained":
            self.play("fill", fluid)
        bleed, level = (sorted(key for key, check in self.pack["checks"].items() if check["fluid"] == fluid and check["kind"] == kind)
                        for kind in ("bleed", "level"))
        self.check(bleed, self.state["touched"].get(f"drained {fluid}", 0))
        for check in level:
            self.play("level", check)

    def check(self, needs: Sequence[str], since: int) -> None:
        """The checks that were not made since, but for runs: nobody has to ride a machine before it is pushed."""
        for check in needs:
            kind = self.pack["checks"][check]["kind"] if check in self.pack["checks"] else "run"
            if kind != "run" and self.state["checks"].get(check, 0) < since:
                self.play(kind, check)

    def stand(self, family: str) -> None:
        """A steady pose of the family that may be taken: the one before the job, else the one with the least time. What it
        may come to stand on, its wheels and what holds them, is made good first."""
        for part in sorted(self.state["parts"]):
            if self.pack["parts"][part]["safety"] in STANDS_ON:
                self.put_on(part)
        for joint in sorted(self.state["joints"]):
            if self.pack["joints"][joint]["safety"] in STANDS_ON:
                self.make(joint)
        poses = [pose for pose, entry in self.pack["poses"].items() if entry["family"] == family and entry.get("steady")
                 and self._may_take(entry["needs"])]
        before = [literal[1] for literal in self.pack["start"] if literal[0] == "pose" and literal[1] in poses]
        for pose in [*before, *sorted(poses, key=lambda pose: (*self._time(pose), pose))][:1]:
            self.play("pose", pose)

    def _may_take(self, needs: Sequence[Condition]) -> bool:
        return not needs or any(all(is_true(self.pack, self.state, literal) for literal in every) for every in needs)

    def _time(self, pose: str) -> tuple[int, int]:
        return time_of(self.pack, [], [{"verb": "pose", "object": pose, "steps": self.telling("pose", pose)}])

    def cool(self) -> None:
        cold = [pose for pose, entry in self.pack["poses"].items() if entry["family"] == HEAT and entry.get("steady")]
        self.hot = False
        self.play("pose" if cold else "wait", min(cold, default=""))
