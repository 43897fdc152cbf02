"""Steps that were added, taken out, moved, or changed. Knows steps of two packs by their ids, which are never reused."""

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Any

from benchtrail.domain.difference.change import Change, Entry, Pack, Severity, made

NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
NO_ACT = ("note", "wait", "photograph")
DECIDING = ("check", "kind", "unit", "fail_needs")


def step_changes(old: Pack, new: Pack) -> list[Change]:
    """Changes of the steps and of their order."""
    before, now = ({step["id"]: step for step in pack["steps"]} for pack in (old, new))
    kept = [id for id in before if id in now]
    found = [_added(new, step, kept) for step in new["steps"] if step["id"] not in before]
    found += [_told("step_removed", old, step, step["say"], None, redo=_acts(step))
              for step in old["steps"] if step["id"] not in now]
    moved = _moved(kept, [id for id in now if id in before])
    found += [_told("step_moved", old, before[id], _after(old, id), _after(new, id), redo=_acts(before[id]))
              for id in kept if id in moved]
    for id in kept:
        found += _changed(old, new, before[id], now[id])
    return found


def _added(new: Pack, step: Entry, kept: Sequence[str]) -> Change:
    following = [other["id"] for other in new["steps"][new["steps"].index(step) + 1:]]
    change = _told("step_added", new, step, None, step["say"], redo=_acts(step))
    change["steps"], change["before"] = [], next((id for id in following if id in kept), None)
    return change


def _changed(old: Pack, new: Pack, was: Entry, now: Entry) -> Iterator[Change]:
    if was["do"] != now["do"]:
        grave = _severity(old, was) if _severity(old, was) == "safety" else _severity(new, now)
        yield _told("step_acts_changed", old, was, was["say"], now["say"], redo=True, severity=grave)
    elif was["say"] != now["say"]:
        yield _reworded(old, was, was["say"], now["say"])
    if was["detail"] != now["detail"]:
        yield _reworded(old, was, was["detail"], now["detail"], code="step_detail_changed")
    if was["look_for"] != now["look_for"]:
        yield _told("step_look_for_changed", old, was, was["look_for"], now["look_for"], redo=now["look_for"] is not None)
    if was["when"] != now["when"]:
        yield _told("step_machines_changed", old, was, None, None)
    if was["tools"] != now["tools"]:
        yield _told("step_tools_changed", old, was, _names(old, was), _names(new, now))
    if _picture(old, was) != _picture(new, now):
        yield _told("step_picture_changed", old, was, None, None)
    if (was["section"], was["minutes"]) != (now["section"], now["minutes"]):
        yield _told("step_place_or_time_changed", old, was, None, None, severity="words")
    yield from _limits(old, was, now)


def _limits(pack: Pack, was: Entry, now: Entry) -> Iterator[Change]:
    """Words and consequences of a limit; its values are told by the figures."""
    before, after = was["limits"], now["limits"]
    if before is None and after is None:
        return
    if before is None or after is None or _of(before) != _of(after):
        yield _told("limits_changed", pack, was, _outcomes(before), _outcomes(after), redo=after is not None)
    elif (before["pass"], before["fail"]) != (after["pass"], after["fail"]):
        yield _told("limits_changed", pack, was, _outcomes(before), _outcomes(after), severity="words")


def _of(limits: Entry) -> list[Any]:
    return [limits[field] for field in DECIDING]


def _outcomes(limits: Entry | None) -> str | None:
    return f"{limits['pass']} / {limits['fail']}" if limits else None


def _reworded(pack: Pack, step: Entry, was: str | None, now: str | None, code: str = "step_reworded") -> Change:
    """Other words for the same act need no second look; other numbers in them do."""
    if NUMBER.findall(was or "") == NUMBER.findall(now or ""):
        return _told(code, pack, step, was, now, severity="words")
    return _told(code, pack, step, was, now, redo=True)


def _told(
    code: str, pack: Pack, step: Entry, was: str | None, now: str | None, *, redo: bool = False,
    severity: Severity | None = None,
) -> Change:
    name = step["say"].rstrip(".")
    return made(code, severity or _severity(pack, step), step["id"], name, was, now, steps=[step["id"]], redo=redo,
                when=step["when"])


def _severity(pack: Pack, step: Entry) -> Severity:
    """`safety` when it acts on something of brakes, steering and the like, or stands under a grave caution."""
    things = [pack[table].get(action["object"], {}) for action in step["do"] for table in ("parts", "joints")]
    grave = any(pack["cautions"].get(id, {}).get("signal") in ("DANGER", "WARNING") for id in step["cautions"])
    return "safety" if grave or any(thing.get("safety", "normal") != "normal" for thing in things) else "work"


def _acts(step: Entry) -> bool:
    return any(action["verb"] not in NO_ACT for action in step["do"])


def _names(pack: Pack, step: Entry) -> str:
    return ", ".join(str(pack["tools"].get(id, {}).get("name", id)) for id in step["tools"]) or "none"


def _picture(pack: Pack, step: Entry) -> tuple[str | None, str | None]:
    picture = pack["pictures"].get(step["picture"]) if step["picture"] else None
    return (picture["sha256"], picture["alt"]) if picture else (None, None)


def _after(pack: Pack, id: str) -> str:
    """The words of the step that comes before it."""
    ids = [step["id"] for step in pack["steps"]]
    place = ids.index(id)
    return str(pack["steps"][place - 1]["say"]) if place else ""


def _moved(before: Sequence[str], now: Sequence[str]) -> set[str]:
    """The fewest steps that must have moved: all but a longest run that kept its order (longest increasing
    subsequence; Source: M. L. Fredman, On computing the length of longest increasing subsequences, 1975)."""
    place = {id: n for n, id in enumerate(before)}
    tails: list[int] = []
    ends: list[str] = []
    previous: dict[str, str | None] = {}
    for id in now:
        at = bisect_left(tails, place[id])
        previous[id] = ends[at - 1] if at else None
        tails[at:at + 1], ends[at:at + 1] = [place[id]], [id]
    kept: set[str] = set()
    last = ends[-1] if ends else None
    while last is not None:
        kept.add(last)
        last = previous[last]
    return set(now) - kept
