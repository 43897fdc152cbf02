"""D4, D5, D17: what holds a fluid is opened only when it cannot run out, and filled only when everything is shut.

Knows one action and the state before it.
"""

from collections.abc import Iterator

from benchtrail.domain.checks.conditions import pose_now
from benchtrail.domain.checks.play import Fault, Moment
from benchtrail.domain.findings import Severity

ERROR, BLOCK = Severity.ERROR, Severity.BLOCK
# hazards of a fluid that injure whom it runs over
HOT = frozenset(("hot", "pressure", "fuel", "fire"))


def check_opened_full(moment: Moment) -> Iterator[Fault]:
    """D4: a joint that holds a full fluid is opened, it is not dry in this pose, and nothing catches the fluid.

    Caught counts: the step drains or bleeds that fluid, or an aid is on that catches it (a tray, a hose with a bottle).
    """
    if moment.verb not in ("undo", "slacken") or moment.joint is None or _is_dry(moment, moment.key):
        return
    for fluid in moment.joint["holds"]:
        if moment.state["fluids"].get(fluid) == "drained" or _caught(moment, fluid) \
                or _let_out(moment, fluid):
            continue
        entry = moment.pack["fluids"][fluid]
        fuel = moment.joint["safety"] == "fuel" or HOT & set(entry["hazards"])
        yield Fault("D4", BLOCK if fuel else ERROR, "opened_full", {"object": moment.name(moment.key),
                                                                    "fluid": moment.name(fluid)})


def check_spilled(moment: Moment) -> Iterator[Fault]:
    """D5: the machine is put into a pose in which an open joint lets out the fluid that it holds, and nothing catches it."""
    pose = moment.pack["poses"].get(moment.key) if moment.verb == "pose" else None
    if pose is None or moment.key == pose_now(moment.pack, moment.state, pose["family"]):
        return
    families = {key: entry["family"] for key, entry in moment.pack["poses"].items()}
    for key in moment.state["joints"]:
        joint = moment.pack["joints"][key]
        concerned = any(families.get(dry) == pose["family"] for dry in joint["dry_in"])
        if not concerned or moment.key in joint["dry_in"] or key in moment.log.blamed:
            continue
        for fluid in joint["holds"]:
            if moment.state["fluids"].get(fluid) != "drained" and not _caught(moment, fluid):
                hot = joint["safety"] == "fuel" or HOT & set(moment.pack["fluids"][fluid]["hazards"])
                yield Fault("D5", BLOCK if hot else ERROR, "pose_spills", {
                    "object": moment.name(moment.key), "joint": moment.name(key), "fluid": moment.name(fluid)})


def _caught(moment: Moment, fluid: str) -> bool:
    return any(fluid in moment.pack["aids"][aid]["catches"] for aid in moment.state["aids"])


def _let_out(moment: Moment, fluid: str) -> bool:
    """True if the step itself drains or bleeds the fluid."""
    checks = moment.pack["checks"]
    return any((action["object"] == fluid and action["verb"] == "drain") or
               (action["verb"] == "bleed" and checks.get(action["object"], {}).get("fluid") == fluid)
               for action in moment.step["do"])


def _is_dry(moment: Moment, joint: str) -> bool:
    poses = moment.pack["joints"][joint]["dry_in"]
    return any(pose_now(moment.pack, moment.state, moment.pack["poses"][pose]["family"]) == pose for pose in poses
               if pose in moment.pack["poses"])


def check_filled_shut(moment: Moment) -> Iterator[Fault]:
    """D17: a fluid is filled in while a joint that holds it is not final, or while its filler is still shut."""
    fluid = moment.pack["fluids"].get(moment.key) if moment.verb == "fill" else None
    if fluid is None:
        return
    still_open = [key for key, joint in moment.pack["joints"].items()
                  if (moment.key in joint["holds"] or key == fluid["drain"]) and key != fluid["fill"]
                  and key in moment.state["joints"] and not _is_dry(moment, key)]
    if still_open:
        names = ", ".join(moment.name(key) for key in still_open)
        yield Fault("D17", ERROR, "filled_open", {"object": moment.name(moment.key), "joint": names},
                    follows=tuple(still_open))
    fill = fluid["fill"]
    shut = fill in moment.pack["joints"] and moment.state["joints"].get(fill) not in ("undone", "slack")
    if shut and fill not in moment.log.blamed:
        yield Fault("D17", ERROR, "filler_shut", {"object": moment.name(moment.key), "joint": moment.name(fill)}, (),
                    (("undone", fill),))


def check_filled_full(moment: Moment) -> Iterator[Fault]:
    """D17: the whole of a fluid is filled in though it was never drained; topping up says its amount."""
    fluid = moment.pack["fluids"].get(moment.key) if moment.verb == "fill" else None
    if fluid is None or fluid["drain"] is None:
        return
    if moment.state["fluids"].get(moment.key) == "filled" and "amount_ml" not in moment.action:
        yield Fault("D17", ERROR, "filled_twice", {"object": moment.name(moment.key)}, (f"drained {moment.key}",))
        return
    amount_ml, whole_ml = moment.action.get("amount_ml"), fluid["refill_ml"] or fluid["capacity_ml"]
    tops_up = amount_ml is not None and whole_ml is not None and amount_ml < whole_ml / 2
    if not tops_up and f"drained {moment.key}" not in moment.state["touched"]:
        yield Fault("D17", ERROR, "filled_full", {"object": moment.name(moment.key)}, (f"drained {moment.key}",))


def check_drain_open(moment: Moment) -> Iterator[Fault]:
    """D1: a fluid is drained and its drain is shut."""
    fluid = moment.pack["fluids"].get(moment.key) if moment.verb == "drain" else None
    if fluid and fluid["drain"] in moment.pack["joints"] and fluid["drain"] not in moment.state["joints"]:
        yield Fault("D1", ERROR, "drain_shut", {"object": moment.name(moment.key),
                                                "joint": moment.name(fluid["drain"])}, (),
                    (("undone", fluid["drain"]),))
