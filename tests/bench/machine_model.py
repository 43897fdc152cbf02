"""What the model of a machine asks of every act, read straight from a pack; says which mutants are faults at all.

Shares with the checker the meaning of a state (bench_state.py) and nothing of what it looks for: a mutant is a fault when,
in some variant, an act meets a requirement less than in the clean procedure, or the end is another one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from benchtrail.domain.bench_state import apply_action, parts_of, start_pose, start_setting, start_state
from benchtrail.domain.guards import guard_holds

Pack = dict[str, Any]
Steps = Sequence[dict[str, Any]]


@dataclass
class Bench:
    """The state, and what has been taken off by itself."""

    pack: Pack
    state: Any
    alone: set[str] = field(default_factory=set)

    def met(self, literal: Sequence[str]) -> bool:
        word, key, state, pack = literal[0], literal[1], self.state, self.pack
        match word:
            case "out" | "aside":
                places, parts = (("out",) if word == "out" else ("out", "aside")), parts_of(pack, key)
                return any(state["parts"].get(part) in places for part in parts) or not parts
            case "undone":
                return key in state["joints"] or key not in pack["joints"]
            case "drained":
                return bool(state["fluids"].get(key) == "drained") or key not in pack["fluids"]
            case "pose":
                family = pack["poses"][key]["family"] if key in pack["poses"] else None
                return family is None or state["poses"].get(family, start_pose(pack, family)) == key
            case "set":
                return bool(state["settings"].get(key, start_setting(pack, key)) == literal[2])
            case "renewed":
                return key in state["renewed"]
            case "done":
                return key in state["checks"]
            case "aid":
                return key in state["aids"]
        return True

    def open_way(self, ways: Any) -> bool:
        return not ways or any(all(self.met(literal) for literal in every) for every in ways)

    def boundary(self, thing: str) -> list[str]:
        held = set(parts_of(self.pack, thing))
        return [key for key, joint in self.pack["joints"].items() if held & set(joint["joins"]) and not set(joint["joins"]) <= held]

    def exits(self, thing: str) -> Any:
        entry = self.pack["units"].get(thing) or self.pack["parts"].get(thing)
        return entry["exit"] if entry else []


def account(pack: Pack, steps: Steps, variants: Sequence[Any]) -> list[tuple[Counter[tuple[str, str]], str]]:
    """For each variant the requirements not met, and the end in one text. `pack`: per variant, with its steps replaced."""
    return [_play({**whole, "steps": [step for step in steps if guard_holds(step["when"], variant)]})
            for whole, variant in zip(pack["variants"], variants, strict=True)]


def is_fault(clean: list[tuple[Counter[tuple[str, str]], str]], mutant: list[tuple[Counter[tuple[str, str]], str]]) -> bool:
    """True if the mutant meets less, or ends otherwise, in some variant."""
    return any(mutant_end != clean_end or mutant_unmet - clean_unmet
               for (clean_unmet, clean_end), (mutant_unmet, mutant_end) in zip(clean, mutant, strict=True))


def _play(pack: Pack) -> tuple[Counter[tuple[str, str]], str]:
    bench = Bench(pack, start_state(pack))
    unmet: Counter[tuple[str, str]] = Counter()
    for place, step in enumerate(pack["steps"]):
        soon = [*step["do"], *(pack["steps"][place + 1]["do"] if place + 1 < len(pack["steps"]) else [])]
        for action in step["do"]:
            unmet.update((action["object"], requirement) for requirement in _unmet(bench, step, action, soon))
            after = apply_action(pack, bench.state, action)
            if action["verb"] == "fit":
                unmet.update((part, "closed over") for part in _closed_over(bench, action, after))
                bench.alone -= {action["object"], *parts_of(pack, action["object"])}
            if action["verb"] in ("remove", "hang"):
                bench.alone |= {action["object"], *(part for part in parts_of(pack, action["object"]) if bench.boundary(part)
                                                    and not _inside(bench, part, action["object"]))}
            bench.state = after
    return unmet, _end(bench)


def _inside(bench: Bench, part: str, unit: str) -> bool:
    held = set(parts_of(bench.pack, unit))
    return all(set(joint["joins"]) <= held for joint in bench.pack["joints"].values() if part in joint["joins"])


def _closed_over(bench: Bench, action: dict[str, Any], after: Any) -> Iterator[str]:
    then = Bench(bench.pack, after, bench.alone)
    for part in bench.state["parts"]:
        if part in bench.alone and part not in parts_of(bench.pack, action["object"]) and bench.open_way(bench.exits(part)) \
                and not then.open_way(bench.exits(part)):
            yield part


def _unmet(bench: Bench, step: dict[str, Any], action: dict[str, Any], soon: Sequence[dict[str, Any]]) -> Iterator[str]:
    pack, state, verb, key = bench.pack, bench.state, action["verb"], action["object"]
    joint, check = pack["joints"].get(key), pack["checks"].get(key)
    if joint and verb in ("undo", "slacken", "start", "tighten"):
        yield from _of_joint(bench, step, action, joint)
    if check and not bench.open_way(check["reach"]):
        yield "reach"
    if verb == "remove":
        yield from ("held by " + each for each in bench.boundary(key) if state["joints"].get(each) != "undone")
        yield from ["again"] if key in bench.alone else []
        yield from [] if bench.open_way(bench.exits(key)) else ["way out"]
    if verb == "hang":
        aside = (pack["parts"].get(key) or {"aside": None})["aside"]
        free = all(state["joints"].get(each) == "undone" for each in bench.boundary(key))
        yield from [] if free or (aside is not None and bench.open_way(aside)) else ["way aside"]
        heavy = [part for part in parts_of(pack, key) if pack["parts"][part]["hold"]]
        on = {*state["aids"], *(each["object"] for each in soon if each["verb"] == "aid_on")}
        yield from ("carried" for part in heavy if not any(part in pack["aids"][aid]["carries"] for aid in on if aid in pack["aids"]))
    if verb == "fit":
        yield from _of_fit(bench, key)
    if verb in ("drain", "fill") and key in pack["fluids"]:
        yield from _of_fluid(bench, action, pack["fluids"][key])
    if verb == "pose" and key in pack["poses"]:
        yield from [] if bench.open_way(pack["poses"][key]["needs"]) else ["needs"]
    if verb in ("aid_on", "aid_off"):
        yield from ["again"] if (key in state["aids"]) == (verb == "aid_on") else []
    for name, isolation in pack["isolations"].items():
        if any(_means(trigger, action) for trigger in isolation["during"]) and not bench.open_way(isolation["needs"]):
            yield name


def _means(trigger: Sequence[str], action: dict[str, Any]) -> bool:
    full = " ".join([action["object"], *(str(action[key]) for key in ("value", "to") if key in action)])
    return trigger[0] == action["verb"] and trigger[1] in ("", action["object"], full)


def _of_joint(bench: Bench, step: dict[str, Any], action: dict[str, Any], joint: dict[str, Any]) -> Iterator[str]:
    state, key, verb = bench.state, action["object"], action["verb"]
    place = state["joints"].get(key)
    yield from [] if bench.open_way(joint["reach"]) else ["reach"]
    if verb in ("undo", "slacken"):
        yield from ["again"] if place in ("undone", "slack")[: 1 if verb == "undo" else 2] else []
        dry = any(bench.met(["pose", pose]) for pose in joint["dry_in"])
        for fluid in joint["holds"]:
            caught = any(fluid in bench.pack["aids"][aid]["catches"] for aid in state["aids"] if aid in bench.pack["aids"])
            let_out = any(each["object"] in (fluid, *(check for check, entry in bench.pack["checks"].items() if entry["fluid"] == fluid))
                          for each in step["do"] if each["verb"] in ("drain", "bleed"))
            if state["fluids"].get(fluid) != "drained" and not (dry or caught or let_out):
                yield "runs out"
        return
    yield from ("member off" for part in joint["joins"] if part in state["parts"])
    treatment = joint["treatment"]["supply"]
    if treatment and place in ("undone", "started") and [treatment, key] not in state["treated"]:
        yield "treatment"
    yield from ["single-use"] if key in state["disturbed"] else []
    if verb == "start":
        yield from [] if place == "undone" else ["not undone"]
        return
    stage = min(action.get("stage", len(joint["stages"])), len(joint["stages"]))
    yield from ["tight already"] if place is None or stage <= state["stages"].get(key, 0) else []
    yield from ["stage before"] if stage > state["stages"].get(key, 0) + 1 else []
    yield from ["not started"] if joint["kind"] == "threaded" and place == "undone" else []
    pose = joint["stages"][stage - 1]["pose"]
    yield from ["pose of the stage"] if pose and not bench.met(["pose", pose]) else []


def _of_fit(bench: Bench, key: str) -> Iterator[str]:
    state = bench.state
    parts = parts_of(bench.pack, key)
    off = [part for part in parts if part in state["parts"]]
    yield from [] if off and (key in bench.alone or any(part in bench.alone for part in off)) else ["is on"]
    yield from [] if bench.open_way(bench.exits(key)) else ["way in"]
    for part in off:
        yield from ["single-use"] if part in state["disturbed"] else []
        treatment = bench.pack["parts"][part]["treatment"]
        due = treatment["supply"] and treatment["due"] == "fit" and part in bench.alone
        yield from ["treatment"] if due and [treatment["supply"], part] not in state["treated"] else []


def _of_fluid(bench: Bench, action: dict[str, Any], fluid: dict[str, Any]) -> Iterator[str]:
    state, key = bench.state, action["object"]
    if action["verb"] == "drain":
        yield from [] if fluid["drain"] not in bench.pack["joints"] or fluid["drain"] in state["joints"] else ["drain shut"]
        yield from ["again"] if state["fluids"].get(key) == "drained" else []
        return
    yield from ["not drained"] if fluid["drain"] and f"drained {key}" not in state["touched"] else []
    yield from ["filled already"] if state["fluids"].get(key) == "filled" else []
    yield from [] if fluid["fill"] not in bench.pack["joints"] or fluid["fill"] in state["joints"] else ["filler shut"]
    yield from ("open " + each for each, joint in bench.pack["joints"].items() if (key in joint["holds"] or each == fluid["drain"])
                and each != fluid["fill"] and each in state["joints"] and not any(bench.met(["pose", pose]) for pose in joint["dry_in"]))


def _end(bench: Bench) -> str:
    """The end without order numbers: what is not as at the start, what was done to it, which follow-ons are due, which goals
    were reached."""
    state, pack = bench.state, bench.pack
    due = sorted(f"{rule}: {check}" for rule, entry in pack["follow_ons"].items() for check in entry["needs"]
                 if max((_last(state, literal) for literal in entry["after"]), default=0) > state["checks"].get(check, 0))
    goals = [literal for literal in pack["goal"] if literal[0] in ("done", "measure") and literal[1] not in state["checks"]]
    names = ("parts", "joints", "stages", "fluids", "aids", "poses", "settings", "renewed", "disturbed", "treated")
    kept = {name: state[name] for name in names}
    return repr((sorted((name, sorted(value.items()) if isinstance(value, dict) else value) for name, value in kept.items()), due, goals))


def _last(state: Any, literal: Sequence[str]) -> int:
    return int(state["checks"].get(literal[1], 0) if literal[0] == "done" else state["touched"].get(f"{literal[0]} {literal[1]}", 0))
