"""Published values that changed: by the joint or check that uses them, whatever the ids of the figures are.

Knows figures, joints, limits and checks of two packs; nothing of jobs.
"""

from collections.abc import Iterator
from typing import Any

from benchtrail.domain.difference.change import Change, Entry, Figures, Pack, by_safety, made, name_of
from benchtrail.domain.job_lists import figures_of_steps

Use = tuple[str, str, str]
SAYS = ("kind", "value", "low", "high", "unit", "as_published", "tolerance", "condition", "safety", "when")


def figure_changes(old: Pack, new: Pack) -> list[Change]:
    """`figure_changed`, `figure_added`, `figure_removed`, `figure_source_changed`."""
    before, now = _uses(old), _uses(new)
    pairs: dict[tuple[str | None, str | None], list[Use]] = {}
    for use in [use for use in before if use in now and (before[use] or now[use])]:
        pairs.setdefault((before[use], now[use]), []).append(use)
    paired = {id for pair in pairs for id in pair}
    same_id = [id for id in old["figures"] if id in new["figures"] and (id, id) not in pairs]
    found = [_pair(old, new, *pair, uses) for pair, uses in pairs.items()]
    found += [_pair(old, new, id, id, []) for id in same_id]
    found += [_lone("figure_removed", old["figures"][id], None) for id in old["figures"]
              if id not in new["figures"] and id not in paired]
    found += [_lone("figure_added", None, new["figures"][id]) for id in new["figures"]
              if id not in old["figures"] and id not in paired]
    return [change for change in found if change]


def figure_words(figure: Entry | None) -> str | None:
    """As published, with tolerance and condition: `10 N·m ± 1 N·m, dry`."""
    if figure is None:
        return None
    tolerance = figure["tolerance"]
    value = figure["as_published"] if not tolerance or tolerance in figure["as_published"] else \
        f"{figure['as_published']} {tolerance}"
    return ", ".join(words for words in (value, figure["condition"]) if words)


def _uses(pack: Pack) -> dict[Use, str | None]:
    """(step or "", what for, joint or check) → figure id. With a step: what it goes by."""
    things = [*_of_things(pack)]
    return dict([*things, *_of_steps(pack)] if "steps" in pack else things)


def _of_things(pack: Pack) -> Iterator[tuple[Use, str | None]]:
    for id, joint in pack["joints"].items():
        yield ("", "joint", id), joint["figure"]
        for number, stage in enumerate(joint["stages"], 1):
            yield ("", f"stage {number}", id), stage.get("figure")
    for id, check in pack["checks"].items():
        for bound in ("figure", "at_least", "at_most"):
            yield ("", bound, id), check.get(bound)


def _of_steps(pack: Pack) -> Iterator[tuple[Use, str | None]]:
    for row in figures_of_steps(pack):
        yield (row["step"], f"tighten {row['stage'] or ''}", row["joint"]), row["figure"]
    for step in pack["steps"]:
        limits, objects = step["limits"], [action["object"] for action in step["do"]]
        if step["figure"] and not any(action["verb"] == "tighten" for action in step["do"]):
            yield (step["id"], "by", objects[0]), step["figure"]
        if limits:
            yield (step["id"], "low", limits["check"]), limits["low"]
            yield (step["id"], "high", limits["check"]), limits["high"]
        for id in objects:
            if id in pack["checks"] and pack["checks"][id]["figure"]:
                yield (step["id"], "check", id), pack["checks"][id]["figure"]


def _pair(old: Pack, new: Pack, before: str | None, now: str | None, uses: list[Use]) -> Change | None:
    was, is_now = (pack["figures"].get(id) if id else None for pack, id in ((old, before), (new, now)))
    if was is None and is_now is None:
        return None
    objects = list(dict.fromkeys(use[2] for use in uses))
    name = ", ".join(_name(old, new, id) for id in objects) or name_of(None, before or now or "")
    words = (_words(old, was, uses), _words(new, is_now, uses))
    code, redo = "figure_changed", True
    if _says(was) == _says(is_now):
        if was is None or is_now is None or (was["source"], was["revision"]) == (is_now["source"], is_now["revision"]):
            return None
        code, redo, words = "figure_source_changed", False, (_source(was), _source(is_now))
    joints = [pack["joints"].get(id) for pack in (old, new) for id in objects]
    severity = "words" if code == "figure_source_changed" else by_safety(was, is_now, *joints)
    figures: Figures | None = {"old": was, "new": is_now} if code == "figure_changed" else None
    when = (was or is_now or {}).get("when") if (was or {}).get("when") == (is_now or was or {}).get("when") else None
    return made(code, severity, objects[0] if objects else before or now or "", name, *words,
                steps=list(dict.fromkeys(use[0] for use in uses if use[0])), redo=redo, when=when, figures=figures)


def _says(figure: Entry | None) -> dict[str, Any] | None:
    return {field: figure[field] for field in SAYS} if figure else None


def _words(pack: Pack, figure: Entry | None, uses: list[Use]) -> str | None:
    """Of a joint that is made by hand: how far."""
    hand = next((pack["joints"][use[2]]["hand"] for use in uses if use[2] in pack["joints"]), None)
    return figure_words(figure) if figure else hand


def _source(figure: Entry) -> str:
    return ", ".join(words for words in (figure["source"], figure["revision"]) if words)


def _name(old: Pack, new: Pack, id: str) -> str:
    entry = next((pack[table][id] for pack in (new, old) for table in ("joints", "checks") if id in pack[table]), None)
    return name_of(entry, id)


def _lone(code: str, was: Entry | None, is_now: Entry | None) -> Change:
    entry: Entry = was or is_now or {}
    return made(code, by_safety(entry), entry["id"], name_of(None, entry["id"]), figure_words(was),
                figure_words(is_now), when=entry["when"])
