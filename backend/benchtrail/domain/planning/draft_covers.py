"""Covers over what stands open: put on where nothing is done through the opening for a while, taken off for work there.

Knows the steps of one variant, played; which aids cover what is the map's.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from benchtrail.domain.action_text import read_action
from benchtrail.domain.bench_state import apply_action, start_state
from benchtrail.domain.checks.play_openings import MOST_STEPS_OPEN, behind, opens_machine
from benchtrail.domain.planning.draft_steps import Draftsman, DraftStep
from benchtrail.domain.text_tree import Scalar

# a cover that goes on is itself a step, and so may be one beside it
SOON = MOST_STEPS_OPEN - 1


def cover_openings(man: Draftsman) -> None:
    """Adds to the steps the covers on and off, as the map has them."""
    machine = man.plan.machine
    steps = man.steps
    if not steps:
        return
    wanted: dict[str, set[int]] = {}
    through: dict[str, set[int]] = {}
    for part, idle, working in _openings(man):
        aid = next((key for key, entry in machine["aids"].items() if part in entry["covers"]), None)
        if aid is not None:
            wanted.setdefault(aid, set()).update(_long_runs(idle))
            through.setdefault(aid, set()).update(working)
    on: set[str] = set()
    found: list[DraftStep] = []
    for number, step in enumerate([*steps, None]):
        now = {aid for aid in wanted if number in wanted[aid] - through[aid]}
        section = step.section if step else steps[-1].section
        found += [_aid_step(man, section, "aid_off", aid) for aid in sorted(on - now)]
        found += [_aid_step(man, section, "aid_on", aid) for aid in sorted(now - on)]
        found += [step] if step else []
        on = now
    man.steps[:] = found


def _aid_step(man: Draftsman, section: str, verb: str, aid: str) -> DraftStep:
    """The step as the draftsman writes it."""
    before = list(man.steps)
    man.steps.clear()
    man.write(section, {"verb": verb, "object": aid})
    (written,) = man.steps
    man.steps[:] = before
    return written


def _openings(man: Draftsman) -> list[tuple[str, list[int], list[int]]]:
    """Each part that leaves an opening, with the numbers of the steps over which it is open: idle, and worked through."""
    machine = man.plan.machine
    after, actions = _played(man)
    found = []
    for part, entry in machine["parts"].items():
        if entry["leaves_open"] and any(part in state["parts"] for state in after):
            near = behind(machine, part)
            is_open = [part in state["parts"] and opens_machine(machine, state, part) for state in after]
            idle: list[int] = []
            working: list[int] = []
            for number, acts in enumerate(actions):
                if is_open[number] and number and is_open[number - 1]:
                    here = any({act["object"], act.get("to", "")} & near and not _on_bench(machine, after[number - 1], act)
                               for act in acts)
                    (working if here else idle).append(number)
                elif number and is_open[number - 1]:
                    working.append(number)
            found.append((part, idle, working))
    return found


def _on_bench(machine: Mapping[str, Any], before: Mapping[str, Any], act: Mapping[str, Any]) -> bool:
    """True for an act on what lies on the bench: a part in the hand, or one that joins nothing on the machine."""
    key, off = act.get("to", act["object"]), before["parts"]
    if act["verb"] == "inspect" or (key in off and act["verb"] not in ("fit", "hang")):
        return True
    if key in machine["joints"]:
        return any(part in off for part in machine["joints"][key]["joins"])
    others = {other for joint in machine["joints"].values() if key in joint["joins"] for other in joint["joins"]} - {key}
    return key in machine["parts"] and others <= off.keys()


def _played(man: Draftsman) -> tuple[list[Any], list[list[Mapping[str, Any]]]]:
    """The state after each step, and the actions of each."""
    state = start_state(man.pack)
    states: list[Any] = []
    actions: list[list[Mapping[str, Any]]] = []
    for step in man.steps:
        acts: list[Mapping[str, Any]] = [read_action(Scalar(text, text, 1)) for text in step.do]
        for act in acts:
            state = apply_action(man.pack, state, dict(act))
        states.append(state)
        actions.append(acts)
    return states, actions


def _long_runs(numbers: Sequence[int]) -> list[int]:
    """Of ascending numbers those that stand in a run that is too long."""
    found: list[int] = []
    run: list[int] = []
    for number in [*numbers, None]:
        if run and (number is None or number != run[-1] + 1):
            found += run if len(run) >= SOON else []
            run = []
        if number is not None:
            run.append(number)
    return found
