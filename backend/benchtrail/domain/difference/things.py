"""Joints, parts, fluids, cautions and the other things of a machine that changed.

Knows which fields of which table mean what for the work; nothing of steps beyond which of them act on a thing.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.difference.change import GRAVE_SIGNALS, Change, Entry, Pack, Severity, by_safety, made, name_of
from benchtrail.domain.difference.change import steps_acting as acting

Words = Callable[[Entry], str | None]
MAKING = ("start", "tighten", "fit")


@dataclass(frozen=True)
class Field:
    """What is compared: one or more fields under one code, how they are told, which steps they touch, whether a
    finished one of these is to be done again."""

    code: str
    fields: tuple[str, ...]
    words: Words
    verbs: tuple[str, ...] = ()
    redo: bool = False
    severity: Severity | None = None


def _plain(field: str) -> Words:
    return lambda entry: None if entry.get(field) is None else _text(entry[field])


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_text(item) for item in value) or "none"
    if isinstance(value, dict):
        return ", ".join(f"{key} {_text(item)}" for key, item in value.items() if item is not None)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _stages(joint: Entry) -> str:
    """`50 %, 100 %`, `40 N·m, then 90°` as the pack has it."""
    told = []
    for stage in joint["stages"]:
        angle, share = stage.get("angle_deg"), stage.get("share")
        words = f"{_text(angle)}°" if angle is not None else f"{_text(share)} %" if share is not None else \
            "to its own figure"
        told.append(f"{words} ({stage['pose']})" if stage["pose"] else words)
    return ", ".join(told)


def _order(joint: Entry) -> str:
    return f"{joint['pattern']} {_text(joint['order'])}" if joint["order"] else str(joint["pattern"])


def _treatment(joint: Entry) -> str:
    supply = joint["treatment"]["supply"]
    return f"{joint['treatment']['kind']}, {supply.replace('_', ' ')}" if supply else str(joint["treatment"]["kind"])


def _places(joint: Entry) -> str:
    places = joint["positions"]
    lengths = [f"{_text(place['length_mm'])} mm" for place in places if place["length_mm"] is not None]
    return f"{len(places)}" + (f": {', '.join(lengths)}" if lengths else "")


def _amounts(fluid: Entry) -> str:
    told = (("capacity", fluid["capacity_ml"]), ("refill", fluid["refill_ml"]))
    return ", ".join(f"{word} {_text(amount)} ml" for word, amount in told if amount is not None) or "not known"


def _isolation(entry: Entry) -> str:
    ways = " or ".join(_text(each) for each in entry["needs"])
    return f"{entry['reason']} ({entry['energy']}; during {_text(entry['during'])}; first {ways})"


TABLES: dict[str, tuple[Field, ...]] = {
    "joints": (
        Field("joint_stages_changed", ("stages",), _stages, ("tighten",), True),
        Field("joint_hand_changed", ("hand",), _plain("hand"), ("tighten",), True),
        Field("joint_order_changed", ("pattern", "order"), _order, ("tighten",), True),
        Field("joint_treatment_changed", ("treatment",), _treatment, MAKING, True),
        Field("joint_places_changed", ("positions",), _places, MAKING, True),
        Field("joint_single_use_changed", ("renew",), _plain("renew"), MAKING, True),
        Field("joint_number_changed", ("number",), _plain("number"), ("renew", *MAKING), True),
        Field("joint_thread_changed", ("thread", "kind"), _plain("thread"), MAKING),
        Field("joint_tools_changed", ("tools",), _plain("tools"), ("undo", "tighten")),
        Field("joint_way_changed", ("reach", "holds", "dry_in", "joins"), lambda _: None, ("undo", "slacken")),
    ),
    "parts": (
        Field("part_number_changed", ("number",), _plain("number"), ("renew", "fit"), True),
        Field("part_count_changed", ("count",), _plain("count"), ("renew", "fit"), True),
        Field("part_single_use_changed", ("renew",), _plain("renew"), ("renew", "fit", "inspect"), True),
        Field("part_seat_changed", ("look_for",), _plain("look_for"), ("fit",), True),
        Field("part_way_changed", ("exit", "aside", "hold", "mass_kg", "inside"), lambda _: None, ("remove", "hang")),
    ),
    "fluids": (
        Field("fluid_specification_changed", ("specification",), _plain("specification"), ("fill",), True),
        Field("fluid_amount_changed", ("capacity_ml", "refill_ml"), _amounts, ("fill",), True),
        Field("fluid_level_changed", ("level",), _plain("level"), ("fill",), True),
        Field("fluid_hazards_changed", ("hazards",), _plain("hazards"), ("drain", "fill"), severity="safety"),
        Field("fluid_disposal_changed", ("disposal",), _plain("disposal"), ("drain",)),
    ),
    "tools": (Field("tool_range_changed", ("low_nm", "high_nm"), lambda tool: f"{tool['low_nm']} to {tool['high_nm']} N·m"),),
    "settings": (Field("setting_changed", ("values", "start"), _plain("values"), ("set",)),),
    "follow_ons": (Field("follow_on_changed", ("after", "needs"), _plain("needs")),),
    "isolations": (Field("isolation_changed", ("energy", "during", "needs", "reason"), _isolation, severity="safety"),),
}
OTHER_TABLES = ("parts", "units", "joints", "fluids", "tools", "supplies", "poses", "settings", "aids", "checks", "follow_ons",
                "isolations", "services")
# Told elsewhere: the figures that a joint or check uses by figures.py; how long a thing takes is nobody's safety.
ELSEWHERE = {"joints": {"figure"}, "checks": {"figure", "at_least", "at_most"}}
SILENT = {"minutes", "name", "when"}


def thing_changes(old: Pack, new: Pack) -> list[Change]:
    """Changes of all tables but the figures."""
    found: list[Change] = []
    for table in OTHER_TABLES:
        before, now = old.get(table, {}), new.get(table, {})  # a pack of an earlier day lacks the newest tables
        found += [change for id in before if id in now for change in _changed(old, new, table, id)]
        found += [_lone("thing_removed", old, table, id) for id in before if id not in now]
        found += [_lone("thing_added", new, table, id) for id in now if id not in before]
    return [*found, *_cautions(old, new)]


def _changed(old: Pack, new: Pack, table: str, id: str) -> Iterator[Change]:
    was, is_now = old[table][id], new[table][id]
    told = set(SILENT) | ELSEWHERE.get(table, set())
    for field in TABLES.get(table, ()):
        told |= set(field.fields)
        if _of(was, field.fields) != _of(is_now, field.fields) and not _told_by_figure(field, was, is_now):
            grave = field.severity or by_safety(was, is_now)
            yield made(field.code, grave, id, name_of(is_now, id), field.words(was), field.words(is_now),
                       steps=acting(old, id, *field.verbs), redo=field.redo, when=was.get("when"))
    if was.get("when") != is_now.get("when"):
        yield made("machines_changed", by_safety(was, is_now), id, name_of(is_now, id), None, None, steps=acting(old, id))
    if name_of(was, id) != name_of(is_now, id):
        yield made("thing_renamed", "words", id, name_of(is_now, id), name_of(was, id), name_of(is_now, id))
    for field_name in sorted((was.keys() | is_now.keys()) - told):
        if was.get(field_name) != is_now.get(field_name):
            yield made("thing_changed", by_safety(was, is_now), id, name_of(is_now, id), _plain(field_name)(was),
                       _plain(field_name)(is_now), steps=acting(old, id), when=was.get("when"))
    if was.get("minutes") != is_now.get("minutes"):
        yield made("time_changed", "words", id, name_of(is_now, id), None, None)


def _of(entry: Entry, fields: tuple[str, ...]) -> list[Any]:
    return [_stage_shapes(entry[field]) if field == "stages" else entry.get(field) for field in fields]


def _stage_shapes(stages: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Stages without the ids of their figures: what those say is compared elsewhere."""
    return [stage | ({"figure": "its own"} if "figure" in stage else {}) for stage in stages]


