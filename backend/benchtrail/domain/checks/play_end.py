"""E1 to E7, D11, D18: what is not as it must be when the last step is done, in any variant.

Knows the list of end items (domain/end_items.py), the same that the phone shows at close-out.
"""

from typing import Any

from benchtrail.domain.bench_state import parts_of
from benchtrail.domain.checks.conditions import Literal
from benchtrail.domain.checks.play import Played
from benchtrail.domain.checks.subject import Gathered, Job, name_of
from benchtrail.domain.end_items import EndItem, end_items
from benchtrail.domain.findings import Severity, Where

# end item → check and code of the finding
FOUND_AS = {
    "joint_not_made": ("E1", "left_joint_not_made"), "joint_not_final": ("E2", "left_joint_not_final"),
    "fluid_not_filled": ("E3", "left_fluid_not_filled"), "level_not_checked": ("E3", "left_level_not_checked"),
    "part_not_on": ("E4", "left_part_not_on"), "aid_left": ("E5", "left_aid_left"),
    "pose_not_restored": ("E6", "left_pose_not_restored"), "setting_not_restored": ("E6", "left_setting_not_restored"),
    "single_use_reused": ("D11", "left_single_use_reused"),
}
SEVERITIES = {"BLOCK": Severity.BLOCK, "ERROR": Severity.ERROR}


def check_end(job: Job, found: Gathered, played: Played) -> None:
    """Adds the end items of one variant, except those that follow from a fault found on the way."""
    for item in end_items(played.pack, played.state):
        if item["object"] in played.log.blamed or f"used {item['object']}" in played.log.blamed:
            continue
        if item["code"] == "follow_on_missing":
            _add_follow_on(job, found, played, item)
        elif item["code"] != "joint_not_made" or not _goes_with_part(played, item["object"]):
            check, code = FOUND_AS[item["code"]]
            found.add(check, SEVERITIES[item["severity"]], code, _where(job, played, item["object"]), played.variant,
                      object=name_of(played.pack, item["object"]))


def _goes_with_part(played: Played, joint: str) -> bool:
    """True if a part that the joint holds was never put back: then its open joint is the same fault."""
    return any(part in played.state["parts"] for part in played.pack["joints"][joint]["joins"])


def _where(job: Job, played: Played, thing: str) -> Where:
    """The step that touched a thing last; of a pose, that took another of its family; else the end."""
    step = played.log.last_step.get(thing)
    if step is None and thing in played.pack["poses"]:
        family = played.pack["poses"][thing]["family"]
        step = played.log.last_step.get(played.state["poses"].get(family, ""))
    return job.where(step, "do") if step else job.where(played.pack["steps"][-1]["id"])


def _add_follow_on(job: Job, found: Gathered, played: Played, item: EndItem) -> None:
    """D18: what was left out, or what was done and then spoiled by a later step."""
    rule = played.pack["follow_ons"][item["object"]]
    disturbed = [literal for literal in rule["after"] if _order(played, literal)]
    last = max(_order(played, literal) for literal in disturbed)
    checks = played.state["checks"]
    for check in rule["needs"]:
        if checks.get(check, 0) >= last:
            continue
        cause = max(disturbed, key=lambda literal: _order(played, literal))
        code = "follow_on_spoiled" if check in checks else "follow_on_left_out"
        found.add("D18", SEVERITIES[item["severity"]], code, _where(job, played, cause[1]), played.variant,
                  object=name_of(played.pack, check), cause=f"{cause[0]} {cause[1]}", reason=rule["reason"])


def _order(played: Played, literal: Literal) -> int:
    if literal[0] == "done":
        return played.state["checks"].get(literal[1], 0)
    return played.state["touched"].get(f"{literal[0]} {literal[1]}", 0)


def check_goal(job: Job, found: Gathered, played: Played) -> None:
    """E7: what the head names as the goal is not true at the end. A part out, a joint undone or reached is what a
    procedure may leave; then the goal is what was true once."""
    for literal in played.pack["goal"]:
        if not _reached(played, literal):
            found.add("E7", Severity.ERROR, "goal_not_reached", job.head("goal"), played.variant,
                      goal=" ".join(literal), object=name_of(played.pack, literal[1]))


def _reached(played: Played, literal: Any) -> bool:
    word, key, state = literal[0], literal[1], played.state
    match word:
        case "renewed":
            return key in state["renewed"]
        case "done" | "measure":
            return key in state["checks"]
        case "changed" | "drained":
            return f"drained {key}" in state["touched"]
        case "out" | "aside":
            return all(f"{word} {part}" in state["touched"] for part in parts_of(played.pack, key))
        case "undone":
            return f"undone {key}" in state["touched"]
    return True
