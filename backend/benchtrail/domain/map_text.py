"""Reads the map of a model, or the objects that a procedure without a map declares itself.

Knows which keys each kind of object has (shared/README.md §4); what belongs together is checked later.
"""

import re
from dataclasses import dataclass
from typing import Any

from benchtrail.domain.accepted import ACCEPTED
from benchtrail.domain.action_text import read_general_trigger, read_trigger
from benchtrail.domain.fields import (
    SAFETY,
    Field,
    alternatives,
    choice,
    day,
    flag,
    guard,
    identifier,
    isolation,
    kebab,
    listed,
    literal,
    needed,
    number,
    one_or_more,
    read_record,
    read_table,
    text,
)
from benchtrail.domain.figure_text import compile_figure
from benchtrail.domain.literal_text import GOAL_WORDS
from benchtrail.domain.source_notes import Misread, Notes
from benchtrail.domain.spellings import KINDS
from benchtrail.domain.text_tree import Entry, Items, Node, Scalar, Table, shape_of

TABLES = ("parts", "units", "joints", "figures", "fluids", "tools", "supplies", "poses", "settings", "aids",
          "cautions", "checks", "follow_ons", "isolations")
# of these an id is used once in a map; `frame` is a part that every machine has
ONE_NAME_SPACE = ("parts", "units", "joints", "fluids", "poses", "settings", "aids", "checks")
FRAME = "frame"
NOUNS = {"parts": "part", "units": "unit", "joints": "joint", "figures": "figure", "fluids": "fluid", "tools": "tool",
         "supplies": "supply", "poses": "pose", "settings": "setting", "aids": "aid", "cautions": "caution",
         "checks": "check", "follow_ons": "follow-on", "isolations": "isolation"}
JOINT_KINDS = ("threaded", "clip", "clamp", "hose", "plug", "press", "pin", "cable", "spring")
CHECK_KINDS = ("measure", "adjust", "test", "run", "level", "bleed")
TREATMENTS = ("none", "dry", "oil", "grease", "locker", "sealant")
TREATMENT_DUE = ("fit", "end")
# what must be shut off or let go before an act: the first three injure by force (D3), the others by what is live (D6)
FORCES = ("weight", "spring", "pressure")
LIVE = ("heat", "electric", "motion", "fuel")
SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")

_MINUTES = Field(number(0, 600))
_WHEN = Field(guard)
_NAME = needed(text, "")
_SAFETY = Field(choice(*SAFETY), "normal")
_RENEW = Field(choice("never", "always", "inspect"), "never")
_IDS = Field(listed(identifier), [])


def _minutes_of(*acts: str) -> Field:
    """Minutes by act: `{undo: 2, make: 3}`."""
    fields = dict.fromkeys(acts, _MINUTES)
    return Field(lambda notes, node: read_record(notes, node, fields, "the minutes", f"minutes.{node.line}"))


def _treatment(notes: Notes, node: Node) -> dict[str, Any]:
    """A word, or `{kind: locker, supply: locker_medium, due: fit, open_min: 10, cure_min: 60}`."""
    if isinstance(node, Scalar):
        return {**NO_TREATMENT, "kind": choice(*TREATMENTS)(notes, node)}
    return read_record(notes, node, _TREATMENT, "the treatment", f"treatment.{node.line}")


def _place(notes: Notes, node: Node) -> list[float]:
    """A point on the face of a joint: `[x, y]` in mm."""
    if not isinstance(node, Items) or len(node.items) != 2:
        raise Misread("place_unreadable", node.line, found=shape_of(node))
    return [number(-5000, 5000)(notes, item) for item in node.items]


NO_TREATMENT: dict[str, Any] = {"kind": "none", "supply": None, "due": "fit", "open_min": None, "cure_min": None}
_TREATMENT = {"kind": needed(choice(*TREATMENTS), "none"), "supply": Field(identifier),
              "due": Field(choice(*TREATMENT_DUE), "fit"), "open_min": Field(number(0.1, 10_000)),
              "cure_min": Field(number(0.1, 10_000))}
_POSITION = {"at": needed(_place, [0, 0]), "length_mm": Field(number(0.1, 2000)), "label": Field(text),
             "blind": Field(flag, False)}
_STAGE = {"share": Field(number(1, 100)), "figure": Field(identifier), "angle_deg": Field(number(1, 1080)),
          "pose": Field(identifier)}


def _position(notes: Notes, node: Node) -> dict[str, Any]:
    return read_record(notes, node, _POSITION, "a position", f"position.{node.line}")


def _stage(notes: Notes, node: Node) -> dict[str, Any]:
    """One tightening stage: a share of the joint's figure, a figure of its own, or an angle; at most one of them."""
    stage = read_record(notes, node, _STAGE, "a stage", f"stage.{node.line}")
    given = {key: stage[key] for key in ("share", "figure", "angle_deg") if stage[key] is not None}
    if len(given) != 1:
        raise Misread("stage_not_one_way", node.line)
    return given | {"pose": stage["pose"]}


