"""Lists that nobody types: what a job needs, its order of steps, its torque sheet, and how far it is.

Knows the pack for one variant (for_variant) and the fold of a journal; must not know what is in stock or on the shelf.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from benchtrail.domain.bench_state import Pack, for_variant

Row = dict[str, Any]
OPENING_AND_CLOSING = ("undo", "slacken", "tighten")


def derived_lists(pack: Pack) -> dict[str, list[Row]]:
    """{parts, single_use, tools, supplies, fluids} that the steps need, each in the order of first need.

    parts: `{id, name, number, count, certain}`, not certain when the part is only inspected; single_use: the same for
    what must be renewed once opened, parts and fasteners; tools: `{any, steps}`, any one of these ids will do;
    supplies: `{id, name, kind}`; fluids: `{id, name, specification, amount_ml}`, None when an amount is not known.
    """
    wanted = _new_items(pack)
    return {
        "parts": [row for row in wanted if not _single_use(pack, row["id"])],
        "single_use": [row for row in wanted if _single_use(pack, row["id"])],
        "tools": _tools(pack), "supplies": _supplies(pack), "fluids": _fluids(pack),
    }


def step_order(pack: Pack) -> list[str]:
    """The ids of the steps in the order in which they are done."""
    return [step["id"] for step in pack["steps"]]


def progress(pack: Pack, fold: Mapping[str, Any]) -> Row:
    """How far a job is: `{done, skipped, total, place, minutes_left, untimed}`.

    `minutes_left` adds up the open steps that state a time; `untimed` counts open steps that state none.
    """
    steps = for_variant(pack, fold["variant"])["steps"]
    still_open = [step for step in steps if step["id"] not in fold["done"] and step["id"] not in fold["skipped"]]
    return {
        "done": sum(step["id"] in fold["done"] for step in steps),
        "skipped": sum(step["id"] in fold["skipped"] for step in steps),
        "total": len(steps), "place": fold["place"],
        "minutes_left": sum(step["minutes"] or 0 for step in still_open),
        "untimed": sum(step["minutes"] is None for step in still_open),
    }


def figures_of_steps(pack: Pack) -> list[Row]:
    """The torque sheet: `{step, joint, count, figure, stage, share, angle_deg, hand}` for each tightening, in order.

    `figure` is an id or None; `share` is the percentage of it at this stage; without a figure `hand` says how far.
    """
    return [_sheet_row(pack, step, action) for step, action in _actions(pack)
            if action["verb"] == "tighten" and action["object"] in pack["joints"]]


def _sheet_row(pack: Pack, step: Row, action: Mapping[str, Any]) -> Row:
    joint = pack["joints"][action["object"]]
    stages = joint["stages"]
    number = min(action.get("stage") or len(stages), len(stages))
    stage = stages[number - 1] if stages else {}
    angle = stage.get("angle_deg")
    figure = None if angle is not None else step["figure"] or stage.get("figure") or joint["figure"]
    return {"step": step["id"], "joint": action["object"], "count": len(joint["positions"]), "figure": figure,
            "stage": number if len(stages) > 1 else None, "share": stage.get("share") if figure else None,
            "angle_deg": angle, "hand": joint["hand"]}


def _actions(pack: Pack) -> Iterator[tuple[Row, Mapping[str, Any]]]:
    return ((step, action) for step in pack["steps"] for action in step["do"])


def _single_use(pack: Pack, thing: str) -> bool:
    return bool(_entry(pack, thing)["renew"] == "always")


def _entry(pack: Pack, thing: str) -> Row:
    entry: Row = pack["parts"].get(thing) or pack["joints"][thing]
    return entry


def _new_items(pack: Pack) -> list[Row]:
    """Rows of what is renewed, and of parts that an inspection may ask to renew."""
    certain = {}
    for _, action in _actions(pack):
        thing = action["object"]
        if action["verb"] == "renew" and (thing in pack["parts"] or thing in pack["joints"]):
            certain[thing] = True
        elif action["verb"] == "inspect" and pack["parts"].get(thing, {}).get("renew") == "inspect":
            certain.setdefault(thing, False)
    return [_new_item(pack, thing, sure) for thing, sure in certain.items()]


def _new_item(pack: Pack, thing: str, certain: bool) -> Row:
    entry = _entry(pack, thing)
    count = entry["count"] if thing in pack["parts"] else len(entry["positions"])
    return {"id": thing, "name": entry["name"], "number": entry["number"], "count": count, "certain": certain}


def _tools(pack: Pack) -> list[Row]:
    """Choices of tools; a choice that another needed tool already meets is left out, bare hands too."""
    steps: dict[tuple[str, ...], list[str]] = {(tool,): [] for tool in pack["prepare"]["tools"]}
    for step in pack["steps"]:
        for choice in _choices(pack, step):
            steps.setdefault(choice, [])
            steps[choice] += [] if step["id"] in steps[choice] else [step["id"]]
    needed = {choice[0] for choice in steps if len(choice) == 1}
    return [{"any": list(choice), "steps": ids} for choice, ids in steps.items()
            if len(choice) == 1 or not needed & set(choice)]


def _choices(pack: Pack, step: Row) -> Iterator[tuple[str, ...]]:
    for action in step["do"]:
        joint = pack["joints"].get(action["object"]) if action["verb"] in OPENING_AND_CLOSING else None
        if joint and joint["tools"] and not any(_bare_hand(pack, tool) for tool in joint["tools"]):
            yield tuple(joint["tools"])
    yield from ((tool,) for tool in step["tools"] if not _bare_hand(pack, tool))


def _bare_hand(pack: Pack, tool: str) -> bool:
    return bool(pack["tools"].get(tool, {}).get("kind") == "none")


def _supplies(pack: Pack) -> list[Row]:
    applied = (supply for _, action in _actions(pack) for supply in _supplies_of(pack, action))
    ids = [*pack["prepare"]["supplies"], *applied]
    return [{"id": supply, "name": pack["supplies"][supply]["name"], "kind": pack["supplies"][supply]["kind"]}
            for supply in dict.fromkeys(ids) if supply in pack["supplies"]]


def _supplies_of(pack: Pack, action: Mapping[str, Any]) -> Iterable[str]:
    if action["verb"] == "apply":
        return [action["object"]]
    joint = pack["joints"].get(action["object"]) if action["verb"] in ("start", "tighten") else None
    return [joint["treatment"]["supply"]] if joint and joint["treatment"]["supply"] else []


def _fluids(pack: Pack) -> list[Row]:
    amounts: dict[str, float | None] = {}
    for _, action in _actions(pack):
        fluid = action["object"]
        if action["verb"] == "fill" and fluid in pack["fluids"]:
            more = action.get("amount_ml", pack["fluids"][fluid]["refill_ml"])
            before = amounts.get(fluid, 0)
            amounts[fluid] = None if more is None or before is None else before + more
    entries = pack["fluids"]
    return [{"id": fluid, "name": entries[fluid]["name"], "specification": entries[fluid]["specification"],
             "amount_ml": amount} for fluid, amount in amounts.items()]
