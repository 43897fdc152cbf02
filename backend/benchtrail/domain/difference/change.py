"""One change between two packs: its record, how grave it is, in which order changes are read.

Knows records and ids; no words beyond those of the packs (shared/texts/difference.en.json has the sentences).
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal, NotRequired, TypedDict

from benchtrail.domain.canonical_json import canonical_json
from benchtrail.domain.guards import Guard

Pack = Mapping[str, Any]
Entry = Mapping[str, Any]
Severity = Literal["safety", "work", "words"]
GRAVEST: dict[Severity, int] = {"safety": 0, "work": 1, "words": 2}
GRAVE_SIGNALS = ("DANGER", "WARNING")


class Figures(TypedDict):
    """The records of a published value that changed; None where there was or is none."""

    old: Entry | None
    new: Entry | None


class Change(TypedDict):
    """One change. `steps`: the steps of the older pack that it touches; `redo`: a finished one of them is to be done
    again, or accepted with a reason; `when`: the machines it concerns; `before`, of a step that was added: the step of
    the older pack that comes next. `severity`: `safety` may hurt someone, `work` changes what is done, `words` does not.
    `id`: of what changed and into what, so that an answer to it holds for a later revision that says the same."""

    id: str
    code: str
    severity: Severity
    object: str
    name: str
    old: str | None
    new: str | None
    steps: list[str]
    redo: bool
    when: Guard
    figures: NotRequired[Figures]
    before: NotRequired[str | None]


def made(
    code: str, severity: Severity, object: str, name: str, old: str | None, new: str | None, *,
    steps: Sequence[str] = (), redo: bool = False, when: Guard = None, figures: Figures | None = None,
) -> Change:
    """A change with its id: the first 16 digits of the SHA-256 over what it says."""
    says = [code, object, old, new, *([figures["old"], figures["new"]] if figures else [])]
    id = hashlib.sha256(canonical_json(says).encode()).hexdigest()[:16]
    change = Change(id=id, code=code, severity=severity, object=object, name=name, old=old, new=new,
                    steps=list(steps), redo=redo, when=when)
    return change | {"figures": figures} if figures else change


def by_safety(*entries: Entry | None, grave: bool = True) -> Severity:
    """`safety` when one of the things belongs to brakes, steering and the like, else `work`."""
    concerns = any(entry is not None and entry.get("safety", "normal") != "normal" for entry in entries)
    return "safety" if concerns and grave else "work"


def in_reading_order(changes: Iterable[Change], order: Sequence[str]) -> list[Change]:
    """What may hurt someone first, of that the figures; then by the first step that is touched."""
    place = {id: n for n, id in enumerate(order)}

    def rank(change: Change) -> tuple[int, bool, int, str, str]:
        first = min((place[id] for id in change["steps"] if id in place), default=len(place))
        return GRAVEST[change["severity"]], change["code"] != "figure_changed", first, change["code"], change["object"]

    return sorted(changes, key=rank)


def acts(pack: Pack) -> list[tuple[str, Entry]]:
    """Every action with the id of its step."""
    return [(step["id"], action) for step in pack.get("steps", []) for action in step["do"]]


def steps_acting(pack: Pack, thing: str, *verbs: str) -> list[str]:
    """Steps that do one of the verbs to the thing or to a unit it is in, in order; without verbs any act on it."""
    things = {thing, *(id for id, unit in pack["units"].items() if thing in unit["parts"])}
    found = (step for step, action in acts(pack) if things & {action["object"], action.get("to")}
             and (not verbs or action["verb"] in verbs))
    return list(dict.fromkeys(found))


def name_of(entry: Entry | None, id: str) -> str:
    """What the thing is called."""
    return str((entry or {}).get("name") or id.replace("_", " ").replace("-", " "))