def _trigger(notes: Notes, node: Node) -> list[str]:
    return read_trigger(node)


def _general_trigger(notes: Notes, node: Node) -> list[str]:
    return read_general_trigger(node)


CAUTION_FIELDS = {
    "signal": needed(choice(*SIGNALS), "WARNING"), "hazard": needed(text, ""),
    "consequence": Field(text, ""), "avoidance": Field(text, ""),
}
_DEFAULT_STAGES = [{"share": 100, "pose": None}]
FIELDS: dict[str, dict[str, Field]] = {
    "parts": {
        "name": _NAME, "side": Field(text), "number": Field(text), "count": Field(number(1, 999, whole=True), 1),
        "when": _WHEN, "renew": _RENEW, "hold": Field(flag, False), "mass_kg": Field(number(0, 2000)),
        "look_for": Field(text), "exit": Field(alternatives, []), "aside": Field(alternatives), "safety": _SAFETY,
        "inside": Field(flag, False), "minutes": _MINUTES, "treatment": Field(_treatment, NO_TREATMENT),
        "own_place": Field(flag, False), "leaves_open": Field(text),
    },
    "units": {"name": _NAME, "parts": needed(listed(identifier, 1), []), "when": _WHEN, "exit": Field(alternatives),
              "minutes": _MINUTES},
    "joints": {
        "name": _NAME, "joins": needed(listed(identifier, 2), []), "kind": needed(choice(*JOINT_KINDS), "clip"),
        "thread": Field(text), "tools": _IDS,
        "positions": needed(listed(_position, 1), [{"at": [0, 0], "length_mm": None, "label": None}]),
        "reach": Field(alternatives, []), "holds": _IDS, "dry_in": _IDS, "figure": Field(identifier),
        "hand": Field(text), "treatment": Field(_treatment, NO_TREATMENT),
        "pattern": Field(choice("any", "row", "cross", "circle", "listed"), "any"),
        "order": Field(listed(number(1, 99, whole=True), 1)),
        "stages": Field(listed(_stage, 1), _DEFAULT_STAGES), "renew": _RENEW, "number": Field(text),
        "safety": _SAFETY, "when": _WHEN, "minutes": _minutes_of("undo", "make"),
    },
    "figures": {
        "kind": Field(choice(*KINDS), "torque"), "as_published": needed(text, "not given", "M5"),
        "tolerance": Field(text), "condition": Field(text, ""), "source": Field(text, ""), "revision": Field(text),
        "safety": _SAFETY, "when": _WHEN,
    },
    "fluids": {
        "name": _NAME, "capacity_ml": Field(number(1, 1_000_000)), "refill_ml": Field(number(1, 1_000_000)),
        "specification": Field(text), "fill": Field(identifier), "drain": Field(identifier), "level": Field(text),
        "hazards": Field(listed(text), []), "disposal": Field(text), "when": _WHEN,
        "minutes": _minutes_of("drain", "fill"),
    },
    "tools": {"name": _NAME, "kind": Field(text), "low_nm": Field(number(0, 10_000)),
              "high_nm": Field(number(0, 10_000)), "when": _WHEN},
    "supplies": {"name": _NAME, "kind": Field(text), "when": _WHEN},
    "poses": {"name": _NAME, "family": needed(text, "unknown"), "when": _WHEN, "minutes": _MINUTES,
              "needs": Field(alternatives, []), "steady": Field(flag)},
    "settings": {"name": _NAME, "values": needed(listed(text, 1), []), "start": needed(text, ""), "when": _WHEN,
                 "minutes": _MINUTES},
    "aids": {"name": _NAME, "control": Field(flag, False), "catches": _IDS, "covers": _IDS, "carries": _IDS,
             "when": _WHEN},
    "cautions": {**CAUTION_FIELDS, "triggers": Field(listed(_trigger), []), "when": _WHEN},
    "checks": {"name": _NAME, "kind": needed(choice(*CHECK_KINDS), "test"), "figure": Field(identifier),
               "fluid": Field(identifier), "when": _WHEN, "minutes": _MINUTES, "reach": Field(alternatives, []),
               "tools": _IDS, "at_least": Field(identifier), "at_most": Field(identifier)},
    "follow_ons": {"after": needed(one_or_more(literal()), []), "needs": needed(one_or_more(identifier), []),
                   "reason": Field(text, ""), "safety": _SAFETY, "when": _WHEN},
    "isolations": {"energy": needed(choice(*FORCES, *LIVE), "weight"),
                   "during": needed(listed(_general_trigger, 1), []), "needs": needed(isolation, []),
                   "reason": Field(text, ""), "when": _WHEN},
}


