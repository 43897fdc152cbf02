"""The part of a procedure pack that the kit check reads, checked field by field.

Knows the shape of a pack; knows no calculation. Over HTTP the same is done by a schema.
"""

from collections.abc import Mapping
from typing import Any

from benchtrail.domain.bounds import record_field, several
from benchtrail.domain.refused import Refused

_MOST_STEPS = 500


def pack_for_kit(pack: object) -> dict[str, Any]:
    """`steps`, `joints`, `figures`, `tools` of `pack`. Raises `record_needed`, `list_needed`, `list_length`."""
    return {
        "steps": [_step(one) for one in several(record_field(pack, "steps", "pack"), "steps", 0, _MOST_STEPS)],
        "joints": {name: {"tools": _names(one, "joint"), "safety": _text(one, "safety", "joint"),
                          "figure": _maybe(one, "figure", "joint")} for name, one in _table(pack, "joints").items()},
        "figures": {name: {"kind": _text(one, "kind", "figure"),
                           **{end: _number(one, end) for end in ("value", "low", "high")}}
                    for name, one in _table(pack, "figures").items()},
        "tools": {name: {"name": _text(one, "name", "tool"), "kind": _maybe(one, "kind", "tool")}
                  for name, one in _table(pack, "tools").items()},
    }


def _step(step: object) -> dict[str, Any]:
    acts = several(record_field(step, "do", "step"), "actions", 0, 20)
    return {"id": _text(step, "id", "step"), "tools": _names(step, "step"), "figure": _maybe(step, "figure", "step"),
            "do": [{key: _text(act, key, "action") for key in ("verb", "object")} for act in acts]}


def _table(pack: object, name: str) -> Mapping[str, object]:
    table = record_field(pack, name, "pack")
    if not isinstance(table, Mapping):
        raise Refused("record_needed", what=f"{name} of the pack")
    return table


def _names(record: object, what: str) -> list[str]:
    return [str(name) for name in several(record_field(record, "tools", what), f"tools of a {what}", 0, 100)]


def _text(record: object, key: str, what: str) -> str:
    text = record_field(record, key, what)
    if not isinstance(text, str):
        raise Refused("record_needed", what=what)
    return text


def _maybe(record: object, key: str, what: str) -> str | None:
    return None if record_field(record, key, what) is None else _text(record, key, what)


def _number(record: object, key: str) -> float | None:
    number = record_field(record, key, "figure")
    if number is None:
        return None
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise Refused("number_needed", what="figure of the pack")
    return number
