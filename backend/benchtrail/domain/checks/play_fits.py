"""D9, D16: parts go in the right way round, to their own places, with what belongs on them.

Knows one action and the state before it; of treatments also the end.
"""

from collections.abc import Iterator

from benchtrail.domain.checks.play import Fault, Moment
from benchtrail.domain.findings import Severity

ERROR, WARNING = Severity.ERROR, Severity.WARNING
# supplies of these kinds belong only where the map says so
ASSEMBLY_KINDS = ("oil", "grease", "locker", "sealant")


def check_way_round(moment: Moment) -> Iterator[Fault]:
    """D9: the map says what to look at when a part sits right, and the step that puts it in shows nothing of it."""
    part = moment.pack["parts"].get(moment.key) if moment.verb == "fit" else None
    if part is None or not part["look_for"] or moment.key not in moment.state["parts"]:
        return
    if not moment.step["look_for"]:
        yield Fault("D9", WARNING, "look_for_missing", {"object": moment.name(moment.key), "look_for": part["look_for"]})


def check_own_place(moment: Moment) -> Iterator[Fault]:
    """D9: parts that look alike and have worn into their places are taken off, come back, and nothing keeps the places:
    neither a photo nor what to look for, at the step that takes them off or the next."""
    part = moment.pack["parts"].get(moment.key) if moment.verb == "remove" else None
    if part is None or not part["own_place"]:
        return
    steps = [moment.step, *([moment.next_step] if moment.next_step else [])]
    kept = moment.step["look_for"] or any(action["verb"] == "photograph" for step in steps for action in step["do"])
    # what is renewed has no old place
    if not kept and not _renewed_later(moment):
        yield Fault("D9", ERROR, "places_not_kept", {"object": moment.name(moment.key)})


def _renewed_later(moment: Moment) -> bool:
    steps = moment.pack["steps"]
    at = next(n for n, step in enumerate(steps) if step is moment.step)
    return any(action["verb"] == "renew" and action["object"] == moment.key for step in steps[at:] for action in step["do"])


def check_part_treated(moment: Moment) -> Iterator[Fault]:
    """D16: a part that was off, new or cleaned goes in without what belongs on it; or something else is put on it."""
    if moment.verb == "fit":
        after = moment.after
        for key in moment.parts:
            wanted = moment.pack["parts"][key]["treatment"]
            goes_in = key in moment.state["parts"] and key not in after["parts"]
            if goes_in and wanted["supply"] and wanted["due"] == "fit" and key in moment.log.bare \
                    and f"treated {key}" not in moment.log.blamed:
                yield Fault("D16", ERROR, "part_untreated", {"object": moment.name(key),
                                                             "supply": moment.name(wanted["supply"])},
                            (f"treated {key}",))


def check_supply_belongs(moment: Moment) -> Iterator[Fault]:
    """D16: oil, grease, locker or sealant is put on a part or joint for which the map names another, or none."""
    to = moment.action.get("to", "")
    target = moment.pack["parts"].get(to) or moment.pack["joints"].get(to)
    supply = moment.pack["supplies"].get(moment.key) if moment.verb == "apply" else None
    if supply is None or target is None or supply["kind"] not in ASSEMBLY_KINDS:
        return
    wanted = target["treatment"]
    if moment.key != wanted["supply"]:
        instead = moment.name(wanted["supply"]) if wanted["supply"] else "nothing: it stays dry"
        yield Fault("D16", ERROR, "treatment_other", {"object": moment.name(to), "supply": moment.name(moment.key),
                                                      "wanted": instead}, (f"treated {to}",))


def check_open_time(moment: Moment) -> Iterator[Fault]:
    """D16: what was put on has lain open longer than it may when the joint is made final or the part goes in."""
    if moment.verb not in ("tighten", "fit"):
        return
    for key in (moment.key, *moment.parts) if moment.verb == "tighten" else moment.parts:
        entry = moment.joint if key == moment.key and moment.joint else moment.pack["parts"].get(key)
        limit = entry["treatment"]["open_min"] if entry else None
        since = moment.log.clock.treated_at.get(key)
        if limit and since is not None and moment.log.clock.minutes - since > limit and key in _open_things(moment):
            yield Fault("D16", ERROR, "open_time_over", {"object": moment.name(key), "limit": f"{limit:g}",
                                                         "minutes": f"{moment.log.clock.minutes - since:g}"})


def _open_things(moment: Moment) -> set[str]:
    return {*moment.state["joints"], *moment.state["parts"]}


def check_cured(moment: Moment) -> Iterator[Fault]:
    """D16: fluid goes in, or the engine runs, before what seals or locks has rested as long as it must. Only `wait`
    counts: an estimate of work is no rest."""
    if moment.verb not in ("fill", "run"):
        return
    for key, since in moment.log.clock.closed_at.items():
        entry = moment.pack["joints"].get(key) or moment.pack["parts"].get(key)
        limit = entry["treatment"]["cure_min"] if entry else None
        treated = [supply for supply, to in moment.state["treated"] if to == key]
        concerned = moment.verb == "run" or moment.key in (entry or {}).get("holds", [moment.key])
        if limit and treated and concerned and moment.log.clock.waited - since < limit \
                and f"cured {key}" not in moment.log.blamed:
            yield Fault("D16", ERROR, "cure_time_short", {"object": moment.name(key), "limit": f"{limit:g}",
                                                          "minutes": f"{moment.log.clock.waited - since:g}"},
                        (f"cured {key}",))
