"""D7, D11, D12, D15, D16, D20: joints are made again in the right way, with what must be new and on the thread.

Knows one action and the state before it.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from benchtrail.domain.bench_state import pose_family
from benchtrail.domain.checks.conditions import pose_now
from benchtrail.domain.checks.play import Fault, Moment
from benchtrail.domain.findings import Severity

ERROR, BLOCK, NOTE = Severity.ERROR, Severity.BLOCK, Severity.NOTE
NORMAL = "normal"


def _severity(entry: Mapping[str, Any]) -> Severity:
    return ERROR if entry["safety"] == NORMAL else BLOCK


def check_reused(moment: Moment) -> Iterator[Fault]:
    """D11: something single-use that was opened goes back in and was not renewed."""
    things: list[str] = []
    if moment.verb == "fit":
        after = moment.after
        things = [part for part in moment.parts if part not in after["parts"] and part in moment.state["parts"]]
    elif moment.verb in ("start", "tighten") and moment.joint:
        things = [moment.key, *(part for part in moment.joint["joins"] if part not in moment.state["parts"])]
    for thing in things:
        if thing in moment.state["disturbed"] and f"used {thing}" not in moment.log.blamed:
            entry = moment.pack["parts"].get(thing) or moment.pack["joints"][thing]
            yield Fault("D11", _severity(entry), "single_use_again", {"object": moment.name(thing)},
                        (f"used {thing}",))


def check_started(moment: Moment) -> Iterator[Fault]:
    """D12: threaded fasteners are tightened before all of them were turned in by hand."""
    if moment.verb != "tighten" or not moment.joint or moment.joint["kind"] != "threaded":
        return
    # when what was to go in with them is not on, that is the fault
    members = moment.joint["joins"]
    if moment.state["joints"].get(moment.key) == "undone" and not moment.log.blamed & set(members):
        yield Fault("D12", ERROR, "not_started", {"object": moment.name(moment.key)}, follows=tuple(members))


def check_started_made(moment: Moment) -> Iterator[Fault]:
    """D12: fasteners are turned in that were never undone, so the step that undoes them is missing."""
    if moment.verb != "start" or moment.joint is None or moment.key in moment.state["joints"]:
        return
    explained = moment.key in moment.log.blamed or ("undone", moment.key) in moment.log.assumed \
        or any(moment.assumed_off(part) for part in moment.joint["joins"])
    if not explained:
        yield Fault("D12", ERROR, "started_made", {"object": moment.name(moment.key)}, (moment.key,))


def check_stage_order(moment: Moment) -> Iterator[Fault]:
    """D7: a stage is tightened before the one ahead of it, or the last one with those before it left out."""
    if moment.verb != "tighten" or moment.joint is None or moment.key not in moment.state["joints"]:
        return
    count = len(moment.joint["stages"])
    stage = min(moment.action.get("stage", count), count)
    reached = moment.state["stages"].get(moment.key, 0)
    if stage > reached + 1:
        yield Fault("D7", ERROR, "stage_left_out", {"object": moment.name(moment.key), "stage": stage,
                                                    "next": reached + 1})


def check_stage_pose(moment: Moment) -> Iterator[Fault]:
    """D15: a stage is tightened in another pose than it asks for."""
    if moment.verb != "tighten" or moment.joint is None:
        return
    stages = moment.joint["stages"]
    wanted = stages[min(moment.action.get("stage", len(stages)), len(stages)) - 1]["pose"]
    family = pose_family(moment.pack, wanted) if wanted else None
    if family is not None and pose_now(moment.pack, moment.state, family) != wanted:
        yield Fault("D15", ERROR, "stage_in_other_pose", {"object": moment.name(moment.key),
                                                          "pose": moment.name(wanted)})


def check_treated(moment: Moment) -> Iterator[Fault]:
    """D16: a joint that was undone is made again without what goes on its threads."""
    joint = moment.joint
    if moment.verb in ("start", "tighten") and joint and joint["treatment"]["supply"] \
            and moment.state["joints"].get(moment.key) == "undone":
        supply = joint["treatment"]["supply"]
        if [supply, moment.key] not in moment.state["treated"] and f"treated {moment.key}" not in moment.log.blamed:
            yield Fault("D16", ERROR, "treatment_missing", {"object": moment.name(moment.key),
                                                            "supply": moment.name(supply)})


def check_needless(moment: Moment) -> Iterator[Fault]:
    """D20: an action that changes nothing: undone already, off already, tightened twice. What an earlier fault says was
    left out is no second one."""
    key = moment.key
    known = moment.joint is not None or moment.parts or moment.verb in ("drain", "aid_on", "aid_off")
    if not known or not _changes_nothing(moment):
        return
    explained = ("undone", key) in moment.log.assumed or key in moment.log.blamed \
        or any(moment.assumed_off(part) for part in (key, *(moment.joint["joins"] if moment.joint else ())))
    if not explained:
        verb = moment.verb.replace("_", " ")
        yield Fault("D20", NOTE, "changes_nothing", {"object": moment.name(key), "verb": verb})


def _changes_nothing(moment: Moment) -> bool:
    state, key = moment.state, moment.key
    joint = state["joints"].get(key)
    match moment.verb:
        case "undo":
            return joint == "undone"
        case "slacken":
            return joint in ("undone", "slack")
        case "start":
            return joint == "started"
        case "tighten":
            return joint is None or bool(moment.action.get("stage", 99) <= state["stages"].get(key, 0))
        case "remove":
            return key in moment.log.taken_off
        case "drain":
            return state["fluids"].get(key) == "drained"
        case "aid_on":
            return key in state["aids"]
        case "aid_off":
            return key not in state["aids"]
    return False
