"""Items of a least-work problem from the map of a machine in one variant, backwards from the goals.

Knows how parts, units, joints, fluids, poses, settings and checks ask for each other (the table in DEVELOPERS.md,
"Planning"); nothing of solving. `machine` is a model pack for one variant (`bench_state.for_variant`).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cached_property

from benchtrail.domain.action_text import matches_trigger
from benchtrail.domain.planning.minutes import (
    ASIDE_MINUTES,
    CHECK_MINUTES,
    NEW_PART_MINUTES,
    POSE_MINUTES,
    SETTING_MINUTES,
    fluid_minutes,
    make_minutes,
    part_minutes,
    seconds,
    stated_minutes,
    undo_minutes,
)
from benchtrail.domain.planning.needs import Beside, Literal, Machine, Way, combined, need_of, ways_of
from benchtrail.domain.planning.problem import FREE, Item, Problem, problem_of

LATER = ("follow:", "refill:")


def plan_problem(machine: Machine, goals: Iterable[Literal], start: Iterable[Literal] = ()) -> Problem:
    """The problem of reaching all `goals`. `start`: poses and settings that are true before, at no cost.

    Raises Refused("plan_map_broken") when a condition of the map names what the map does not have.
    """
    return Problems(machine, start).of(goals)


class Problems:
    """The problems of one machine from one start: what several goals have in common is made once."""

    def __init__(self, machine: Machine, start: Iterable[Literal] = ()) -> None:
        self.machine = machine
        self.maker = _Maker(machine, frozenset(need_of(machine, literal) for literal in start))
        self.made: dict[str, Item] = {}

    def of(self, goals: Iterable[Literal]) -> Problem:
        """As `plan_problem`."""
        wanted = [need_of(self.machine, goal) for goal in goals]
        items: dict[str, Item] = {}
        waiting = list(wanted)
        while waiting:
            key = waiting.pop()
            if key not in items:
                items[key] = self.made[key] if key in self.made else self.made.setdefault(key, self.maker.item(key))
                waiting.extend(need for way in items[key].alternatives for need in way)
        return problem_of(_without_circles(items), wanted)


def _without_circles(items: dict[str, Item]) -> list[Item]:
    """A check that follows from an act, and the filler of what was drained, are reached in the rebuild: where they cannot
    be reached without that act itself, their condition is met by then, and is dropped."""
    users: dict[str, set[str]] = {}
    for item in items.values():
        for need in frozenset().union(*item.alternatives):
            if need.startswith(LATER):
                users.setdefault(need, set()).add(item.id)
    reach = _Reach(items) if users else None
    return [replace(item, alternatives=FREE) if reach and item.id in users and not reach.can_be_done(item.id, users[item.id])
            else item for item in items.values()]


class _Reach:
    """Which items can be done without some others, what follows from anything aside; the ways are laid out once."""

    def __init__(self, items: dict[str, Item]) -> None:
        self.heads: list[str] = []
        self.counts: list[int] = []
        self.asking: dict[str, list[int]] = {}
        for item in items.values():
            for way in item.alternatives:
                needs = [need for need in way if not need.startswith(LATER)]
                for need in needs:
                    self.asking.setdefault(need, []).append(len(self.heads))
                self.heads.append(item.id)
                self.counts.append(len(needs))
        self.free = [way for way, count in enumerate(self.counts) if count == 0]

    def can_be_done(self, key: str, without: set[str]) -> bool:
        """True if `key` can be done though nothing of `without` is; these are all that ask for `key` itself."""
        counts, done = list(self.counts), set(without)
        waiting = list(self.free)
        while waiting:
            head = self.heads[waiting.pop()]
            if head == key:
                return True
            if head not in done:
                done.add(head)
                for way in self.asking.get(head, ()):
                    counts[way] -= 1
                    if counts[way] == 0:
                        waiting.append(way)
        return False


class _Maker:
    """Makes items by kind from one machine."""

    def __init__(self, machine: Machine, start: frozenset[str]) -> None:
        self.machine, self.start, self.beside = machine, start, Beside(machine)
        self.kinds: dict[str, Callable[[str], Item]] = {
            "un": self.undo, "opened": self.opened, "reach": self.reach, "go": self.leave, "out": self.out, "aside": self.aside,
            "apart": self.apart, "off": self.off, "free": self.free, "exit": self.exit, "drained": self.drained,
            "refill": self.refill, "pose": self.pose,
            "set": self.setting, "new": self.new, "renewed": self.renewed, "check": self.check, "follow": self.follow,
        }

    def item(self, key: str) -> Item:
        """The item of an id; what the map wants done because of it counts as work of it."""
        kind, _, key_of = key.partition(":")
        item = replace(self.kinds[kind](key_of), id=key)
        if key in self.start:
            return Item(key)
        follow = self.followed.get(key)
        return replace(item, alternatives=tuple(way | follow for way in item.alternatives)) if follow else item

    @cached_property
    def touching(self) -> dict[str, list[str]]:
        """Joints of each part."""
        found: dict[str, list[str]] = {}
        for key, joint in self.machine["joints"].items():
            for part in joint["joins"]:
                found.setdefault(part, []).append(key)
        return found

    @cached_property
    def followed(self) -> dict[str, Way]:
        """Item → the checks that follow from it."""
        found: dict[str, Way] = {}
        for follow_on in self.machine["follow_ons"].values():
            for literal in follow_on["after"]:
                if self._has(literal):
                    key = need_of(self.machine, literal).replace("opened:", "un:", 1)
                    found[key] = found.get(key, frozenset()) | {f"follow:{check}" for check in follow_on["needs"]}
        return found

    @cached_property
    def isolations(self) -> dict[str, list[tuple[list[list[Literal]], list[Sequence[str]]]]]:
        """Verb → what each isolation that such an act may ask for needs, aids aside, and its triggers of this verb."""
        found: dict[str, list[tuple[list[list[Literal]], list[Sequence[str]]]]] = {}
        for isolation in self.machine.get("isolations", {}).values():
            needs = [[literal for literal in every if literal[0] != "aid"] for every in isolation["needs"]]
            for verb in dict.fromkeys(trigger[0] for trigger in isolation["during"]):
                found.setdefault(verb, []).append((needs, [trigger for trigger in isolation["during"] if trigger[0] == verb]))
        return found

    def _isolated(self, verb: str, key: str, ways: Iterable[Way]) -> tuple[Way, ...]:
        """The ways of an act, each with what must be shut off or let go first; aids are put on as the work goes."""
        action = {"verb": verb, "object": key}
        needs = [each for each, triggers in self.isolations.get(verb, ()) if any(matches_trigger(action, one) for one in triggers)]
        return tuple(combined(self.machine, ways, *(ways_of(self.machine, each) for each in needs)))

    def _has(self, literal: Literal) -> bool:
        return any(literal[1] in self.machine[table] for table in ("parts", "units", "joints", "fluids", "checks"))

    # --- joints ---------------------------------------------------------------------------------------------------

    def undo(self, key: str) -> Item:
        joint = self.machine["joints"][key]
        new = frozenset(f"new:{part}" for part in joint["joins"] if self._single_use(part))
        on_machine = combined(self.machine, self.beside.ways(joint["reach"], frozenset(joint["joins"])), *self._dry(key))
        ways = self._isolated("undo", key, [*on_machine, *self._undo_on_bench(key)])
        cost = seconds(undo_minutes(joint)) + seconds(make_minutes(joint))
        return Item(key, tuple(way | new for way in ways), cost, seals=int(joint["renew"] == "always"),
                    safety=int(joint["safety"] != "normal"))

    def opened(self, key: str) -> Item:
        """A drain joint undone for another reason than to drain: the fluid runs out and must be filled again."""
        fluids = [f"drained:{name}" for name, fluid in self.machine["fluids"].items() if fluid["drain"] == key]
        return Item(key, (frozenset([f"un:{key}", *fluids]),))

    def _single_use(self, part: str) -> bool:
        return part in self.machine["parts"] and self.machine["parts"][part]["renew"] == "always"

    def _dry(self, key: str) -> list[list[Way]]:
        """For each fluid behind the joint the ways to keep it in. The drain joint is meant to let it out; the fill joint
        is above the level as long as the machine stands as it should."""
        joint = self.machine["joints"][key]
        choices = []
        for fluid in joint["holds"]:
            poses = [frozenset([f"pose:{pose}"]) for pose in joint["dry_in"]]
            if key == self.machine["fluids"][fluid]["fill"]:
                choices.append(poses or [frozenset()])
            elif key != self.machine["fluids"][fluid]["drain"]:
                choices.append([frozenset([f"drained:{fluid}"]), *poses])
        return choices

    def _undo_on_bench(self, key: str) -> list[Way]:
        joint = self.machine["joints"][key]
        ways = []
        for unit in sorted({unit for part in joint["joins"] for unit in self.beside.units_of.get(part, [])}):
            parts = frozenset(self.machine["units"][unit]["parts"])
            if parts.issuperset(joint["joins"]):
                fluids = {f"drained:{f}" for f in joint["holds"] if not self._opened_by_leaving(parts, f)}
                ways += [frozenset([f"go:{unit}"]) | fluids | self.beside.bench_way(parts, every, frozenset(joint["joins"]))
                         for every in joint["reach"] or [[]]]
        return ways

    def _opened_by_leaving(self, parts: frozenset[str], fluid: str) -> bool:
        return any(fluid in self.machine["joints"][key]["holds"] for key in self._boundary(parts))

    def reach(self, key: str) -> Item:
        joint = self.machine["joints"][key]
        return Item(key, tuple(combined(self.machine, self.beside.ways(joint["reach"], frozenset(joint["joins"])))))

    # --- parts and units ------------------------------------------------------------------------------------------

    def _boundary(self, parts: frozenset[str]) -> list[str]:
        """Joints that hold the parts to anything else."""
        keys = {key for part in parts for key in self.touching.get(part, [])}
        return sorted(key for key in keys if not parts.issuperset(self.machine["joints"][key]["joins"]))

    def _undone(self, joints: Iterable[str]) -> Way:
        return frozenset(need_of(self.machine, ("undone", joint)) for joint in joints)

    def leave(self, key: str) -> Item:
        """A part alone, or a unit as one."""
        if key in self.machine["units"]:
            return self._unit_leaves(key)
        part = self.machine["parts"][key]
        undone = self._undone(self._boundary(frozenset([key])))
        ways = combined(self.machine, self.beside.ways(part["exit"], self._with_partners(key)), [undone])
        return Item(key, self._isolated("remove", key, ways), self._handling(key), tray=1)

    def _with_partners(self, key: str) -> frozenset[str]:
        """The part, and parts that a joint of just these two holds to it: that such a partner is out means out with it."""
        joints = (self.machine["joints"][joint]["joins"] for joint in self.touching.get(key, []))
        return frozenset([key]).union(*(joins for joins in joints if len(joins) == 2))

    def _handling(self, key: str) -> int:
        """A single-use part is paid for when its joint is opened."""
        return 0 if self._single_use(key) else seconds(part_minutes(self.machine["parts"][key]))

    def _unit_leaves(self, key: str) -> Item:
        unit = self.machine["units"][key]
        parts = frozenset(unit["parts"])
        undone = self._undone(self._boundary(parts))
        if unit["exit"] is None:
            exits = [frozenset(f"exit:{key}/{part}" for part in parts if self.machine["parts"][part]["exit"])]
        else:
            exits = self.beside.ways(unit["exit"], parts)
        otherwise = max((part_minutes(self.machine["parts"][part]) for part in parts), default=0)
        ways = self._isolated("remove", key, combined(self.machine, exits, [undone]))
        return Item(key, ways, seconds(stated_minutes(unit, otherwise)), tray=1)

    def exit(self, key: str) -> Item:
        """A part's own exit within a unit that leaves: what belongs to the unit is not in its way."""
        unit, _, part = key.partition("/")
        parts = set(self.machine["units"][unit]["parts"])
        outside = [[literal for literal in every if not self._inside(parts, literal)]
                   for every in self.machine["parts"][part]["exit"]]
        return Item(key, tuple(self.beside.ways(outside, frozenset(parts))))

    def _inside(self, parts: set[str], literal: Literal) -> bool:
        if literal[0] == "undone":
            return parts.issuperset(self.machine["joints"][literal[1]]["joins"])
        members = set(self.machine["units"][literal[1]]["parts"]) if literal[1] in self.machine["units"] else {literal[1]}
        return literal[0] in ("out", "aside") and members <= parts

    def out(self, key: str) -> Item:
        ways = [f"go:{key}", *(f"go:{unit}" for unit in self.beside.units_of.get(key, []))]
        return Item(key, tuple(frozenset([way]) for way in ways))

    def apart(self, key: str) -> Item:
        """Out, and out of every unit."""
        ways = [f"go:{key}", *(f"free:{unit}/{key}" for unit in self.beside.units_of.get(key, []))]
        return Item(key, tuple(frozenset([way]) for way in ways))

    def off(self, key: str) -> Item:
        """Out, but not in one of the units named after `~`; from those it must be freed."""
        part, _, shared = key.partition("~")
        excluded = set(shared.split("+"))
        ways = [f"free:{unit}/{part}" if unit in excluded else f"go:{unit}" for unit in self.beside.units_of[part]]
        return Item(key, tuple(frozenset([way]) for way in (f"go:{part}", *ways)))

    def free(self, key: str) -> Item:
        """A part taken out of a unit that lies on the bench."""
        unit, _, part = key.partition("/")
        parts = frozenset(self.machine["units"][unit]["parts"])
        inner = self._undone(joint for joint in self.touching.get(part, [])
                             if len(parts & set(self.machine["joints"][joint]["joins"])) > 1)
        exits = [self.beside.bench_way(parts, every, self._with_partners(part))
                 for every in self.machine["parts"][part]["exit"] or [[]]]
        ways = self._isolated("remove", part, combined(self.machine, exits, [inner | {f"go:{unit}"}]))
        return Item(key, ways, self._handling(part), tray=1)

    def aside(self, key: str) -> Item:
        alternatives = self.machine["parts"][key]["aside"]
        ways = () if alternatives is None else self._isolated("hang", key, ways_of(self.machine, alternatives))
        return Item(key, ways, seconds(ASIDE_MINUTES))

    def new(self, key: str) -> Item:
        """A single-use part that must be renewed because its joint was opened."""
        return Item(key, cost_s=seconds(part_minutes(self.machine["parts"][key])), seals=1)

    def renewed(self, key: str) -> Item:
        if key in self.machine["joints"]:
            return Item(key, (self._undone([key]),))
        if key in self.machine["units"]:
            return Item(key, (frozenset([f"go:{key}"]),), seconds(NEW_PART_MINUTES))
        cost = 0 if self._single_use(key) else seconds(NEW_PART_MINUTES)
        return Item(key, (frozenset([f"apart:{key}"]),), cost)

    # --- fluids, poses, settings, checks --------------------------------------------------------------------------

    def drained(self, key: str) -> Item:
        fluid = self.machine["fluids"][key]
        cost = seconds(fluid_minutes(fluid, "drain")) + seconds(fluid_minutes(fluid, "fill"))
        if fluid["drain"] not in self.machine["joints"]:
            return Item(key, (), cost)
        return Item(key, (frozenset([f"un:{fluid['drain']}", f"refill:{key}"]),), cost)

    def refill(self, key: str) -> Item:
        """The filler, opened before the fluid goes in again."""
        filler = self.machine["fluids"][key]["fill"]
        return Item(key, (frozenset([f"un:{filler}"] if filler in self.machine["joints"] else []),))

    def pose(self, key: str) -> Item:
        pose = self.machine["poses"][key]
        return Item(key, tuple(ways_of(self.machine, pose["needs"])), seconds(stated_minutes(pose, POSE_MINUTES)))

    def setting(self, key: str) -> Item:
        name, _, value = key.partition("=")
        setting = self.machine["settings"][name]
        minutes = 0 if setting["start"] == value else stated_minutes(setting, SETTING_MINUTES)
        return Item(key, cost_s=seconds(minutes))

    def check(self, key: str) -> Item:
        """Something measured or done while it is apart: a part that must be out for it must be out alone."""
        check = self.machine["checks"][key]
        ways = [frozenset(self._alone(need) for need in way) for way in ways_of(self.machine, check["reach"])]
        return Item(key, self._isolated(check["kind"], key, ways), seconds(stated_minutes(check, CHECK_MINUTES[check["kind"]])))

    def follow(self, key: str) -> Item:
        """A check that follows from an act, done in the rebuild: its poses and settings are of that time, and so is what
        is opened only to read a level through it."""
        check = self.machine["checks"][key]
        ports = {f"un:{name}" for name, joint in self.machine["joints"].items()
                 if check["kind"] == "level" and check["fluid"] in joint["holds"]}
        ways = {frozenset(need for need in way if not need.startswith(("set:", "pose:"))) - ports
                for way in ways_of(self.machine, check["reach"])}
        return Item(key, tuple(sorted(ways, key=sorted)), seconds(stated_minutes(check, CHECK_MINUTES[check["kind"]])))

    @staticmethod
    def _alone(need: str) -> str:
        return need.replace("out:", "apart:", 1) if need.startswith("out:") else need


def goals_as_words(goals: Sequence[Literal]) -> str:
    """The goals as written."""
    return ", ".join(" ".join(goal) for goal in goals)
