"""Compiles what was read into packs: the model pack of a map, the procedure pack of a procedure.

Knows what a pack carries over from its map (shared/README.md §6); checks nothing and reads no files.
"""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from posixpath import dirname, join
from typing import Any, cast

from benchtrail.domain.accepted import compiled
from benchtrail.domain.action_text import matches_trigger
from benchtrail.domain.map_text import FRAME, ONE_NAME_SPACE, TABLES, MapText
from benchtrail.domain.pack import ModelPack, ProcedurePack
from benchtrail.domain.pictures import picture_kind
from benchtrail.domain.procedure_text import ProcedureText
from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Notes

ReadPicture = Callable[[str], bytes | None]
Objects = Mapping[str, Mapping[str, Any]]
TAKING_OFF = ("remove", "hang", "fit")


@dataclass(frozen=True)
class Compiled:
    """A procedure pack with the bytes of its pictures by SHA-256."""

    pack: ProcedurePack
    pictures: dict[str, bytes]


def compile_map(text: MapText, dealer: str) -> ModelPack:
    """The model pack of a map."""
    return cast(ModelPack, {"format": "benchtrail.model/1", "dealer": dealer, **text.head, **text.tables,
                            "accepted": compiled(text.head["accepted"])})


def compile_procedure(text: ProcedureText, machine: MapText | None, dealer: str, read_picture: ReadPicture) -> Compiled:
    """The procedure pack, with only what its steps reach of the map; picture faults are noted in `text.notes`."""
    tables = machine.tables if machine else text.tables
    inline = _inline_cautions(text)
    steps = [_compile_step(step, tables) for step in text.steps]
    shown = _Pictures(text.notes, read_picture)
    for step, written in zip(steps, text.steps, strict=True):
        step["picture"] = shown.add(written) if written["picture"] else None
    head = {key: value for key, value in text.head.items() if key != "invented"}
    carried = carried_tables(tables, head, steps)
    carried["cautions"] = carried["cautions"] | inline
    invented = bool(machine.head["invented"]) if machine else text.head["invented"]
    pack = {"format": "benchtrail.procedure/1", "dealer": dealer, **head, "invented": invented,
            "model": _model(machine), "accepted": compiled(text.head["accepted"]), **carried, "steps": steps, "pictures": shown.entries}
    return Compiled(cast(ProcedurePack, pack), shown.contents)


def _model(machine: MapText | None) -> dict[str, Any] | None:
    if machine is None:
        return None
    head = machine.head
    return {"id": head["model"], "name": head["name"], "years": head["years"], "options": head["options"]}


def _inline_cautions(text: ProcedureText) -> dict[str, dict[str, Any]]:
    found = {}
    for step in text.steps:
        inline = [caution for caution in step["caution"] if not isinstance(caution, str)]
        for n, caution in enumerate(inline, 1):
            key = f"{step['id']}-caution-{n}"
            found[key] = {"id": key, **caution, "triggers": [], "when": None}
    return found


def _compile_step(step: Mapping[str, Any], tables: Objects) -> dict[str, Any]:
    cautions, inline = [], 0
    for caution in step["caution"]:
        inline += not isinstance(caution, str)
        cautions.append(caution if isinstance(caution, str) else f"{step['id']}-caution-{inline}")
    return {
        "id": step["id"], "section": step["section"], "do": step["do"], "say": step["say"], "detail": step["detail"],
        "when": step["when"], "figure": _figure_of(step, tables), "cautions": cautions,
        "limits": _compile_limits(step["limits"], tables), "look_for": step["look_for"], "picture": None,
        "minutes": step["minutes"], "tools": step["tools"],
    }


def _figure_of(step: Mapping[str, Any], tables: Objects) -> str | None:
    """The step's own figure; else on tighten the figure of the stage or of the joint."""
    if step["figure"]:
        return cast(str, step["figure"])
    for action in step["do"]:
        joint = tables["joints"].get(action["object"]) if action["verb"] == "tighten" else None
        if joint is not None:
            stage = joint["stages"][min(action.get("stage", len(joint["stages"])), len(joint["stages"])) - 1]
            figure = stage.get("figure") or joint["figure"]
            if figure:
                return cast(str, figure)
    return None


