"""Drafts a procedure from a goal: plans every variant, writes strip and rebuild, puts them together, checks the text.

Knows model packs and the dealer's texts; a draft on top of an edited one keeps the edited words.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.action_text import read_action
from benchtrail.domain.bench_state import GUARDED_TABLES
from benchtrail.domain.findings import Finding
from benchtrail.domain.planning.acts import families_of
from benchtrail.domain.planning.draft_merge import Merged, guard_words, merged, step_ids
from benchtrail.domain.planning.draft_text import procedure_text
from benchtrail.domain.planning.draft_variant import Draftsman, DraftStep, drafted_steps
from benchtrail.domain.planning.goals import read_goal
from benchtrail.domain.planning.plan import Plan
from benchtrail.domain.planning.words import said, thing_name
from benchtrail.domain.procedure_text import ProcedureText
from benchtrail.domain.refused import Refused
from benchtrail.domain.text_tree import Scalar
from benchtrail.domain.variants import VariantSpace, variants_of
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.least_work import SECONDS
from benchtrail.services.plan import Goal, ModelPack, planned

NORMAL = "normal"
DOING = {"renewed": "renew", "changed": "change", "drained": "drain", "out": "remove", "undone": "undo", "reach": "reach",
         "measure": "measure", "done": "do", "aside": "hang", "pose": "pose"}
HEAVY_KG = 25
EDITED = ("say", "detail", "look_for", "picture", "minutes", "tools")
SKILL = "You have worked on this machine before and you can use a torque wrench."
STOP = ("Stop and ask the dealer when a thread turns without getting tight, when a part is cracked or scored, or when a "
        "limit is not met. The machine maker's documents and the rules of your country go before this procedure.")


@dataclass(frozen=True)
class Drafted:
    """A drafted procedure: its id, its text, what the map leaves open, and what the checks find in it."""

    procedure: str
    text: str
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Redrafted:
    """A new draft over an edited procedure: the text with the edits kept, and what changes, one line each."""

    drafted: Drafted
    changes: tuple[str, ...]


def draft_procedure(pack: ModelPack, map_file: LibraryFile, goals: Sequence[str], issued: str, author: str,
                    start: Sequence[Goal] = (), kept: ProcedureText | None = None, seconds: float = SECONDS) -> Drafted:
    """The draft for goals as written, in every variant that has them. `kept`: an edited procedure whose words stay.

    Raises as `plan_model`.
    """
    wanted = [read_goal(pack, goal) for goal in goals]
    if not wanted:
        raise Refused("goal_missing")
    space = variants_of(pack, (entry.get("when") for table in GUARDED_TABLES for entry in pack[table].values()))
    plans = {number: plan for number, variant in enumerate(space.variants)
             if (plan := planned(pack, variant, wanted, start, seconds, with_other_ways=False)) is not None}
    begin = list(start) or _usual_start(plans)
    men = {number: drafted_steps(plan, [list(goal) for goal in begin]) for number, plan in _again(
        pack, space, plans, wanted, begin, seconds).items()}
    # the longest first: what is less in another variant is then found in it
    longest_first = sorted(men.items(), key=lambda pair: (-len(pair[1].steps), pair[0]))
    steps = merged([(number, man.steps) for number, man in longest_first])
    written = _written(space, steps, men.keys(), kept)
    head = _head(pack, space, plans, men, wanted, begin, issued, author, kept)
    text = procedure_text(head, written, bool(pack["invented"]))
    file = LibraryFile(f"{map_file.path.rpartition('/')[0]}/{head['procedure']}.yaml", text.encode())
    library = check_library([LibraryFile(map_file.path, map_file.content, asked=False), file], lambda path: None)
    unknown = tuple(dict.fromkeys(open_point for man in men.values() for open_point in man.unknown))
    return Drafted(head["procedure"], text, unknown, tuple(library.findings))


def _usual_start(plans: Mapping[int, Plan]) -> list[Goal]:
    """For each family of poses the first that a plan takes."""
    found: dict[str, str] = {}
    for plan in plans.values():
        for _, label in plan.work:
            for family, pose in zip(families_of(plan.machine), label[2:], strict=True):
                if pose:
                    found.setdefault(family, pose)
    return [("pose", pose) for _, pose in sorted(found.items())]


def _again(pack: ModelPack, space: VariantSpace, plans: Mapping[int, Plan], wanted: Sequence[Goal],
           begin: Sequence[Goal], seconds: float) -> dict[int, Plan]:
    """The plans when the machine is in the poses of the start already."""
    found = {}
    for number in plans:
        plan = planned(pack, space.variants[number], wanted, begin, seconds, with_other_ways=False)
        if plan is not None:
            found[number] = plan
    return found


def _written(space: VariantSpace, steps: Sequence[Merged[DraftStep]], among: Any,
             kept: ProcedureText | None) -> list[dict[str, Any]]:
    """The steps as plain data with ids and guards; an edited step of the same id keeps its words."""
    ids = step_ids([step.entry.do for step in steps])
    edited = {step["id"]: step for step in kept.steps} if kept else {}
    found = []
    for key, step in zip(ids, steps, strict=True):
        entry = step.entry
        own: dict[str, Any] = {
            "id": key, "section": entry.section, "do": list(entry.do), "say": entry.say, "detail": entry.detail,
            "look_for": entry.look_for, "when": guard_words(space, step.variants, among), "tools": list(entry.tools),
            "caution": list(entry.caution), "limits": dict(entry.limits), "minutes": entry.minutes, "picture": None}
        if key in edited and _same_acts(entry.do, edited[key]):
            own |= {name: edited[key][name] for name in EDITED if edited[key].get(name)}
        found.append(own)
    return found


def _same_acts(do: Sequence[str], step: Mapping[str, Any]) -> bool:
    return [read_action(Scalar(text, text, 1)) for text in do] == list(step["do"])


def _head(pack: ModelPack, space: VariantSpace, plans: Mapping[int, Plan], men: Mapping[int, Draftsman],
          wanted: Sequence[Goal], begin: Sequence[Goal], issued: str, author: str,
          kept: ProcedureText | None) -> dict[str, Any]:
    words = list(dict.fromkeys(_goal_words(pack, goal) for goal in wanted))
    title = f"{words[0][:1].upper()}{' and '.join(words)[1:]}"
    touched = [entry for man in men.values() for entry in _touched(man)]
    ends = list(dict.fromkeys(f"pose {pose}" for man in men.values() for pose in _final_poses(man)))
    fluids = {key[8:] for plan in plans.values() for key in plan.done if key.startswith("drained:")}
    disposal = " ".join(dict.fromkeys(pack["fluids"][key]["disposal"] for key in sorted(fluids)
                                      if pack["fluids"][key]["disposal"]))
    head: dict[str, Any] = {
        "procedure": "-and-".join(f"{DOING[goal[0]]}-{goal[1]}" for goal in wanted).replace("_", "-")[:80].strip("-"),
        "title": title[:120], "summary": f"Take off what is in the way, {' and '.join(words)}, put everything back and check it.",
        "model": pack["model"], "revision": 1, "issued": issued, "author": author, "change_note": "First issue, drafted from the map.",
        "applies": guard_words(space, plans.keys(), range(len(space.variants))) or "all",
        "goal": [" ".join(goal) for goal in wanted], "safety": sorted({entry["safety"] for entry in touched} - {NORMAL}) or [NORMAL],
        "people": 2 if any((entry.get("mass_kg") or 0) >= HEAVY_KG for entry in touched) else 1, "skill": SKILL,
        "start": [" ".join(goal) for goal in begin], "ends": ends or [" ".join(goal) for goal in begin],
        "stop_and_ask": STOP, "disposal": disposal}
    if kept:
        head |= {name: kept.head[name] for name in ("title", "summary", "skill", "stop_and_ask", "procedure", "author")}
        head |= {"revision": kept.head["revision"] + 1, "change_note": "Drafted again after a change of the map."}
    return head


def _goal_words(pack: ModelPack, goal: Goal) -> str:
    word, key = goal
    name = thing_name(pack, key)
    return {"renewed": f"renew the {name}", "changed": f"change the {name}", "out": f"take the {name} off and fit it again",
            "undone": f"undo and make the {name}", "reach": f"reach the {name}"}.get(word) or _other_goal(pack, goal)


def _other_goal(pack: ModelPack, goal: Goal) -> str:
    word, key = goal
    kind = {"measure": "check", "done": "check", "drained": "drained", "aside": "aside", "pose": "pose"}[word]
    return said(pack, f"{kind}:{key}")


def _touched(man: Draftsman) -> list[Mapping[str, Any]]:
    machine = man.plan.machine
    names = {action.split()[1] for step in man.steps for action in step.do
             if action.split()[0] in ("undo", "remove", "tighten", "slacken")}
    return [machine[table][name] for table in ("parts", "joints") for name in sorted(names & machine[table].keys())]


def _final_poses(man: Draftsman) -> list[str]:
    """The pose of every family at the end."""
    start = {man.plan.machine["poses"][literal[1]]["family"]: literal[1] for literal in man.start if literal[0] == "pose"}
    return [pose for _, pose in sorted({**start, **man.state["poses"]}.items())]


def redraft(pack: ModelPack, map_file: LibraryFile, kept: ProcedureText, issued: str, seconds: float = SECONDS) -> Redrafted:
    """The draft of an edited procedure's own goals with its words kept, and what the map's change does to it."""
    goals = [" ".join(literal) for literal in kept.head["goal"]]
    start = [(literal[0], literal[1]) for literal in kept.head["start"] if literal[0] == "pose"]
    drafted = draft_procedure(pack, map_file, goals, issued, str(kept.head["author"]), start, kept, seconds)
    return Redrafted(drafted, tuple(_changes(kept, drafted.text)))


def _changes(kept: ProcedureText, text: str) -> list[str]:
    """Steps that are new, gone, or do something else; words alone are no change."""
    before = {step["id"]: step["do"] for step in kept.steps}
    after: dict[str, list[Any]] = {}
    for block in text.split("\n  - id: ")[1:]:
        lines = block.split("\n")
        do = next(line.removeprefix("    do: ") for line in lines if line.startswith("    do: "))
        texts = do.strip("[]").split(", ") if do.startswith("[") else [do]
        after[lines[0]] = [read_action(Scalar(part.strip(chr(34)), part.strip(chr(34)), 1)) for part in texts]
    lines = [f"new: {key}" for key in after if key not in before]
    lines += [f"gone: {key}" for key in before if key not in after]
    return lines + [f"does something else: {key}" for key in after if key in before and before[key] != after[key]]
