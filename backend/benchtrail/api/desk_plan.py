"""The desk's plans: the maps that can be asked, and the least work for goals on one of them."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.services.desk_plan import goal_words, models_of, plan_at_desk

blueprint = Blueprint("desk_plan", __name__, url_prefix="/api/v1/desk", description="The desk: plans of the least work")
MOST_GOALS = 12


class PlanThingSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)


class PlanOptionSchema(PlanThingSchema):
    group = fields.String(required=True, allow_none=True)


class PlanModelSchema(PlanThingSchema):
    years = fields.List(fields.Integer(), required=True)
    options = fields.List(fields.Nested(PlanOptionSchema), required=True)
    things = fields.Dict(keys=fields.String(), values=fields.List(fields.Nested(PlanThingSchema)), required=True)


class PlanModelsSchema(Schema):
    models = fields.List(fields.Nested(PlanModelSchema), required=True)
    goals = fields.Dict(keys=fields.String(), values=fields.List(fields.String()), required=True)


class PlanVariantSchema(Schema):
    year = fields.Integer(required=True, strict=True, validate=validate.Range(0, 9999))
    options = fields.List(fields.String(validate=validate.Length(1, 100)), load_default=list, validate=validate.Length(max=60))


class PlanWantedSchema(Schema):
    model = fields.String(required=True, validate=validate.Length(1, 200))
    goals = fields.List(fields.String(validate=validate.Length(1, 200)), required=True, validate=validate.Length(1, MOST_GOALS))
    variant = fields.Nested(PlanVariantSchema, load_default=None, allow_none=True)


class PlanOperationSchema(Schema):
    number = fields.Integer(required=True)
    item = fields.String(required=True)
    verb = fields.String(required=True)
    object = fields.String(required=True)
    words = fields.String(required=True)
    minutes = fields.Float(required=True)
    tool = fields.String(required=True, allow_none=True)
    tool_name = fields.String(required=True, allow_none=True)
    side = fields.String(required=True, allow_none=True)
    poses = fields.Dict(required=True)
    pose_names = fields.Dict(required=True)
    layer = fields.Integer(required=True)
    rests_on = fields.List(fields.Integer(), required=True)


class PlanBodySchema(Schema):
    minutes = fields.Float(required=True)
    at_least_minutes = fields.Float(required=True)
    proven = fields.Boolean(required=True)
    operations = fields.List(fields.Nested(PlanOperationSchema), required=True)
    leaves_as_one = fields.List(fields.Dict(), required=True)
    aside = fields.List(fields.Dict(), required=True)
    drained = fields.List(fields.Dict(), required=True)
    kept_in = fields.List(fields.Dict(), required=True)
    renew = fields.List(fields.Dict(), required=True)
    rebuild_checks = fields.List(fields.Dict(), required=True)
    ends_in = fields.List(fields.Dict(), required=True)
    changes = fields.Dict(required=True)
    other_ways = fields.List(fields.Dict(), required=True)


class PlanAlsoSchema(Schema):
    service = fields.String(required=True)
    name = fields.String(required=True)
    minutes_more = fields.Float(required=True)
    minutes_alone = fields.Float(required=True)
    acts = fields.List(fields.String(), required=True)
    proven = fields.Boolean(required=True)


class PlanGroupSchema(Schema):
    variants = fields.String(required=True)
    each = fields.List(fields.Dict(), required=True)
    not_here = fields.List(fields.String(), required=True)
    plan = fields.Nested(PlanBodySchema, required=True)
    also = fields.List(fields.Nested(PlanAlsoSchema), required=True)


class PlanFoundSchema(Schema):
    model = fields.String(required=True)
    name = fields.String(required=True)
    goals = fields.List(fields.String(), required=True)
    groups = fields.List(fields.Nested(PlanGroupSchema), required=True)
    without = fields.List(fields.String(), required=True)


@blueprint.at("/models")
@blueprint.answers(200, PlanModelsSchema)
def models() -> dict[str, Any]:
    """The maps in force, with the years, options and things that a plan can be asked for."""
    return {"models": models_of(ports(), at_desk().dealer.slug), "goals": goal_words()}


@blueprint.at("/plan", "POST")
@blueprint.takes(PlanWantedSchema)
@blueprint.answers(200, PlanFoundSchema)
def plan(body: dict[str, Any]) -> dict[str, Any]:
    """The least work that reaches all goals: in one variant, or in all of them, grouped by plan."""
    dealer = at_desk().dealer.slug
    variant = body["variant"]
    if variant is not None:
        variant = {"year": variant["year"], "options": sorted(set(variant["options"]))}
    return plan_at_desk(ports(), dealer, body["model"], list(dict.fromkeys(body["goals"])), variant)
