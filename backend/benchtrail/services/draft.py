"""Drafts a procedure from goals: plans every variant, writes strip and rebuild, puts them together, checks the text.

Knows model packs and the house's own words for an act; how a draft meets an edited procedure is redraft.py's.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.bench_state import GUARDED_TABLES
from benchtrail.domain.compile_pack import ReadPicture
from benchtrail.domain.findings import Finding, Severity, Where, worst_first
from benchtrail.domain.guards import Variant
from benchtrail.domain.map_text import TABLES, MapText
from benchtrail.domain.planning.draft_head import head_of
from benchtrail.domain.planning.draft_marks import marks_of
from benchtrail.domain.planning.draft_merge import Merged, guard_words, merged, step_ids
from benchtrail.domain.planning.draft_steps import Draftsman, DraftStep, Phrases
from benchtrail.domain.planning.draft_text import marks_text, procedure_text
from benchtrail.domain.planning.draft_variant import drafted_steps
from benchtrail.domain.planning.goals import read_goal
from benchtrail.domain.planning.operations import Label, Operation
from benchtrail.domain.planning.order import Ordered, least_changes
from benchtrail.domain.planning.plan import Plan
from benchtrail.domain.procedure_text import ProcedureText, read_procedure
from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.variants import VariantSpace, variants_of
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile, MapEntry
from benchtrail.services.least_work import SECONDS
from benchtrail.services.plan import Goal, ModelPack, check_variant, planned
from benchtrail.services.read_yaml import read_bytes

AUTHOR = "Workshop"
ORDER_LOOKS = 1500
ORDER_BEAM = 100


@dataclass(frozen=True)
class Drafted:
    """A drafted procedure: its id, its text as read, and what the map leaves open or the checks find in it."""

    procedure: str
    path: str
    text: str
    read: ProcedureText
    findings: tuple[Finding, ...]


def draft_procedure(pack: ModelPack, map_path: str, goals: Sequence[str], issued: str, author: str = AUTHOR,
                    variant: Variant | None = None, start: Sequence[Goal] = (), phrases: Phrases | None = None,
                    seconds: float = SECONDS) -> Drafted:
    """The draft for goals as written, in every variant that has them, or in one. `start`: poses that the machine is in;
    without any, those that the work begins with. `phrases`: words that a person wrote for an act before.

    Raises as `plan_model`, and Refused("draft_nothing_to_do").
    """
    wanted = [read_goal(pack, goal) for goal in goals]
    if not wanted:
        raise Refused("goal_missing")
    space = variants_of(pack, (entry.get("when") for table in GUARDED_TABLES for entry in pack[table].values()))
    numbers = _chosen(pack, space, variant)
    begin = list(start)
    plans = _plans(pack, space, numbers, wanted, begin, seconds)
    men = _men(plans, begin, phrases)
    later = _later_poses(pack, men.values(), {pack["poses"][key]["family"] for word, key in begin if word == "pose"})
    if later:
        begin.extend(("pose", pose) for pose in later)
        men = _men(plans, begin, phrases)
    if not men:
        raise Refused("draft_nothing_to_do", goals=", ".join(" ".join(goal) for goal in wanted))
    # the longest first: what is less in another variant is then found in it
    longest_first = sorted(men.items(), key=lambda pair: (-len(pair[1].steps), pair[0]))
    steps = merged([(number, man.steps) for number, man in longest_first])
    return _written(pack, map_path, head_of(pack, men.values(), wanted, begin,
                    guard_words(space, men.keys(), range(len(space.variants))) or "all", issued, author),
                    _steps(space, steps, men.keys()))


def _men(plans: Mapping[int, Plan], begin: Sequence[Goal], phrases: Phrases | None) -> dict[int, Draftsman]:
    """The draftsman of each variant in which anything is to do."""
    return {number: man for number, plan in plans.items()
            if (man := drafted_steps(plan, [list(goal) for goal in begin], phrases or {})).steps}


def _later_poses(pack: ModelPack, men: Iterable[Draftsman], known: Collection[str]) -> list[str]:
    """Poses that only the rebuild takes and in which a machine may be brought: one of each family not known yet."""
    taken = [action.split()[1] for man in men for step in man.steps for action in step.do if action.startswith("pose ")]
    found: dict[str, str] = {}
    for pose in taken:
        if pack["poses"][pose]["family"] not in known and _may_be_brought(pack, pose):
            found.setdefault(pack["poses"][pose]["family"], pose)
    return [found[family] for family in sorted(found)]


def _chosen(pack: ModelPack, space: VariantSpace, variant: Variant | None) -> list[int]:
    """The numbers of the variants to draft for: all, or the one that stands for the variant given."""
    if variant is None:
        return list(range(len(space.variants)))
    check_variant(pack, variant)
    year = next(first for first, (low, high) in space.spans.items() if low <= variant["year"] <= high)
    options = sorted(set(variant["options"]) & set(space.names))
    return [number for number, one in enumerate(space.variants) if one == {"year": year, "options": options}]


def _plans(pack: ModelPack, space: VariantSpace, numbers: Collection[int], wanted: Sequence[Goal], begin: list[Goal],
           seconds: float) -> dict[int, Plan]:
    """The plan of each variant that has the goals. `begin` grows by the first pose of each family that the work takes:
    a machine is brought as the work begins."""
    ordered = _Orders()
    found: dict[int, Plan] = {}
    families = {pack["poses"][key]["family"] for word, key in begin if word == "pose"}
    for number in numbers:
        while (plan := planned(pack, space.variants[number], wanted, begin, seconds, False, ordered)) is not None:
            new = _first_poses(pack, plan, families)
            if not new:
                found[number] = plan
                break
            begin.extend(("pose", pose) for _, pose in sorted(new.items()))
            families |= new.keys()
    return found


def _first_poses(pack: ModelPack, plan: Plan, known: Collection[str]) -> dict[str, str]:
    """For each family of poses not known yet, the first that the plan takes in which a machine may be brought; else the
    first such pose of the map."""
    found: dict[str, str] = {}
    taken = [pose for _, label in plan.work for pose in label[2:] if pose]
    families = {pack["poses"][pose]["family"] for pose in taken} - set(known)
    for pose in [*taken, *pack["poses"]]:
        if pack["poses"][pose]["family"] in families and _may_be_brought(pack, pose):
            found.setdefault(pack["poses"][pose]["family"], pose)
    return found


def _may_be_brought(pack: ModelPack, pose: str) -> bool:
    """True for a steady pose that asks for nothing before it is taken."""
    asked = any(trigger == ["pose", pose] for isolation in pack["isolations"].values() for trigger in isolation["during"])
    return bool(pack["poses"][pose]["steady"]) and not pack["poses"][pose]["needs"] and not asked


class _Orders:
    """Orders of operations, each found once: variants often differ in nothing that a job touches. The search ends after
    a number of looks, not after a time: a draft is the same on every machine."""

    def __init__(self) -> None:
        self.known: dict[tuple[object, ...], Ordered] = {}

    def __call__(self, operations: Sequence[Operation], costs: Sequence[int], _: object, start: Label | None) -> Ordered:
        key = (tuple(operations), tuple(costs), start)
        if key not in self.known:
            looks = iter(range(ORDER_LOOKS))
            self.known[key] = least_changes(operations, costs, lambda: next(looks, None) is None, ORDER_BEAM, start)
        return self.known[key]


def _steps(space: VariantSpace, steps: Sequence[Merged[DraftStep]], among: Collection[int]) -> list[dict[str, Any]]:
    """The steps as plain data with ids and guards."""
    ids = step_ids([step.entry.do for step in steps])
    return [{
        "id": key, "section": step.entry.section, "do": list(step.entry.do), "say": step.entry.say,
        "detail": step.entry.detail, "look_for": step.entry.look_for, "when": guard_words(space, step.variants, among),
        "tools": list(step.entry.tools), "caution": list(step.entry.caution), "limits": dict(step.entry.limits),
        "minutes": step.entry.minutes, "open": list(step.entry.open), "own_words": step.entry.own_words,
    } for key, step in zip(ids, steps, strict=True)]


def _written(pack: ModelPack, map_path: str, head: Mapping[str, Any], steps: Sequence[Mapping[str, Any]]) -> Drafted:
    """The text with its marks, read and checked as any other."""
    path = f"{map_path.rpartition('/')[0]}/{head['procedure']}.yaml".removeprefix("/")
    text = procedure_text(head, steps, bool(pack["invented"]))
    marks = marks_of(read_text(path, text))
    whole = text + marks_text(pack["revision"], *marks)
    read = read_text(path, whole)
    found = [_left_open(read, step["id"], *point) for step in steps for point in step["open"]]
    found += check_text(pack, map_path, path, whole)
    return Drafted(head["procedure"], path, whole, read, tuple(worst_first(found)))


def _left_open(read: ProcedureText, step: str, code: str, values: Sequence[tuple[str, str]]) -> Finding:
    where = Where(read.notes.file, read.notes.lines[f"steps.{step}"], step)
    return Finding(code, Severity.WARNING, where, "M4", dict(values))


def read_text(path: str, text: str) -> ProcedureText:
    """A procedure's text as read. Raises Refused("redraft_unreadable") for what is no text of a procedure."""
    notes = Notes(path)
    tree, findings = read_bytes(text.encode("utf-8", "surrogatepass"), path)
    if tree is None:
        raise Refused("redraft_unreadable", file=path, line=findings[0].where.line if findings else 1)
    return read_procedure(notes, tree)


def check_text(pack: ModelPack, map_path: str, path: str, text: str,
               read_picture: ReadPicture = lambda _: None) -> list[Finding]:
    """What the checks find in one procedure over a compiled map."""
    head = {key: value for key, value in pack.items() if key not in (*TABLES, "format", "dealer")}
    machine = MapEntry(MapText(head, {table: dict(pack[table]) for table in TABLES}, Notes(map_path), True), pack, False)  # type: ignore[arg-type]
    return check_library([LibraryFile(path, text.encode())], read_picture, known=[machine]).findings
