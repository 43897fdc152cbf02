"""Writes the steps of a drafted procedure in one variant, one by one.

Plays every step on the bench state as it writes it, and brings about poses, settings and opened joints that the next one
needs. Knows how each act is written; which acts there are and when is in draft_strip.py and draft_rebuild.py.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from benchtrail.domain.action_text import matches_trigger
from benchtrail.domain.bench_state import BenchState, VariantPack, apply_action, start_state
from benchtrail.domain.checks.conditions import is_true, missing_of
from benchtrail.domain.planning.draft_words import capital, order_words, sentence
from benchtrail.domain.planning.minutes import fluid_minutes, make_minutes, part_minutes, stated_minutes, undo_minutes
from benchtrail.domain.planning.needs import Literal
from benchtrail.domain.planning.plan import Plan
from benchtrail.domain.planning.words import thing_name

Action = dict[str, Any]
Phrases = Mapping[tuple[str, ...], Mapping[str, str]]
PREPARE, STRIP, LOOK, REBUILD, FILL, CHECK = SECTIONS = ("Prepare", "Strip", "Inspect", "Rebuild", "Fill", "Check")


class OpenPoint(NamedTuple):
    """What the map does not say, and nobody may guess: the code of a message and the values that fill it."""

    code: str
    values: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class DraftStep:
    """One step without its id and guard; two variants share it when it is equal."""

    section: str
    do: tuple[str, ...]
    say: str
    detail: str | None = None
    look_for: str | None = None
    tools: tuple[str, ...] = ()
    caution: tuple[str, ...] = ()
    limits: tuple[tuple[str, str], ...] = ()
    minutes: float | None = None
    open: tuple[OpenPoint, ...] = ()
    own_words: bool = False


@dataclass
class Draftsman:
    """Writes steps and keeps the state after them. `open`: what the map leaves open for the step written next; `instead`:
    part of a unit on the bench → the part that was taken off it to free it; `overflowing`: fluids whose level is being
    read through an opening."""

    plan: Plan
    start: list[Literal]
    phrases: Phrases = field(default_factory=dict)
    pack: VariantPack = field(init=False)
    state: BenchState = field(init=False)
    steps: list[DraftStep] = field(default_factory=list)
    open: list[OpenPoint] = field(default_factory=list)
    trays: dict[str, str] = field(default_factory=dict)
    bare: set[str] = field(default_factory=set)
    instead: dict[str, str] = field(default_factory=dict)
    overflowing: set[str] = field(default_factory=set)
    ran: bool = False

    def __post_init__(self) -> None:
        self.pack = VariantPack({**self.plan.machine, "start": [list(literal) for literal in self.start], "ends": [], "goal": []})
        self.state = start_state(self.pack)

    # --- writing --------------------------------------------------------------------------------------------------

    def write(self, section: str, *actions: Action, detail: str | None = None, look_for: str | None = None,
              tools: Sequence[str] = (), limits: Mapping[str, str] | None = None) -> None:
        """Adds one step of one or two actions and plays it; first shuts off and lets go what they ask for."""
        for action in actions:
            self.isolate(section, action)
            for pose in self.poses_ended(action):
                self.pose(section, pose)
        section = max(section, self.steps[-1].section if self.steps else section, key=SECTIONS.index)
        say = " ".join(sentence(self.plan.machine, action) for action in actions)
        minutes = round(sum(self.minutes(action) for action in actions), 1) or None
        do = tuple(action_text(action) for action in actions)
        own = self.phrases.get(do, {})
        say, detail, look_for = own.get("say", say), own.get("detail", detail), own.get("look_for", look_for)
        step = DraftStep(section, do, say, detail, look_for,
                         tuple(tools), self.cautions(actions), tuple((limits or {}).items()), minutes, tuple(self.open),
                         bool(own))
        self.steps.append(step)
        self.open.clear()
        for action in actions:
            self.state = apply_action(self.pack, self.state, action)
            if action["verb"] in ("remove", "renew", "clean") and action["object"] in self.plan.machine["parts"]:
                self.bare.add(action["object"])
            if action["verb"] == "undo":
                joins = self.plan.machine["joints"][action["object"]]["joins"]
                parts = self.plan.machine["parts"]
                self.bare |= {part for part in joins if part in parts and parts[part]["treatment"]["due"] == "end"}
            self.bare.discard(action.get("to", ""))

    def isolate(self, section: str, action: Action) -> None:
        """Brings about what the map's isolations ask for before an act."""
        for isolation in self.plan.machine.get("isolations", {}).values():
            if any(matches_trigger(action, trigger) for trigger in isolation["during"]):
                self.ensure(section, isolation["needs"])

    def cautions(self, actions: Iterable[Action]) -> tuple[str, ...]:
        """The map's cautions that these actions call for."""
        acts = list(actions)
        return tuple(key for key, caution in self.plan.machine["cautions"].items()
                     if any(matches_trigger(action, trigger) for action in acts for trigger in caution["triggers"]))

    def minutes(self, action: Action) -> float:
        """Minutes of one action, of the map or by our estimates; half of a part's handling for each way."""
        machine, verb, key = self.plan.machine, action["verb"], action["object"]
        if verb == "undo":
            return float(undo_minutes(machine["joints"][key]))
        if verb in ("start", "tighten") and key in machine["joints"]:
            parts = len(machine["joints"][key]["stages"]) + (machine["joints"][key]["kind"] == "threaded")
            return float(make_minutes(machine["joints"][key]) / parts)
        if verb in ("remove", "fit") and key in machine["parts"]:
            return part_minutes(machine["parts"][key]) / 2
        if verb in ("remove", "fit") and key in machine["units"]:
            return stated_minutes(machine["units"][key], 2.0) / 2
        if verb in ("drain", "fill"):
            return float(fluid_minutes(machine["fluids"][key], verb))
        if key in machine["checks"]:
            return stated_minutes(machine["checks"][key], 1.0)
        return 1.0 if verb == "pose" else 0.3

    def leave_open(self, code: str, **values: str) -> None:
        """Notes what the map does not say for the step that is written next."""
        self.open.append(OpenPoint(code, tuple(values.items())))

    # --- conditions -----------------------------------------------------------------------------------------------

    def ensure(self, section: str, alternatives: Sequence[Sequence[Literal]], reopen: bool = False) -> list[str]:
        """Brings about the poses, settings and, with `reopen`, the open joints of the way that lacks least. Answers the
        joints that were opened again."""
        opened: list[str] = []
        missing = missing_of(self.pack, self.state, alternatives) or []
        # the machine stands as it must before anything is opened
        for literal in sorted(missing, key=lambda literal: literal[0] not in ("pose", "set", "aid")):
            if literal[0] == "pose":
                self.pose(section, literal[1])
            elif literal[0] == "set":
                self.write(section, {"verb": "set", "object": literal[1], "value": literal[2]})
            elif literal[0] == "aid":
                self.write(section, {"verb": "aid_on", "object": literal[1]})
            elif literal[0] == "undone" and reopen:
                opened += self.open_again(section, literal[1])
        return opened

    def pose(self, section: str, key: str) -> None:
        """Changes the pose, after what the pose itself needs."""
        if not is_true(self.pack, self.state, ["pose", key]):
            self.ensure(section, self.plan.machine["poses"][key]["needs"])
            self.write(section, {"verb": "pose", "object": key})

    def poses_ended(self, action: Action) -> list[str]:
        """The poses to take before an act that ends what the poses of now need: a machine that lies because its battery is
        out stands again before the battery goes in."""
        poses = self.plan.machine["poses"]
        held = [pose for key, pose in poses.items() if pose["needs"] and is_true(self.pack, self.state, ["pose", key])]
        if not held:
            return []
        after = apply_action(self.pack, self.state, action)
        ended = [pose["family"] for pose in held if not missing_of(self.pack, self.state, pose["needs"])
                 and missing_of(self.pack, after, pose["needs"])]
        return [home for family in ended if action["verb"] != "pose" and (home := self.home(family))]

    def home(self, family: str) -> str | None:
        """The pose of a family in which the machine was brought, else the first of the map that is steady and needs nothing."""
        poses = self.plan.machine["poses"]
        begun = [key for word, key, *_ in self.start if word == "pose" and key in poses]
        return next((key for key in (*begun, *poses) if poses[key]["family"] == family and poses[key]["steady"]
                     and not poses[key]["needs"]), None)

    def say_poses_again(self, section: str, alternatives: Sequence[Sequence[Literal]]) -> None:
        """After the machine has run, a pose that still counts as true is to be waited for all the same: it may be hot."""
        if self.ran:
            for literal in next(iter(alternatives), []):
                if literal[0] == "pose" and is_true(self.pack, self.state, literal):
                    self.write(section, {"verb": "pose", "object": literal[1]})
            self.ran = False

    def open_again(self, section: str, key: str) -> list[str]:
        """Opens a finished joint for a check; a tray catches what it holds."""
        joint = self.plan.machine["joints"][key]
        self.say_poses_again(section, joint["reach"])
        opened = self.ensure(section, joint["reach"], reopen=True)
        for fluid in joint["holds"]:
            if not any(is_true(self.pack, self.state, ["pose", pose]) for pose in joint["dry_in"]):
                self.tray_on(section, fluid)
        self.write(section, {"verb": "undo", "object": key})
        return [*opened, key]

    def tray_on(self, section: str, fluid: str) -> None:
        """Puts the tray for a fluid in place, if the map has one."""
        tray = tray_of(self.plan, fluid)
        if tray and tray not in self.state["aids"]:
            self.write(section, {"verb": "aid_on", "object": tray})
            self.trays[fluid] = tray

    def tray_off(self, section: str, fluid: str) -> None:
        tray = self.trays.pop(fluid, None)
        if tray and tray in self.state["aids"] and tray not in self.trays.values():
            self.write(section, {"verb": "aid_off", "object": tray})

    # --- joints ---------------------------------------------------------------------------------------------------

    def make(self, section: str, key: str, last: bool = True) -> None:
        """Makes a joint: renew, clean and treat, start by hand, then the stages; without `last` all but the last one."""
        joint = self.plan.machine["joints"][key]
        self.ensure(section, joint["reach"])
        self.prepare_joint(section, key)
        stages = range(1, len(joint["stages"]) + 1)
        if joint["kind"] == "threaded":
            self.start_joint(section, key)
        for number in stages if last else stages[:-1]:
            self.tighten(section, key, number)

    def prepare_joint(self, section: str, key: str) -> None:
        """New fasteners where they are single-use, and what goes on the threads."""
        joint = self.plan.machine["joints"][key]
        for part in joint["joins"]:
            if part not in self.state["parts"] and part in self.state["disturbed"]:
                self.write(section, {"verb": "renew", "object": part})
        if key in self.state["disturbed"]:
            self.write(section, {"verb": "renew", "object": key})
        supply = joint["treatment"]["supply"]
        if supply and [supply, key] not in self.state["treated"]:
            self.write(section, {"verb": "clean", "object": key}, {"verb": "apply", "object": supply, "to": key})

    def start_joint(self, section: str, key: str) -> None:
        """Fasteners in by hand; together with the fitting just before when that held only this joint's part."""
        detail = None
        treatment = self.plan.machine["joints"][key]["treatment"]
        if treatment["supply"] is None and treatment["kind"] not in ("none", "dry"):
            detail = f"The threads get {treatment['kind']} first."
        self.write(section, {"verb": "start", "object": key}, detail=detail)

    def tighten(self, section: str, key: str, number: int) -> None:
        joint = self.plan.machine["joints"][key]
        stage = joint["stages"][number - 1]
        if stage.get("pose"):
            self.pose(section, stage["pose"])
        action: Action = {"verb": "tighten", "object": key}
        if len(joint["stages"]) > 1:
            action["stage"] = number
        look_for = capital(joint["hand"]) if joint["hand"] else None
        self.write(section, action, detail=order_words(self.plan.machine, key), look_for=look_for,
                   tools=self.wrench(key, stage))

    def wrench(self, key: str, stage: Mapping[str, Any]) -> tuple[str, ...]:
        """The torque wrench that reads what this stage asks for; of several one that reads the whole figure too, and of
        these the smallest."""
        joint, machine = self.plan.machine["joints"][key], self.plan.machine
        figure = machine["figures"].get(stage.get("figure") or joint["figure"] or "")
        if "angle_deg" in stage or figure is None or figure["kind"] != "torque":
            return ()
        value_nm = (figure["value"] if figure["value"] is not None else figure["high"]) or 0
        target_nm = value_nm * stage.get("share", 100) / 100
        fitting = [(not _reads(tool, value_nm), tool["high_nm"] or 1e9, name) for name, tool in machine["tools"].items()
                   if tool["kind"] == "torque_wrench" and _reads(tool, target_nm)]
        if not fitting:
            self.leave_open("draft_wrench_missing", object=joint["name"], figure=figure["as_published"])
        return (min(fitting)[2],) if fitting else ()


