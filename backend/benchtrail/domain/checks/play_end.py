"""E1 to E7, D11, D16, D18: what is not as it must be when the last step is done, in any variant.

Knows the list of end items (domain/end_items.py), the same that the phone shows at close-out.
"""

from typing import Any

from benchtrail.domain.bench_state import parts_of
from benchtrail.domain.checks.conditions import Literal
from benchtrail.domain.checks.play import Played
from benchtrail.domain.checks.subject import Gathered, Job, name_of
from benchtrail.domain.end_items import EndItem, end_items
from benchtrail.domain.findings import Severity, Where
from benchtrail.domain.map_text import ONE_NAME_SPACE

# end item → check and code of the finding
FOUND_AS = {
    "joint_not_made": ("E1", "left_joint_not_made"), "joint_not_final": ("E2", "left_joint_not_final"),
    "fluid_not_filled": ("E3", "left_fluid_not_filled"), "level_not_checked": ("E3", "left_level_not_checked"),
    "aid_left": ("E5", "left_aid_left"),
    "pose_not_restored": ("E6", "left_pose_not_restored"), "setting_not_restored": ("E6", "left_setting_not_restored"),
    "single_use_reused": ("D11", "single_use_again"),
}
SEVERITIES = {"BLOCK": Severity.BLOCK, "ERROR": Severity.ERROR}


def check_way(job: Job, found: Gathered, played: Played) -> None:
    """Adds the faults of one variant's way, except those that follow from what is not in order at its end."""
    open_at_end = {item["object"] for item in end_items(played.pack, played.state)}
    for step, n, fault in played.faults:
        if not open_at_end & set(fault.follows):
            found.add(fault.check, fault.severity, fault.code, job.where(step, f"do.{n}", "do"), played.variant,
                      **fault.values)


def check_end(job: Job, found: Gathered, played: Played) -> None:
    """Adds the end items of one variant and goals not reached, except those that follow from a fault found already."""
    items = [item for item in end_items(played.pack, played.state) if not _explained(played, item["object"])]
    for item in items:
        if item["code"] == "part_not_on":
            _add_part(job, found, played, item)
        elif item["code"] in FOUND_AS and not (
                item["code"] == "joint_not_made" and _goes_with_part(played, item["object"])):
            check, code = FOUND_AS[item["code"]]
            found.add(check, SEVERITIES[item["severity"]], code, _where(job, played, item["object"]), played.variant,
                      object=name_of(played.pack, item["object"]))
    _add_untreated(job, found, played)
    unread = {item["object"] for item in items if item["code"] == "level_not_checked"}
    left_out = _add_follow_ons(job, found, played, [item for item in items if item["code"] not in FOUND_AS], unread)
    _add_goals(job, found, played, {item["object"] for item in items} | left_out)


def _explained(played: Played, thing: str) -> bool:
    """True if a fault on the way says it already: a pose or setting that was not as an act needed it, and still is not."""
    if {thing, f"used {thing}"} & played.log.blamed or ("pose", thing) in played.log.assumed:
        return True
    return any(literal[0] == "set" and literal[1] == thing for literal in played.log.assumed)


def _add_part(job: Job, found: Gathered, played: Played, item: EndItem) -> None:
    """E4: a part that is off; of parts that left as one unit only the unit, unless one of them is explained already."""
    part = item["object"]
    together = [other for other in played.state["parts"] if _left_at(played, other) == _left_at(played, part)]
    if together[0] == part and not played.log.blamed & set(together):
        units = played.pack["units"]
        thing = next((key for key in units if len(together) > 1 and set(together) <= set(units[key]["parts"])), part)
        found.add("E4", SEVERITIES[item["severity"]], "left_part_not_on", _where(job, played, thing), played.variant,
                  object=name_of(played.pack, thing))


def _add_untreated(job: Job, found: Gathered, played: Played) -> None:
    """D16: a part that was off, new or cleaned is back, and what belongs on it by the end was never put on."""
    for part in sorted(played.log.bare - set(played.state["parts"])):
        wanted = played.pack["parts"][part]["treatment"]
        if wanted["supply"] and wanted["due"] == "end" and f"treated {part}" not in played.log.blamed:
            found.add("D16", Severity.ERROR, "part_untreated_at_end", _where(job, played, part), played.variant,
                      object=name_of(played.pack, part), supply=name_of(played.pack, wanted["supply"]))


def _left_at(played: Played, part: str) -> int:
    return played.state["touched"].get(f"{played.state['parts'][part]} {part}", 0)


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


def _add_follow_ons(job: Job, found: Gathered, played: Played, items: list[EndItem], unread: set[str]) -> set[str]:
    """D18: each check that was left out, or done and then spoiled by a later step, once, by the gravest rule that needs
    it; a level that E3 asks for already is not named again. Answers the checks."""
    seen: set[str] = set()
    for item in sorted(items, key=lambda item: -SEVERITIES[item["severity"]]):
        rule = played.pack["follow_ons"].get(item["object"]) if item["code"] == "follow_on_missing" else None
        if rule is not None:
            cause = max(rule["after"], key=lambda literal: _order(played, literal))
            due = [check for check in rule["needs"] if check not in seen and not _is_level_of(played, check, unread)
                   and played.state["checks"].get(check, 0) < _order(played, cause)]
            _add_follow_on(job, found, played, item, due, cause)
            seen |= set(rule["needs"])
    return seen


def _is_level_of(played: Played, check: str, fluids: set[str]) -> bool:
    asked = played.pack["checks"].get(check)
    return asked is not None and asked["kind"] == "level" and asked["fluid"] in fluids


def _add_follow_on(job: Job, found: Gathered, played: Played, item: EndItem, due: list[str], cause: Literal) -> None:
    """One finding for all that was left out, one for all that was spoiled."""
    reason = played.pack["follow_ons"][item["object"]]["reason"]
    spoiled = [check for check in due if check in played.state["checks"]]
    left_out = [check for check in due if check not in spoiled]
    for code, checks in (("follow_on_left_out", left_out), ("follow_on_spoiled", spoiled)):
        if checks:
            names = ", ".join(name_of(played.pack, check) for check in checks)
            found.add("D18", SEVERITIES[item["severity"]], code, _where(job, played, cause[1]), played.variant,
                      object=names, cause=f"{cause[0]} {cause[1]}", reason=reason)


def _order(played: Played, literal: Literal) -> int:
    if literal[0] == "done":
        return played.state["checks"].get(literal[1], 0)
    return played.state["touched"].get(f"{literal[0]} {literal[1]}", 0)


def _add_goals(job: Job, found: Gathered, played: Played, named: set[str]) -> None:
    """E7: what the head names as the goal was never true, and no other finding is about the same thing."""
    known = {key for table in ONE_NAME_SPACE for key in played.pack[table]}
    for literal in played.pack["goal"]:
        told = literal[1] in named or _explained(played, literal[1]) or f"drained {literal[1]}" in played.log.blamed
        if literal[1] in known and not _reached(played, literal) and not told:
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
