"""From any place in a job the shortest way to a machine that can be left standing, and to one that can be pushed: some
steps further, or back by making good what speaks against it.

Knows the pack for one variant, which steps are done, and `standing`. Every way is played through before it is told.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Any, TypedDict

from benchtrail.domain.bench_state import BenchState, Pack, apply_action, apply_steps, parts_of, pose_family
from benchtrail.domain.checks.conditions import is_true
from benchtrail.domain.standing import (
    HEAT,
    NO_DOUBTS,
    Doubts,
    Row,
    Standing,
    holds,
    is_hot,
    last_touch,
    may_be_left,
    may_be_pushed,
)

LEAVE, PUSH = "leave", "push"
MOST_ROUNDS = 60
LAST = ("fluid_not_full", "single_use", "hot", "aid_on", "pose_not_steady", "check_due")
Action = dict[str, Any]
Condition = Sequence[Sequence[str]]


class Way(TypedDict):
    """Steps to do, or acts to make good; minutes of the steps that state a time, and how many rows state none."""

    steps: list[str]
    acts: list[Action]
    minutes: float
    untimed: int
    see_to: list[Row]


class WayOut(TypedDict):
    """`now`: holds as it is. `on`, `back`: None when there is no such way. `shorter`: now, on, back or None."""

    now: bool
    against: list[Row]
    unknown: list[Row]
    see_to: list[Row]
    on: Way | None
    back: Way | None
    shorter: str | None


def way_out(pack: Pack, done: Collection[str], doubts: Doubts = NO_DOUBTS) -> dict[str, WayOut]:
    """`{leave, push}`, each the way out from where the job stands. `done`: ids of the steps that are done.

    Shorter is the way with fewer minutes; when one of them holds a step without a time, the one with fewer rows.
    Source: our own rules, see vectors way-out. Stops being true when something was done that no step tells.
    """
    return {aim: _way_out(pack, done, doubts, aim) for aim in (LEAVE, PUSH)}


def _way_out(pack: Pack, done: Collection[str], doubts: Doubts, aim: str) -> WayOut:
    now = _standing(pack, apply_steps(pack, done), is_hot(pack, _steps(pack, done)), doubts, aim)
    if holds(now):
        return {"now": True, **now, "on": None, "back": None, "shorter": "now"}
    on, back = _on(pack, done, doubts, aim), _back(pack, done, doubts, aim)
    return {"now": False, **now, "on": on, "back": back, "shorter": _shorter(on, back)}


def _standing(pack: Pack, state: BenchState, hot: bool | None, doubts: Doubts, aim: str) -> Standing:
    return may_be_left(pack, state, hot, doubts) if aim == LEAVE else may_be_pushed(pack, state, doubts)


def _steps(pack: Pack, ids: Collection[str]) -> list[Mapping[str, Any]]:
    return [step for step in pack["steps"] if step["id"] in ids]


def _shorter(on: Way | None, back: Way | None) -> str | None:
    if on is None or back is None:
        return "on" if on else "back" if back else None
    if on["untimed"] or back["untimed"]:
        return "on" if len(on["steps"]) <= len(back["acts"]) else "back"
    return "on" if on["minutes"] <= back["minutes"] else "back"


# --- further ---------------------------------------------------------------------------------------------------------


def _on(pack: Pack, done: Collection[str], doubts: Doubts, aim: str) -> Way | None:
    """The fewest next steps after which it holds; steps that were skipped stay skipped."""
    reached, taken = set(done), []
    for step in pack["steps"]:
        if step["id"] in reached or step["id"] in doubts["skipped"]:
            continue
        reached.add(step["id"])
        taken.append(step)
        there = _standing(pack, apply_steps(pack, reached), is_hot(pack, _steps(pack, reached)), doubts, aim)
        if holds(there):
            return _way(taken, [], [step["id"] for step in taken], there)
    return None


def _way(timed: Sequence[Mapping[str, Any]], acts: list[Action], steps: list[str], there: Standing) -> Way:
    """A way with the minutes of the steps that tell it; an act that no step tells has no time."""
    untold = sum(not act["steps"] for act in acts)
    return {"steps": steps, "acts": acts, "minutes": sum(step["minutes"] or 0 for step in timed),
            "untimed": untold + sum(step["minutes"] is None for step in timed), "see_to": there["see_to"]}


# --- back ------------------------------------------------------------------------------------------------------------


def _back(pack: Pack, done: Collection[str], doubts: Doubts, aim: str) -> Way | None:
    """The acts that make good what speaks against it, played until nothing does; None when that is not to be had."""
    bench = _Bench(pack, apply_steps(pack, done), is_hot(pack, _steps(pack, done)))
    for _ in range(MOST_ROUNDS):
        there = _standing(pack, bench.state, bench.hot, doubts, aim)
        if holds(there):
            return _way_back(pack, bench, there)
        before = len(bench.acts)
        for reason in _in_turn(there):
            bench.settle(reason)
            if len(bench.acts) > before:
                break
        if len(bench.acts) == before:
            return None
    return None


def _in_turn(there: Standing) -> list[Row]:
    """The reasons that acts can settle, in the order in which they are: checks and aids after parts, joints and fluids."""
    reasons = [*there["against"], *(reason for reason in there["unknown"] if reason["code"] == "mass_not_known")]
    return sorted(reasons, key=lambda reason: LAST.index(reason["code"]) if reason["code"] in LAST else -1)


def _way_back(pack: Pack, bench: "_Bench", there: Standing) -> Way:
    acts = [act | {"steps": _telling(pack, act)} for act in bench.acts]
    return _way(_steps(pack, {step for act in acts for step in act["steps"]}), acts, [], there)


def _telling(pack: Pack, act: Action) -> list[str]:
    """The steps that tell how this act is done; of a joint also the start and the earlier stages."""
    verbs = {"tighten": ("start", "tighten"), "wait": ()}.get(act["verb"], (act["verb"],))
    things = {act["object"]} | {unit for unit, entry in pack["units"].items()
                                if act["verb"] == "fit" and act["object"] in entry["parts"]}
    return [step["id"] for step in pack["steps"]
            if any(action["verb"] in verbs and action["object"] in things for action in step["do"])]


class _Bench:
    """A state on which acts are played; each act is kept with what it is about."""

    def __init__(self, pack: Pack, state: BenchState, hot: bool | None) -> None:
        self.pack, self.state, self.hot = pack, state, hot
        self.acts: list[Action] = []
        self.busy: set[str] = set()

    def play(self, verb: str, thing: str) -> None:
        self.acts.append({"verb": verb, "object": thing})
        self.state = apply_action(self.pack, self.state, {"verb": verb, "object": thing})

    def settle(self, reason: Row) -> None:
        """The acts that take one reason away."""
        code, thing = reason["code"], reason["object"]
        if code in ("part_off", "part_aside", "hung_heavy", "mass_not_known"):
            self.put_on(thing)
        elif code in ("joint_not_final", "joint_loose", "fluid_behind", "fuel_open", "spring_held"):
            self.make(thing)
        elif code == "part_loose":
            for joint in self._joints_of(thing):
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
        """A part, or the unit that it left with: first what it would shut in, then the part, then its joints."""
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
        for joint in self._joints_of(*parts_of(self.pack, thing)):
            self.make(joint)
        self.busy.discard(f"on {part}")

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
        for part in sorted(self.state["parts"].keys() - {thing}):
            if self._shut_in(self.pack["parts"][part]["exit"], thing):
                self.put_on(part)
        for joint in sorted(self.state["joints"].keys() - {thing}):
            if self._shut_in(self.pack["joints"][joint]["reach"], thing):
                self.make(joint)

    def _shut_in(self, ways: Sequence[Condition], thing: str) -> bool:
        """True if every way that is open now needs `thing` off or open."""
        units = {unit for unit, entry in self.pack["units"].items() if thing in entry["parts"]}
        open_now = [every for every in ways if all(is_true(self.pack, self.state, literal) for literal in every)]
        return bool(open_now) and all(
            any(literal[0] in ("out", "aside", "undone") and literal[1] in {thing, *units} for literal in every) for every in open_now)

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
        """The first steady pose of the family: the one before the job if it is steady."""
        poses = [pose for pose, entry in self.pack["poses"].items() if entry["family"] == family and entry.get("steady")]
        before = [literal[1] for literal in self.pack["start"] if literal[0] == "pose" and literal[1] in poses]
        for pose in [*before, *sorted(poses)][:1]:
            self.play("pose", pose)

    def cool(self) -> None:
        cold = [pose for pose, entry in self.pack["poses"].items() if entry["family"] == HEAT and entry.get("steady")]
        self.hot = False
        self.play("pose" if cold else "wait", min(cold, default=""))