def _reads(tool: Mapping[str, Any], target_nm: float) -> bool:
    return bool((tool["low_nm"] or 0) <= target_nm <= (tool["high_nm"] or 1e9))


def action_text(action: Mapping[str, Any]) -> str:
    """An action as a dealer writes it."""
    verb, key = action["verb"], action["object"]
    match verb:
        case "tighten":
            return f"tighten {key}" + (f" stage {action['stage']}" if "stage" in action else "")
        case "apply":
            return f"apply {key} to {action['to']}"
        case "fill":
            return f"fill {key}" + (f" {action['amount_ml']:g} ml" if "amount_ml" in action else "")
        case "set":
            return f"set {key} {action['value']}"
        case "aid_on" | "aid_off":
            return f"aid {verb[4:]} {key}"
    return f"{verb} {key}"


def tray_of(plan: Plan, fluid: str) -> str | None:
    """What catches a fluid: an aid of the map that is no lock; that of the fewest fluids first."""
    fitting = [(len(aid["catches"]), key) for key, aid in plan.machine["aids"].items()
               if fluid in aid["catches"] and not aid["control"]]
    return min(fitting)[1] if fitting else None


def carrier_of(plan: Plan, part: str) -> str | None:
    """What carries a part: an aid of the map; that of the fewest things first."""
    units = {unit for unit, entry in plan.machine["units"].items() if part in entry["parts"]}
    fitting = [(len(aid["carries"]), key) for key, aid in plan.machine["aids"].items() if {part, *units} & set(aid["carries"])]
    return min(fitting)[1] if fitting else None