def _compile_limits(limits: Mapping[str, Any] | None, tables: Objects) -> dict[str, Any] | None:
    if limits is None:
        return None
    check = tables["checks"].get(limits["check"], {})
    ids = (limits["at_least"], limits["at_most"], check.get("figure"))
    figure = next((tables["figures"][key] for key in ids if key in tables["figures"]), None)
    kind, unit = (figure["kind"], figure["unit"]) if figure else ("count", "")
    return {
        "check": limits["check"], "kind": kind, "unit": unit,
        "low": limits["at_least"], "high": limits["at_most"], "pass": limits["pass"], "fail": limits["fail"],
        "fail_needs": limits["fail_needs"],
    }


class _Pictures:
    """The pictures of a procedure: their entries by key, their bytes by hash."""

    def __init__(self, notes: Notes, read_picture: ReadPicture) -> None:
        self.notes, self.read_picture = notes, read_picture
        self.entries: dict[str, dict[str, Any]] = {}
        self.contents: dict[str, bytes] = {}

    def add(self, step: Mapping[str, Any]) -> str | None:
        """The key of the step's picture; None, and a note, when it cannot be shown."""
        file, alt = step["picture"]["file"], step["picture"]["alt"] or step["say"]
        try:
            content = self._content(file)
            entry = {"sha256": hashlib.sha256(content).hexdigest(), "mime": picture_kind(content),
                     "bytes": len(content), "alt": alt}
        except Refused as refusal:
            path = f"steps.{step['id']}"
            where = self.notes.where(f"{path}.picture", path)
            self.notes.step = step["id"]
            self.notes.add(refusal.code, where.line, refusal.values, picture=file[:120])
            self.notes.step = None
            return None
        self.contents[entry["sha256"]] = content
        key, n = file, 1
        while self.entries.setdefault(key, entry) != entry:
            n += 1
            key = f"{file}#{n}"
        return cast(str, key)

    def _content(self, file: str) -> bytes:
        if not file or file.startswith("/") or "\\" in file or ":" in file or ".." in file.split("/"):
            raise Refused("picture_path_refused")
        path = join(dirname(self.notes.file), file)
        content = self.read_picture(path)
        if content is None:
            raise Refused("picture_not_found", path=path)
        return content


