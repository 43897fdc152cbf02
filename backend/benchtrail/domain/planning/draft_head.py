"""The head of a drafted procedure: title, fitment, safety, people, start, ends, from its plans and steps.

Knows what the map says of what is touched; nothing of steps' words.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from benchtrail.domain.planning.draft_steps import Draftsman
from benchtrail.domain.planning.needs import Literal
from benchtrail.domain.planning.words import said, thing_name

Goal = tuple[str, str]
NORMAL = "normal"
HEAVY_KG = 25
LONGEST_ID = 80
LONGEST_TITLE = 120
DOING = {"renewed": "renew", "changed": "change", "drained": "drain", "out": "remove", "undone": "undo", "reach": "reach",
         "measure": "measure", "done": "do", "aside": "hang", "pose": "pose"}
SKILL = "You have worked on this machine before and you can use a torque wrench."
STOP = ("Stop and ask the dealer when a thread turns without getting tight, when a part is cracked or scored, or when a "
        "limit is not met. The machine maker's documents and the rules of your country go before this procedure.")


def procedure_id(goals: Sequence[Goal]) -> str:
    """The id that goals give, in kebab-case: `renew-pump-seal-early`."""
    return "-and-".join(f"{DOING[goal[0]]}-{goal[1]}" for goal in goals).replace("_", "-")[:LONGEST_ID].strip("-")


def head_of(pack: Mapping[str, Any], men: Iterable[Draftsman], goals: Sequence[Goal], start: Sequence[Literal],
            applies: str, issued: str, author: str) -> dict[str, Any]:
    """The head by its keys (shared/README.md §5); what a person must say better is said plainly for now."""
    writers = list(men)
    words = list(dict.fromkeys(_goal_words(pack, goal) for goal in goals))
    title = f"{words[0][:1].upper()}{' and '.join(words)[1:]}"
    touched = [entry for man in writers for entry in _touched(man)]
    ends = list(dict.fromkeys(f"pose {pose}" for man in writers for pose in _final_poses(man)))
    begin = [" ".join(literal) for literal in start]
    return {
        "procedure": procedure_id(goals), "title": title[:LONGEST_TITLE],
        "summary": _summary(" and ".join(words)), "model": pack["model"], "revision": 1, "issued": issued,
        "author": author, "change_note": "First issue, drafted from the map.", "applies": applies,
        "goal": [" ".join(goal) for goal in goals],
        "safety": sorted({entry["safety"] for entry in touched} - {NORMAL}) or [NORMAL],
        "people": 2 if any((entry.get("mass_kg") or 0) >= HEAVY_KG for entry in touched) else 1,
        "skill": SKILL, "start": begin, "ends": ends or begin, "stop_and_ask": STOP, "disposal": _disposal(pack, writers)}


def _summary(words: str) -> str:
    return f"Take off what is in the way, {words}, put everything back and check it."


def _disposal(pack: Mapping[str, Any], men: Iterable[Draftsman]) -> str:
    fluids = sorted({key[8:] for man in men for key in man.plan.done if key.startswith("drained:")})
    return " ".join(dict.fromkeys(pack["fluids"][key]["disposal"] for key in fluids if pack["fluids"][key]["disposal"]))


def _goal_words(pack: Mapping[str, Any], goal: Goal) -> str:
    word, key = goal
    name = thing_name(pack, key)
    return {"renewed": f"renew the {name}", "changed": f"change the {name}", "out": f"take the {name} off and fit it again",
            "undone": f"undo and make the {name}", "reach": f"reach the {name}",
            "aside": f"hang the {name} aside and fit it again"}.get(word) or _other_goal(pack, goal)


def _other_goal(pack: Mapping[str, Any], goal: Goal) -> str:
    word, key = goal
    kind = {"measure": "check", "done": "check", "drained": "drained", "pose": "pose"}[word]
    return said(pack, f"{kind}:{key}")


def _touched(man: Draftsman) -> list[Mapping[str, Any]]:
    machine = man.plan.machine
    names = {action.split()[1] for step in man.steps for action in step.do
             if action.split()[0] in ("undo", "remove", "tighten", "slacken")}
    return [machine[table][name] for table in ("parts", "joints") for name in sorted(names & machine[table].keys())]


def _final_poses(man: Draftsman) -> list[str]:
    """The pose of every family at the end."""
    start = {man.plan.machine["poses"][literal[1]]["family"]: literal[1] for literal in man.start
             if literal[0] == "pose" and literal[1] in man.plan.machine["poses"]}
    return [pose for _, pose in sorted({**start, **man.state["poses"]}.items())]
