"""What the jobs that came back say: of each step of a procedure, as page and table."""

import csv
import io
from collections.abc import Iterable
from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, kept_rows, ports
from benchtrail.domain.refused import Refused
from benchtrail.services.readings import Readings, measured, readings_of
from benchtrail.services.readings import as_table as readings_table
from benchtrail.services.step_statistics import as_table, procedure_statistics

blueprint = Blueprint("desk_returns", __name__, url_prefix="/api/v1/desk", description="The desk: what jobs say of the library")


class TimesSchema(Schema):
    n = fields.Integer(required=True)
    median_min = fields.Float(required=True, allow_none=True)
    low_min = fields.Float(required=True, allow_none=True)
    high_min = fields.Float(required=True, allow_none=True)
    coverage = fields.Float(required=True, allow_none=True)
    q10_min = fields.Float(required=True, allow_none=True)
    q90_min = fields.Float(required=True, allow_none=True)
    aside = fields.Dict(required=True, keys=fields.String(), values=fields.Integer())


class StepStatisticsSchema(Schema):
    number = fields.Integer(required=True)
    step = fields.String(required=True)
    say = fields.String(required=True)
    section = fields.String(required=True)
    minutes = fields.Float(required=True, allow_none=True)
    jobs = fields.Integer(required=True)
    times = fields.Nested(TimesSchema, required=True)
    stopped = fields.Integer(required=True)
    back = fields.Integer(required=True)
    skipped = fields.Integer(required=True)
    asked = fields.Integer(required=True)
    notes = fields.Integer(required=True)
    outside = fields.Integer(required=True)
    trouble = fields.Integer(required=True)
    too_few = fields.Boolean(required=True)
    look = fields.List(fields.String(), required=True)


class LabourSchema(Schema):
    variant = fields.String(required=True, allow_none=True)
    q10_min = fields.Float(required=True, allow_none=True)
    q50_min = fields.Float(required=True, allow_none=True)
    q90_min = fields.Float(required=True, allow_none=True)
    author_min = fields.Float(required=True)
    timed = fields.Integer(required=True)
    untimed = fields.Integer(required=True)
    logs = fields.Integer(required=True)
    jobs = fields.Integer(required=True)
    mostly_author = fields.Boolean(required=True)
    learned = fields.Boolean(required=True)


class ProcedureStatisticsSchema(Schema):
    procedure = fields.String(required=True)
    title = fields.String(required=True)
    revision = fields.Integer(required=True)
    jobs = fields.Integer(required=True)
    finished = fields.Integer(required=True)
    labour = fields.Nested(LabourSchema, required=True)
    steps = fields.List(fields.Nested(StepStatisticsSchema), required=True)


@blueprint.at("/procedures/<procedure>/steps")
@blueprint.answers(200, ProcedureStatisticsSchema)
def steps(procedure: str) -> Any:
    """Usual times of each step with what is not known about them, and where people stop, go back, skip and ask."""
    return procedure_statistics(ports(), kept_rows(), at_desk().dealer.slug, procedure)


@blueprint.at("/procedures/<procedure>/steps.csv")
@blueprint.describes(responses={200: {"description": "The same as a table", "content": {"text/csv": {}}}})
def steps_table(procedure: str) -> Response:
    """The same as a table (RFC 4180)."""
    return table_answer(as_table(procedure_statistics(ports(), kept_rows(), at_desk().dealer.slug, procedure)), f"{procedure}-steps.csv")


class MeasuredSchema(Schema):
    model = fields.String(required=True, allow_none=True)
    check = fields.String(required=True)
    name = fields.String(required=True)
    unit = fields.String(required=True)
    readings = fields.Integer(required=True)
    machines = fields.Integer(required=True)
    outside = fields.Integer(required=True)


class AllMeasuredSchema(Schema):
    checks = fields.List(fields.Nested(MeasuredSchema), required=True)


class PointSchema(Schema):
    job = fields.String(required=True)
    machine_id = fields.String(required=True)
    machine = fields.String(required=True)
    hours = fields.Float(required=True, allow_none=True)
    value = fields.Float(required=True)
    as_typed = fields.String(required=True)
    verdict = fields.String(required=True)
    low = fields.Float(required=True, allow_none=True)
    high = fields.Float(required=True, allow_none=True)
    wall = fields.String(required=True)


class ReadingsSchema(Schema):
    model = fields.String(required=True, allow_none=True)
    check = fields.String(required=True)
    name = fields.String(required=True)
    unit = fields.String(required=True)
    low = fields.Float(required=True, allow_none=True)
    high = fields.Float(required=True, allow_none=True)
    other_limits = fields.Integer(required=True)
    points = fields.List(fields.Nested(PointSchema), required=True)


class CheckQuery(Schema):
    model = fields.String(load_default=None, validate=validate.Length(1, 120))
    check = fields.String(load_default="", validate=validate.Length(max=120))


@blueprint.at("/readings")
@blueprint.answers(200, AllMeasuredSchema)
def all_measured() -> dict[str, Any]:
    """Every check that was read on any machine."""
    return {"checks": measured(ports(), kept_rows(), at_desk().dealer.slug)}


@blueprint.at("/readings/points")
@blueprint.takes(CheckQuery, "query")
@blueprint.answers(200, ReadingsSchema)
def points(query: dict[str, Any]) -> Any:
    """The readings of one check across machines, oldest first."""
    return _found(query)


@blueprint.at("/readings/points.csv")
@blueprint.takes(CheckQuery, "query")
@blueprint.describes(responses={200: {"description": "The same as a table", "content": {"text/csv": {}}}})
def points_table(query: dict[str, Any]) -> Response:
    """The same as a table (RFC 4180)."""
    return table_answer(readings_table(_found(query)), "readings.csv")


def _found(query: dict[str, Any]) -> Readings:
    found = readings_of(ports(), kept_rows(), at_desk().dealer.slug, query["model"], query["check"])
    if found is None:
        raise Refused("no_such_readings")
    return found


def table_answer(lines: Iterable[Iterable[Any]], name: str) -> Response:
    """Lines as a file of comma-separated values."""
    out = io.StringIO()
    csv.writer(out).writerows(lines)
    response = Response(out.getvalue(), mimetype="text/csv")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