def carried_tables(tables: Objects, head: Mapping[str, Any],
                   steps: Iterable[Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """Of each table what the steps reach, closed transitively.

    Conditions of access are followed only for what the steps undo or take off; of what is merely joined they are left
    out: an engine is a member of many joints, and what its own removal needs is of no use to who renews a seal.
    """
    steps = list(steps)
    acted = _acted(tables, head, steps)
    taken = _taken_off(tables, steps)
    opened = {(table, key) for table, key in acted if table != "parts" or key in taken}
    todo = [*acted, *_named(head, steps), *_triggered(tables, acted, taken), *_isolated(tables, steps)]
    carried: dict[str, dict[str, Any]] = {table: {} for table in TABLES}
    while todo:
        table, key = _home(tables, *todo.pop())
        if table is None or key in carried[table]:
            continue
        entry = dict(tables[table][key])
        if (table, key) not in opened:
            entry |= {name: free for name, free in _FREE.get(table, {}).items() if entry[name] is not None}
        carried[table][key] = entry
        todo.extend(_references(table, entry))
    return carried


_THING = "thing"
_FREE: dict[str, dict[str, Any]] = {
    "parts": {"exit": [], "aside": []}, "units": {"exit": []}, "joints": {"reach": []}, "poses": {"needs": []},
    "checks": {"reach": []},
}


def _home(tables: Objects, table: str, key: str) -> tuple[str | None, str]:
    """The table that holds an id of the one name space."""
    tables_of = ONE_NAME_SPACE if table == _THING else (table,)
    return next((name for name in tables_of if key in tables[name]), None), key


def _acted(tables: Objects, head: Mapping[str, Any], steps: Iterable[Mapping[str, Any]]) -> set[tuple[str, str]]:
    """(table, id) of everything that the steps act on or the goal names; parts of a unit count with it."""
    ids = {literal[1] for literal in head["goal"]}
    for step in steps:
        ids |= {action[key] for action in step["do"] for key in ("object", "to") if action.get(key)}
        ids |= {step["limits"]["check"]} if step["limits"] else set()
    ids |= _parts_of_units(tables, ids)
    found = {_home(tables, _THING, key) for key in ids}
    return {(table, key) for table, key in found if table is not None}


def _parts_of_units(tables: Objects, ids: set[str]) -> set[str]:
    return {part for key in ids & tables["units"].keys() for part in tables["units"][key]["parts"]}


def _taken_off(tables: Objects, steps: Iterable[Mapping[str, Any]]) -> set[str]:
    """The parts that the steps take off or put on, by themselves or in a unit."""
    ids = {action["object"] for step in steps for action in step["do"] if action["verb"] in TAKING_OFF}
    return ids | _parts_of_units(tables, ids)


def _named(head: Mapping[str, Any], steps: Iterable[Mapping[str, Any]]) -> Iterator[tuple[str, str]]:
    """What the head and the steps name besides what they act on."""
    for literal in (*head["start"], *head["ends"]):
        yield _THING, literal[1]
    for kind in ("tools", "supplies"):
        yield from ((kind, key) for key in head["prepare"][kind])
    for step in steps:
        yield from (("tools", key) for key in step["tools"])
        yield from (("cautions", key) for key in step["cautions"])
        yield from (("supplies", action["object"]) for action in step["do"] if action["verb"] == "apply")
        limits = step["limits"] or {"low": None, "high": None}
        yield from (("figures", key) for key in (step["figure"], limits["low"], limits["high"]) if key)


def _triggered(tables: Objects, acted: set[tuple[str, str]], taken: set[str]) -> Iterator[tuple[str, str]]:
    """Joints that hold what the steps take off, and the follow-ons of what they disturb."""
    yield from (("joints", key) for key, joint in tables["joints"].items() if taken & set(joint["joins"]))
    ids = {key for _, key in acted}
    yield from (("follow_ons", key) for key, rule in tables["follow_ons"].items()
                if any(literal[1] in ids for literal in rule["after"]))


def _isolated(tables: Objects, steps: Iterable[Mapping[str, Any]]) -> Iterator[tuple[str, str]]:
    """The isolations that an act of the steps asks for."""
    actions = [action for step in steps for action in step["do"]]
    yield from (("isolations", key) for key, isolation in tables["isolations"].items()
                if any(matches_trigger(action, trigger) for trigger in isolation["during"] for action in actions))


def _references(table: str, entry: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """What an object names."""
    for name in ("exit", "aside", "reach", "needs"):
        if table != "follow_ons":
            yield from ((_THING, literal[1]) for every in entry.get(name) or [] for literal in every)
    for name in ("parts", "joins", "holds", "dry_in"):
        yield from ((_THING, key) for key in entry.get(name) or [] if key != FRAME)
    for name in ("fill", "drain", "fluid"):
        if entry.get(name):
            yield _THING, entry[name]
    for name in ("figure", "at_least", "at_most"):
        if entry.get(name):
            yield "figures", entry[name]
    yield from (("tools", key) for key in entry.get("tools") or [])
    if table == "parts" and entry["treatment"]["supply"]:
        yield "supplies", entry["treatment"]["supply"]
    if table == "joints":
        yield from _joint_references(entry)
    if table == "follow_ons":
        yield from ((_THING, literal[1]) for literal in entry["after"])
        yield from ((_THING, key) for key in entry["needs"])


def _joint_references(joint: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if joint["treatment"]["supply"]:
        yield "supplies", joint["treatment"]["supply"]
    for stage in joint["stages"]:
        if stage.get("figure"):
            yield "figures", stage["figure"]
        if stage["pose"]:
            yield _THING, stage["pose"]
