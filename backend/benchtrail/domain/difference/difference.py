"""What changed between two packs of one subject, in the terms of the trade: the ground of bulletins and of reviews.

Knows two packs, procedures or maps, whole (of all variants); no clock, no jobs. `on_job.py` says what it means for one.
"""

from collections.abc import Iterator
from typing import Any

from benchtrail.domain.difference.change import Change, Pack, Severity, in_reading_order, made
from benchtrail.domain.difference.figures import figure_changes
from benchtrail.domain.difference.steps import step_changes
from benchtrail.domain.difference.things import thing_changes
from benchtrail.domain.guards import Guard
from benchtrail.domain.job_lists import derived_lists

# Told by the change note, or by what names the pack.
NOT_COMPARED = {"format", "dealer", "procedure", "revision", "issued", "author", "change_note", "pictures", "also"}
HEAD: dict[str, Severity] = {"title": "words", "summary": "words", "name": "words", "skill": "words", "invented": "words"}


def difference(old_pack: Pack, new_pack: Pack) -> list[Change]:
    """The changes from one pack to another, what may hurt someone first; empty when nothing that matters changed.

    Both are packs of one format (shared/README.md §6). A change names the steps of the older pack that it touches.
    """
    found = [*figure_changes(old_pack, new_pack), *thing_changes(old_pack, new_pack), *_head(old_pack, new_pack)]
    order: list[str] = []
    if "steps" in old_pack:
        found += [*step_changes(old_pack, new_pack), *_lists(old_pack, new_pack)]
        order = [step["id"] for step in old_pack["steps"]]
    return in_reading_order(found, order)


def _head(old: Pack, new: Pack) -> Iterator[Change]:
    """Everything about the whole job: who it is for, where it starts and ends, when to stop and ask."""
    fields = [key for key, value in old.items() if key not in NOT_COMPARED and not _is_table(old, key, value)]
    for field in fields:
        if old[field] != new.get(field):
            yield made("head_changed", HEAD.get(field, "work"), field, field.replace("_", " "), _words(old[field]),
                       _words(new.get(field)))


def _is_table(pack: Pack, key: str, value: Any) -> bool:
    return key == "steps" or (isinstance(value, dict) and key not in ("model", "prepare"))


def _words(value: Any) -> str | None:
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, list):
        return ", ".join(" ".join(map(str, one)) if isinstance(one, list) else str(_words(one)) for one in value)
    if isinstance(value, dict):
        return "; ".join(f"{key} {_words(one)}" for key, one in value.items() if one not in (None, []))
    return str(value)


def _lists(old: Pack, new: Pack) -> Iterator[Change]:
    """What the job needs: parts, single-use items, tools, supplies, fluids."""
    before, now = derived_lists(old), derived_lists(new)
    for name in before:
        was, is_now = (_rows(pack, rows[name]) for pack, rows in ((old, before), (new, now)))
        for key in [*was, *(key for key in is_now if key not in was)]:
            if _told_here(was.get(key)) != _told_here(is_now.get(key)):
                yield made("list_changed", "work", f"{name} {key}", _row_name(was.get(key) or is_now[key]),
                           _row_words(was.get(key)), _row_words(is_now.get(key)), when=_when(old, new, key))


def _rows(pack: Pack, rows: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """The rows by what they are about; which steps need a tool is told by the steps."""
    found = {}
    for row in rows:
        if "any" in row:
            names = " or ".join(str(pack["tools"].get(id, {}).get("name", id)) for id in row["any"])
            found[" ".join(row["any"])] = {"name": names}
        else:
            found[row["id"]] = {key: value for key, value in row.items() if key != "id"}
    return found


def _told_here(row: dict[str, Any] | None) -> tuple[Any, ...]:
    """What the list alone says: that the item is needed, how surely, how much of it. The rest is told by the thing."""
    return (row is None, *((row or {}).get(field) for field in ("certain", "amount_ml")))


def _row_name(row: dict[str, Any]) -> str:
    return str(row["name"])


def _row_words(row: dict[str, Any] | None) -> str | None:
    if row is None:
        return None
    told = [str(row["name"]), row.get("number"), row.get("specification")]
    count, amount = row.get("count"), row.get("amount_ml")
    told += [f"{count} of them" if count and count > 1 else None, None if amount is None else f"{amount:g} ml"]
    told += ["only if worn" if row.get("certain") is False else None]
    return ", ".join(word for word in told if word)


def _when(old: Pack, new: Pack, key: str) -> Guard:
    for pack in (old, new):
        for table in ("parts", "joints", "tools", "supplies", "fluids"):
            if key in pack[table]:
                guard: Guard = pack[table][key]["when"]
                return guard
    return None
