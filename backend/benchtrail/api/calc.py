"""Every bench calculation over HTTP: the same registry, refusals and texts as the command line.

Knows which JSON each argument may be, from the calculation's own signature; the calculation checks what the values mean.
"""

import inspect
import math
from functools import cache
from typing import Any, get_type_hints

from marshmallow import EXCLUDE, INCLUDE, Schema, ValidationError, fields, validate

from benchtrail.api.context import Blueprint
from benchtrail.domain.answer import Answer, Note, answer_data, in_words
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.refused import Refused
from benchtrail.messages import calc_texts

blueprint = Blueprint("calc", __name__, url_prefix="/api/v1", description="Every bench calculation")
LONGEST_LIST = 5000
LONGEST_TEXT = 200


class Number(fields.Field[float]):
    """A JSON number as it is: no text, no true or false, nothing endless."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise ValidationError("Not a number.")
        return value


class _Loose(Schema):
    """Fields beyond the named ones are kept: packs grow."""

    class Meta:
        unknown = INCLUDE


class KitToolSchema(_Loose):
    name = fields.String(required=True)
    kind = fields.String(load_default=None, allow_none=True)


class KitJointSchema(_Loose):
    tools = fields.List(fields.String(), required=True)
    safety = fields.String(required=True)
    figure = fields.String(load_default=None, allow_none=True)


class KitFigureSchema(_Loose):
    kind = fields.String(required=True)
    value = Number(load_default=None, allow_none=True)
    low = Number(load_default=None, allow_none=True)
    high = Number(load_default=None, allow_none=True)


class KitActionSchema(_Loose):
    verb = fields.String(required=True)
    object = fields.String(required=True)


class KitStepSchema(_Loose):
    id = fields.String(required=True)
    tools = fields.List(fields.String(), required=True)
    do = fields.List(fields.Nested(KitActionSchema), required=True)
    figure = fields.String(load_default=None, allow_none=True)


class KitPackSchema(Schema):
    """What the kit check reads of a procedure pack; the rest of a pack may come along."""

    class Meta:
        unknown = EXCLUDE

    steps = fields.List(fields.Nested(KitStepSchema), required=True, validate=validate.Length(max=500))
    joints = fields.Dict(keys=fields.String(), values=fields.Nested(KitJointSchema), required=True)
    figures = fields.Dict(keys=fields.String(), values=fields.Nested(KitFigureSchema), required=True)
    tools = fields.Dict(keys=fields.String(), values=fields.Nested(KitToolSchema), required=True)


class Plain(fields.Field[Any]):
    """A record of plain values: numbers, texts, yes or no, and lists or records of these."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, dict):
            raise ValidationError("Not a record of plain values.")
        self._check(value, 0)
        return value

    def _check(self, value: Any, depth: int) -> None:
        if depth > 4:
            raise ValidationError("Nested too deeply.")
        if isinstance(value, float) and not math.isfinite(value):
            raise ValidationError("Not a record of plain values.")
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        for item in inner:
            self._check(item, depth + 1)


def _field(name: str, hint: str, **options: Any) -> fields.Field[Any]:
    """The field for one argument, by its type as written in the signature."""
    at_most = validate.Length(max=LONGEST_LIST)
    if name == "pack":
        return fields.Nested(KitPackSchema, **options)
    if "Sequence[collections.abc.Sequence" in hint:
        return fields.List(fields.List(Number()), validate=at_most, **options)
    if hint.startswith("collections.abc.Sequence"):
        records = any(word in hint for word in ("Mapping", "dict[", "Wrench"))
        return fields.List(Plain() if records else Number(), validate=at_most, **options)
    if "Mapping" in hint:
        return Plain(**options)
    if "bool" in hint:
        return fields.Boolean(truthy={True}, falsy={False}, **options)
    if "str" in hint:
        return fields.String(validate=validate.Length(max=LONGEST_TEXT), **options)
    return Number(**options)