def _told_by_figure(field: Field, was: Entry, is_now: Entry) -> bool:
    """A joint that gains or loses its figure: the figure's change tells how it was or is made by hand."""
    return field.fields == ("hand",) and (was["figure"] is None) != (is_now["figure"] is None)


def _lone(code: str, pack: Pack, table: str, id: str) -> Change:
    entry = pack[table][id]
    name = name_of(entry, id) if table not in ("follow_ons", "isolations") else str(entry.get("reason") or id)
    old, new = (name, None) if code == "thing_removed" else (None, name)
    return made(code, by_safety(entry), id, name, old, new, when=entry.get("when"))


def _cautions(old: Pack, new: Pack) -> Iterator[Change]:
    for id, was in old["cautions"].items():
        is_now = new["cautions"].get(id)
        if is_now is None:
            yield _caution("caution_removed", id, was, None, _naming(old, id))
        elif was != is_now:
            yield _caution("caution_changed", id, was, is_now, _naming(old, id))
        else:
            kept = {step["id"] for step in new.get("steps", [])}
            gone = [step for step in _naming(old, id) if step in kept and step not in _naming(new, id)]
            if gone:
                yield _caution("caution_removed", id, was, None, gone)
    known = {step["id"] for step in old.get("steps", [])}
    for id, is_now in new["cautions"].items():
        fresh = [step for step in _naming(new, id) if step in known and step not in _naming(old, id)]
        if fresh or id not in old["cautions"]:
            yield _caution("caution_added", id, None, is_now, fresh)


def _naming(pack: Pack, caution: str) -> list[str]:
    return [step["id"] for step in pack.get("steps", []) if caution in step["cautions"]]


def _caution(code: str, id: str, was: Entry | None, is_now: Entry | None, steps: list[str]) -> Change:
    grave = any(entry and entry["signal"] in GRAVE_SIGNALS for entry in (was, is_now))
    told = [None if entry is None else f"{entry['signal']}: {entry['hazard']} {entry['consequence']} {entry['avoidance']}"
            for entry in (was, is_now)]
    name = str((is_now or was or {})["hazard"]).rstrip(".")
    return made(code, "safety" if grave else "work", id, name, *told, steps=steps)