def _years(notes: Notes, node: Node) -> list[int]:
    """`2021-2026`, or one year."""
    match = re.fullmatch(r"(\d{4})(?:\s*(?:-|–|to)\s*(\d{4}))?", text(notes, node))
    years = [int(match[1]), int(match[2] or match[1])] if match else [0, 0]
    if not 1900 <= years[0] <= years[1] <= 2200 or years[1] - years[0] > 60:
        raise Misread("years_unreadable", node.line, written=text(notes, node)[:40])
    return years


_OPTION = {"name": _NAME, "group": Field(text), "when": _WHEN}


def _options(notes: Notes, node: Node) -> dict[str, Any]:
    """Options by id, each a table or, short, its name alone."""
    if isinstance(node, Table):
        entries = {key: Entry(key, entry.line, _as_table(entry.value)) for key, entry in node.entries.items()}
        node = Table(entries, node.line)
    return read_table(notes, node, _OPTION, "options", "option")


def _as_table(node: Node) -> Node:
    return Table({"name": Entry("name", node.line, node)}, node.line) if isinstance(node, Scalar) else node


def _table_field(table: str) -> Field:
    return Field(lambda notes, node: read_table(notes, node, FIELDS[table], table, NOUNS[table]), {})


SERVICE_METERS = ("hours", "km", "starts", "days", "months")
_EVERY = {meter: Field(number(0.1, 1_000_000)) for meter in SERVICE_METERS}


def _every(notes: Notes, node: Node) -> list[dict[str, Any]]:
    """`{hours: 30, months: 12}`: the limbs of an interval, whichever is reached first."""
    limbs = read_record(notes, node, _EVERY, "the interval", f"every.{node.line}")
    return [{"meter": meter, "every": limbs[meter]} for meter in SERVICE_METERS if limbs[meter] is not None]


_SERVICE = {"name": _NAME, "goals": needed(one_or_more(literal(GOAL_WORDS)), []), "every": needed(_every, []),
            "procedure": Field(kebab), "source": needed(text, "", "M5"), "when": _WHEN}


def _services(notes: Notes, node: Node) -> dict[str, Any]:
    """What falls due at intervals: not part of the machine, so none of its tables."""
    return read_table(notes, node, _SERVICE, "services", "service")


TABLE_FIELDS = {table: _table_field(table) for table in TABLES}
_MAP = {
    "model": needed(kebab, "unknown"), "name": needed(text, ""), "invented": Field(flag, False),
    "years": needed(_years, [2000, 2000], "S1"), "revision": needed(number(1, 100_000, whole=True), 1),
    "issued": needed(day, "2000-01-01"), "options": Field(_options, {}), "accepted": ACCEPTED,
    "services": Field(_services, {}), **TABLE_FIELDS,
}


@dataclass(frozen=True)
class MapText:
    """A map as read: `head` without its tables; `whole` is False when the file could not be read as a map at all."""

    head: dict[str, Any]
    tables: dict[str, dict[str, Any]]
    notes: Notes
    whole: bool


def read_map(notes: Notes, tree: Node) -> MapText:
    """The map of a tree, with everything found noted."""
    record = read_record(notes, tree, _MAP, "the map", "map")
    head = {key: value for key, value in record.items() if key not in TABLES}
    head["options"] = [{"id": key, **option} for key, option in record["options"].items()]
    tables = read_tables(notes, record)
    return MapText(head, tables, notes, isinstance(tree, Table) and not _top_level_fault(notes))


def _top_level_fault(notes: Notes) -> bool:
    """True if a key of the map itself is missing or cannot be read: what follows from it is not the procedures'."""
    tops = {notes.lines[f"map.{key}"] for key in _MAP if f"map.{key}" in notes.lines}
    faults = {"key_unknown", "table_needed", "key_missing", "years_unreadable"}
    whats = {finding.values.get("what") for finding in notes.findings if finding.code in faults}
    return "the map" in whats or any(f.code == "key_twice" and f.where.line in tops for f in notes.findings)


def read_tables(notes: Notes, record: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The tables of a read record, figures compiled, ids of the one name space checked."""
    tables = {table: dict(record[table]) for table in TABLES}
    tables["figures"] = {key: compile_figure(notes, key, figure) for key, figure in tables["figures"].items()}
    tables["cautions"] = {key: {"id": key, **caution} for key, caution in tables["cautions"].items()}
    _note_taken(notes, tables)
    return tables


def _note_taken(notes: Notes, tables: dict[str, dict[str, Any]]) -> None:
    seen: dict[str, str] = {FRAME: "part"}
    for table in ONE_NAME_SPACE:
        for key in tables[table]:
            if key in seen:
                notes.add("id_taken", notes.lines[f"{table}.{key}"], check="S10", id=key, first=seen[key],
                          noun=NOUNS[table])
            seen.setdefault(key, NOUNS[table])
