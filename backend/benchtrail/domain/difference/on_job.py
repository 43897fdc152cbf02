"""What a difference means for one job: which finished steps it touches, and what the people on it have answered.

Knows changes and the fold of a journal; `frontend/src/domain/on-job.ts` is the same, function for function.
"""

from collections.abc import Mapping, Sequence
from typing import Any, TypedDict

from benchtrail.domain.guards import guard_holds

Row = dict[str, Any]


class StepToSee(TypedDict):
    """A finished step that changed, or a new one that was passed. `changes`: ids; `answer`: `{answer, reason, device,
    wall}` of the last answer when every one of the changes has been answered for this step, else None."""

    step: str
    added: bool
    changes: list[str]
    answer: Row | None


class OnJob(TypedDict):
    """`concerns`: the ids of the changes that this job's machine has; `used`: of these the figures that a finished step
    went by; `steps`: what is to be done again or accepted; `left`: how many of these have no answer; `seen`: who has read
    all that concerns the job, `{device, wall}`, or None."""

    concerns: list[str]
    used: list[str]
    steps: list[StepToSee]
    left: int
    seen: Row | None


def on_job(changes: Sequence[Mapping[str, Any]], steps: Sequence[Mapping[str, Any]], fold: Mapping[str, Any]) -> OnJob:
    """What the changes mean for a job with this fold; `steps`: those of the whole pack that it is pinned to.

    Raises Refused("guard_unknown").
    """
    fitted = {step["id"] for step in steps if guard_holds(step["when"], fold["variant"])}
    place = {step["id"]: n for n, step in enumerate(steps)}
    mine = [change for change in changes if _concerns(change, fitted, fold)]
    found: dict[str, StepToSee] = {}
    for change in mine:
        for step in _touched(change, place, fold) if change["redo"] else []:
            row = found.setdefault(step, {"step": step, "added": step not in place, "changes": [], "answer": None})
            row["changes"].append(change["id"])
    rows = sorted(found.values(), key=lambda row: (place.get(row["step"], len(place)), row["step"]))
    answered: list[StepToSee] = [{**row, "answer": _answer(row, fold["answers"])} for row in rows]
    used = [change["id"] for change in mine if change["code"] == "figure_changed" and _touched(change, place, fold)]
    return {"concerns": [change["id"] for change in mine], "used": used, "steps": answered,
            "left": sum(row["answer"] is None for row in answered), "seen": _seen(mine, fold["answers"])}


def _concerns(change: Mapping[str, Any], fitted: set[str], fold: Mapping[str, Any]) -> bool:
    """A change of steps that this machine does not have is none of its business."""
    if not guard_holds(change["when"], fold["variant"]):
        return False
    return not change["steps"] or any(step in fitted for step in change["steps"])


def _touched(change: Mapping[str, Any], place: Mapping[str, int], fold: Mapping[str, Any]) -> list[str]:
    if "before" in change:
        return [str(change["object"])] if _passed(change["before"], place, fold) else []
    return [step for step in change["steps"] if step in place and step in fold["done"]]


def _passed(before: str | None, place: Mapping[str, int], fold: Mapping[str, Any]) -> bool:
    """A new step was passed when a step is done that comes after its place."""
    if before is None:
        return fold["closed"] is not None
    return before in place and any(place[step] >= place[before] for step in fold["done"] if step in place)


def _answer(row: StepToSee, answers: Sequence[Row]) -> Row | None:
    given = [one for one in answers if one["step"] == row["step"] and one["answer"] != "seen"]
    covered = {id for one in given for id in one["changes"]}
    if not given or not covered.issuperset(row["changes"]):
        return None
    return {field: given[-1][field] for field in ("answer", "reason", "device", "wall")}


def _seen(mine: Sequence[Mapping[str, Any]], answers: Sequence[Row]) -> Row | None:
    read = [one for one in answers if one["answer"] == "seen"]
    covered = {id for one in read for id in one["changes"]}
    if not read or not covered.issuperset(change["id"] for change in mine):
        return None
    return {field: read[-1][field] for field in ("device", "wall")}