def write_check(man: Draftsman, section: str, key: str) -> None:
    """One check, with the tools and limits that the map states; what it does not state stays open."""
    check = man.plan.machine["checks"][key]
    limits = limits_of(man.plan, key) if check["kind"] == "measure" else None
    if check["kind"] == "measure" and not check["tools"]:
        man.leave_open("draft_measuring_tool_missing", object=check["name"])
    if check["kind"] == "measure" and check["figure"] and limits is None:
        man.leave_open("draft_limits_missing", object=check["name"])
    level = man.plan.machine["fluids"].get(check["fluid"] or "", {}).get("level") if check["kind"] == "level" else None
    man.write(section, {"verb": check["kind"], "object": key}, look_for=capital(level) if level else None,
              tools=check["tools"], limits=limits)


def limits_of(plan: Plan, key: str) -> dict[str, str] | None:
    """Limits as the map states them. Never guessed: without `at_least` or `at_most` there are none."""
    check = plan.machine["checks"][key]
    bounds = {name: check[name] for name in ("at_least", "at_most") if check[name]}
    if not bounds:
        return None
    return {"check": key, **bounds, "pass": "Go on.",
            "fail": f"Stop here. The {thing_name(plan.machine, key)} is out of its limits. Ask the dealer.", "fail_needs": "ask"}
