"""D3, D6: nothing is let go under load, and nothing is done while what the map isolates is live.

Knows one action and the state before it. Source: our own list (the project's planning model); that energy is shut off
and let go before work begins is common practice (as in lock-out rules).
"""

from collections.abc import Iterator, Mapping
from typing import Any

from benchtrail.domain.action_text import trigger_names
from benchtrail.domain.bench_state import BenchState, kept, parts_of
from benchtrail.domain.checks.conditions import Pack, boundary, in_words, missing_of
from benchtrail.domain.checks.play import MOVING, Fault, Moment, assume
from benchtrail.domain.findings import Severity
from benchtrail.domain.map_text import FORCES

BLOCK = Severity.BLOCK


def check_isolated(moment: Moment) -> Iterator[Fault]:
    """D3, D6: an act that an isolation of the map is for, before what it needs is true. Weight, springs and pressure are
    loads (D3); heat, electricity, motion and fuel are live (D6)."""
    for isolation in _isolations(moment.pack, moment.action):
        missing = moment.missing(isolation["needs"])
        if missing:
            check, code = ("D3", "under_load") if isolation["energy"] in FORCES else ("D6", "done_live")
            yield Fault(check, BLOCK, code, {"object": moment.name(moment.key), "verb": moment.verb.replace("_", " "),
                                             "energy": isolation["energy"], "reason": isolation["reason"],
                                             "missing": in_words(moment.pack, missing)}, (), assume(missing))


def _isolations(pack: Pack, action: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The isolations that an act is named in."""
    names = trigger_names(action)
    return [isolation for isolation, named in kept(pack, "isolations", lambda: _by_verb(pack)).get(action["verb"], ())
            if not named.isdisjoint(names)]


def _by_verb(pack: Pack) -> dict[str, list[tuple[Mapping[str, Any], set[str]]]]:
    """Verb → each isolation that such an act may ask for, with what its triggers of this verb name."""
    found: dict[str, list[tuple[Mapping[str, Any], set[str]]]] = {}
    for isolation in pack["isolations"].values():
        for verb in dict.fromkeys(trigger[0] for trigger in isolation["during"]):
            found.setdefault(verb, []).append((isolation, {trigger[1] for trigger in isolation["during"] if trigger[0] == verb}))
    return found


def check_supported(moment: Moment) -> Iterator[Fault]:
    """D3: of the parts that this procedure moves, one that must be held comes free and nothing carries it, or its carrier
    is taken from under it.

    Held counts: an aid that carries it is on, or comes on in this step or the next; or this step or the next takes it in
    hand. What hangs aside must hang on something.
    """
    for part in _coming_free(moment):
        if f"carried {part}" not in moment.log.blamed and not _carried(moment, part) and not _in_hand(moment, part):
            yield Fault("D3", BLOCK, "not_carried", {"object": moment.name(part)}, (f"carried {part}",))


def _coming_free(moment: Moment) -> Iterator[str]:
    """Parts flagged `hold` that this action leaves without what held them."""
    parts = moment.pack["parts"]
    heavy = moment.log.heavy
    if moment.verb == "hang":
        yield from (part for part in moment.parts if parts[part]["hold"])
    elif moment.verb in ("undo", "remove") and heavy:
        after = moment.after
        yield from (part for part in heavy if _is_free(moment.pack, after, part)
                    and not _is_free(moment.pack, moment.state, part))
    elif moment.verb == "aid_off" and moment.key in moment.pack["aids"]:
        carried = {part for key in moment.pack["aids"][moment.key]["carries"] for part in parts_of(moment.pack, key)}
        carried -= {part for action in moment.step["do"] if action["verb"] == "fit"
                    for part in parts_of(moment.pack, action["object"])}
        yield from (part for part in sorted(carried) if parts[part]["hold"] and (
            moment.state["parts"].get(part) == "aside" or _is_free(moment.pack, moment.state, part)))


def _is_free(pack: Pack, state: BenchState, part: str) -> bool:
    """True if the part is on, every joint that holds it is undone, and its way out, or aside, is open."""
    held = boundary(pack, [part])
    if part in state["parts"] or not held or any(state["joints"].get(joint) != "undone" for joint in held):
        return False
    entry = pack["parts"][part]
    return missing_of(pack, state, entry["exit"] or entry["aside"] or []) is None


def _carried(moment: Moment, part: str) -> bool:
    coming = {action["object"] for action in moment.soon() if action["verb"] == "aid_on"}
    on = {*moment.state["aids"], *coming} - ({moment.key} if moment.verb == "aid_off" else set())
    return any(part in parts_of(moment.pack, key) for aid in on if aid in moment.pack["aids"]
               for key in moment.pack["aids"][aid]["carries"])


def _in_hand(moment: Moment, part: str) -> bool:
    """True if the same movement takes the part off or puts it on; a part hung aside is not in the hand any more."""
    if moment.verb == "hang":
        return False
    return any(part in parts_of(moment.pack, action["object"]) for action in moment.soon() if action["verb"] in MOVING)