@cache
def schema_of(name: str) -> type[Schema]:
    """The schema of what a calculation takes: every argument by name, needed ones required."""
    calculation = CALCULATIONS[name]
    hints = get_type_hints(calculation)
    made: dict[str, Any] = {}
    for argument, parameter in inspect.signature(calculation).parameters.items():
        hint = str(hints[argument])
        needed = parameter.default is inspect.Parameter.empty
        made[argument] = _field(argument, hint, required=needed, allow_none="None" in hint)
    return Schema.from_dict(made, name=f"Calc_{name}")


class AnyValuesSchema(Schema):
    """The arguments of the named calculation, as `benchtrail calc NAME` lists them."""

    class Meta:
        unknown = INCLUDE


class CalcNoteSchema(Schema):
    code = fields.String(required=True)
    values = fields.Dict(required=True)
    words = fields.String(required=True)


class CalcSourceSchema(Schema):
    mark = fields.String(required=True)
    name = fields.String(required=True)
    words = fields.String(required=True)


class CalcAnswerSchema(Schema):
    name = fields.String(required=True)
    values = fields.Dict(required=True)
    working = fields.Nested(CalcNoteSchema, required=True)
    sources = fields.List(fields.Nested(CalcSourceSchema), required=True)
    notes = fields.List(fields.Nested(CalcNoteSchema), required=True)
    until = fields.List(fields.Nested(CalcNoteSchema), required=True)


class CalculationSchema(Schema):
    name = fields.String(required=True)
    words = fields.String(required=True)
    needed = fields.List(fields.String(), required=True)
    optional = fields.List(fields.String(), required=True)


@blueprint.at("/calc")
@blueprint.answers(200, CalculationSchema, many=True)
def calculations() -> list[dict[str, Any]]:
    """Every calculation with what it takes."""
    listed = []
    for name in CALCULATIONS:
        taken = schema_of(name)().fields
        needed = [field for field, one in taken.items() if one.required]
        optional = [field for field, one in taken.items() if not one.required]
        listed.append({"name": name, "words": calc_texts()["names"][name], "needed": needed, "optional": optional})
    return listed


@blueprint.at("/calc/<name>", "POST")
@blueprint.takes(AnyValuesSchema)
@blueprint.answers(200, CalcAnswerSchema)
def calculate(given: dict[str, Any], name: str) -> dict[str, Any]:
    """The answer with its working, source, and when it stops being true.

    Raises Refused: calc_unknown, calc_field_unknown, calc_field_missing, input_not_as_described, and what the
    calculation refuses.
    """
    if name not in CALCULATIONS:
        raise Refused("calc_unknown", written=name[:LONGEST_TEXT])
    answer = CALCULATIONS[name](**_read(name, given))
    return {"name": name, **_with_words(answer)}


def _read(name: str, given: dict[str, Any]) -> dict[str, Any]:
    taken = schema_of(name)()
    unknown = next((field for field in given if field not in taken.fields), None)
    if unknown is not None:
        raise Refused("calc_field_unknown", written=unknown[:LONGEST_TEXT], fields=", ".join(taken.fields))
    missing = [field for field, one in taken.fields.items() if one.required and field not in given]
    if missing:
        raise Refused("calc_field_missing", fields=", ".join(missing))
    try:
        read: dict[str, Any] = taken.load(given)
    except ValidationError as error:
        raise Refused("input_not_as_described", fields=error.messages) from error
    return read


def _with_words(answer: Answer) -> dict[str, Any]:
    """The answer as data, each sentence also in words."""
    texts, data = calc_texts(), answer_data(answer)

    def said(table: str, note: Note) -> dict[str, Any]:
        return {"code": note.code, "values": dict(note.values), "words": in_words(texts[table][note.code], note.values)}
    sources = [{"mark": one.mark, "name": one.name, "words": texts["marks"][one.mark]} for one in answer.sources]
    return {
        "values": data["values"], "working": said("working", answer.working), "sources": sources,
        "notes": [said("notes", note) for note in answer.notes], "until": [said("notes", note) for note in answer.until],
    }
